"""A small nursery with something of every kind that a backup must keep."""

import datetime
import uuid
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth import get_user_model

from nursery import journal, keeping
from nursery.models import Device, Person, Tree
from tests.factories import BenchFactory, DeviceFactory, correction, record, take, withdrawal

TODAY = datetime.date(2026, 6, 1)
PHOTOS = {
    "2026/aa11.jpg": b"\xff\xd8 the first tree \xff\xd9",
    "bb22.jpg": b"\xff\xd8 the second \xff\xd9" * 9,
}


@dataclass
class Nursery:
    """The folder of its data, its trees, and its two phones."""

    folder: Path
    trees: list[Any]
    phones: list[Device]


@pytest.fixture
def empty_site(tmp_path: Path, settings: Any) -> Path:
    """Data of this test's own."""
    settings.DATA_DIR = tmp_path / "data"
    settings.MEDIA_ROOT = tmp_path / "data" / "photos"
    settings.DATA_DIR.mkdir()
    # Quick to make; a backup keeps whatever hash there is.
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    return settings.DATA_DIR  # type: ignore[no-any-return]


@pytest.fixture
def nursery(db: None, empty_site: Path) -> Nursery:
    bench = BenchFactory()
    ids = [uuid.uuid4() for _ in range(3)]
    new = {"species": "japanese-black-pine", "sown_year": 2021}
    take(*(record("tree_new", {**new, "tag": f"T{n}"}, tree=id) for n, id in enumerate(ids)))
    take(*(_move(id, bench.pk, place) for place, id in enumerate(ids, start=1)))
    trees = [Tree.objects.get(pk=id) for id in ids]
    phones = [DeviceFactory(name="Ada's phone"), DeviceFactory(name="old phone", revoked_at=None)]
    owner = get_user_model().objects.create_user("ada", password="a long password")
    Person.objects.create(user=owner, role="owner")
    fill(trees, phones[0].id)
    for name, data in PHOTOS.items():
        path = empty_site / "photos" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    return Nursery(empty_site, trees, phones)


def _move(tree: uuid.UUID, bench: uuid.UUID, place: int) -> dict[str, Any]:
    return record("tree_move", {"bench": bench, "row": 1, "place": place}, tree=tree)


def fill(trees: list[Any], phone: uuid.UUID) -> None:
    """Wire, looks, a mended caliper, a soil check taken back, one set aside, one contested."""
    wired = record("wire_on", {"part": "trunk", "wire_mm": 2.5}, tree=trees[0].id)
    wrong = record("caliper", {"mm": 12.5}, tree=trees[1].id)
    soil = record("soil_check", {"state": "dry"}, tree=trees[2].id)
    take(
        wired,
        record("wire_look", {"state": "snug"}, tree=trees[0].id),
        wrong,
        correction(wrong, {"mm": 21.5}),
        soil,
        withdrawal(soil),
        record("note", {"text": "späte Kerzen – 遅い芽 🌲"}, tree=trees[1].id),
    )
    lost = record("soil_check", {"state": "wet"}, tree=uuid.UUID(int=5))
    changed = {**wired, "body": {"part": "branch"}}
    results = journal.take_in([lost, changed], device=phone)
    assert [result.reason for result in results] == ["unknown_tree", "id_reused"]


@pytest.fixture
def backup(nursery: Nursery, tmp_path: Path) -> Path:
    path = tmp_path / "misho.zip"
    keeping.back_up(path)
    return path
