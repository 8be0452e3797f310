"""Pictures in a phone's hand-over file: kept as an upload would be, each for itself."""

import base64
import hashlib
import json
import uuid
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command

from nursery.keeping import BadHandOver, handover
from nursery.models import JournalRecord, PhotoFile
from tests.factories import TreeFactory, record
from tests.photos import hostile as h
from tests.shed import visitor

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("photos")]


def one(file: bytes, **changes: Any) -> dict[str, Any]:
    told = {"photo": str(uuid.uuid4()), "sha256": hashlib.sha256(file).hexdigest(), "bytes": len(file)}
    return told | {"data": base64.b64encode(file).decode()} | changes


def file(records: list[Any], photos: list[Any]) -> bytes:
    """A file as the phone writes it: no spaces, the pictures behind the records."""
    listed = json.dumps(records, separators=(",", ":"))
    pictures = json.dumps(photos, separators=(",", ":"))
    digest = hashlib.sha256(listed.encode()).hexdigest()
    head = f'{{"misho":"handover","v":1,"device":null,"name":"Pocket","count":{len(records)}'
    return f'{head},"records":{listed},"sha256":"{digest}","photos":{pictures}}}'.encode()


@pytest.fixture
def records() -> list[dict[str, Any]]:
    tree = TreeFactory()
    return [record("soil_check", {"state": "dry"}, tree=tree.id) for _ in range(3)]


def test_records_and_pictures_of_a_file_are_taken_in_once(records: list[Any]) -> None:
    data = file(records, [one(h.with_gps()), one(h.saved(h.scene(80, 60)))])
    assert handover.take(handover.read(data)).lines() == [
        "3 stored, 0 known already, 0 set aside, 0 malformed.",
        "Photos: 2 kept, 0 known already, 0 refused.",
    ]
    assert sorted(PhotoFile.objects.values_list("width", "height")) == [(64, 48), (80, 60)]
    assert handover.take(handover.read(data)).lines() == [
        "0 stored, 3 known already, 0 set aside, 0 malformed.",
        "Photos: 0 kept, 2 known already, 0 refused.",
    ]


def test_a_bad_picture_holds_up_none_of_the_others(records: list[Any]) -> None:
    good = h.saved(h.scene())
    bad = [
        one(h.SVG),
        one(good, sha256="ab" * 32),
        one(good, bytes=5),
        one(good, data="not base64!"),
        one(good, photo="../../etc"),
        "no picture",
    ]
    tally = handover.take(handover.read(file(records, [*bad, one(good)])))
    assert (tally.count["stored"], tally.photos.kept) == (3, 1)
    damaged = "It was damaged on its way. Export it again from the phone."
    assert tally.photos.refused == [
        (
            1,
            "This file is no JPEG, PNG or WebP picture. Take the picture again, or delete it on the phone.",
        ),
        *((n, damaged) for n in range(2, 7)),
    ]


def test_a_file_cut_short_in_its_pictures_still_brings_its_records(records: list[Any]) -> None:
    whole = file(records, [one(h.saved(h.scene())), one(h.saved(h.scene(80, 60)))])
    cut = whole[: -len(whole) // 4]
    with pytest.raises(BadHandOver) as told:
        handover.read(cut)
    assert told.value.message == "3 of 3 records and 1 photo could be read: the file ends early."
    assert handover.take(handover.read(cut, readable=True)).lines() == [
        "3 stored, 0 known already, 0 set aside, 0 malformed.",
        "Photos: 1 kept, 0 known already, 0 refused.",
    ]


def test_by_page_and_by_command(records: list[Any], tmp_path: Path, capsys: Any) -> None:
    first, second = one(h.saved(h.scene())), one(h.saved(h.scene(80, 60)))
    upload = SimpleUploadedFile("misho-handover.json", file(records, [first]))
    page = visitor("helper").post("/phones/hand-over/", {"file": upload}).content.decode()
    assert "1 photo was taken in, 0 known already." in page
    path = tmp_path / "second.json"
    path.write_bytes(file([], [first, second]))
    call_command("hand_over", str(path))
    assert "Photos: 1 kept, 1 known already, 0 refused." in capsys.readouterr().out
    assert (PhotoFile.objects.count(), JournalRecord.objects.filter(kind="soil_check").count()) == (2, 3)
