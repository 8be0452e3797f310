"""Pictures through backup and restore: their rows, their files, and an older backup that knew none."""

import io
import json
import uuid
import zipfile
from pathlib import Path

import pytest
from django.core.files.storage import default_storage

from nursery import keeping, photos
from nursery.keeping import BadBackup, tables
from nursery.keeping.archive import opened, verify
from nursery.models import PhotoFile
from tests.photos import hostile as h

from .conftest import Nursery

ID = uuid.UUID("00000000-0000-4000-8000-000000000051")


@pytest.fixture
def kept(nursery: Nursery) -> PhotoFile:
    return photos.take_whole(h.with_gps(), ID, device=nursery.phones[0].pk)


@pytest.fixture
def backup(kept: PhotoFile, tmp_path: Path) -> Path:
    keeping.back_up(tmp_path / "b.zip")
    return tmp_path / "b.zip"


def _read(row: PhotoFile) -> bytes:
    with photos.open_kept(row) as file:
        return file.read()


def _without(source: Path, gone: set[str], target: Path, migration: str = "") -> Path:
    """The same backup as a program would have written it that had no such tables."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            if name in gone:
                continue
            data = old.read(name)
            if name == "manifest.json":
                told = json.loads(data)
                told["schema"]["nursery"] = migration or told["schema"]["nursery"]
                told["members"] = {n: m for n, m in told["members"].items() if n not in gone}
                data = json.dumps(told).encode()
            new.writestr(name, data)
    return target


def test_a_restored_site_has_its_pictures_and_knows_them(kept: PhotoFile, backup: Path) -> None:
    before = _read(kept)
    PhotoFile.objects.all().delete()
    for name in (kept.name, kept.small_name):
        default_storage.delete(name)
    keeping.restore(backup, replace=True, keep_old=False)
    again = PhotoFile.objects.get(pk=ID)
    assert _read(again) == before
    # The phone that still has it sends it again: known, and nothing new is made.
    assert photos.take_whole(h.with_gps(), ID, device=None) == again


def test_a_picture_that_came_after_the_backup_comes_again_from_the_phone(
    kept: PhotoFile, backup: Path
) -> None:
    late = uuid.UUID("00000000-0000-4000-8000-000000000052")
    photos.take_whole(h.saved(h.scene(90, 70)), late, device=None)
    keeping.restore(backup, replace=True, keep_old=False)
    assert not PhotoFile.objects.filter(pk=late).exists()
    row = photos.take_whole(h.saved(h.scene(90, 70)), late, device=None)
    assert (row.reason, row.width) == ("", 90)
    assert _read(row)


def test_a_picture_that_came_after_a_killed_restore_outlives_the_swap_of_folders(
    kept: PhotoFile, backup: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = _read(kept)
    with monkeypatch.context() as killed:
        killed.setattr(keeping.photos, "settle_alone", lambda: None)
        keeping.restore(backup, replace=True, keep_old=False)
    late = photos.take_whole(h.saved(h.scene(90, 70)), uuid.UUID(int=52), device=None)
    taken = _read(late)
    keeping.settle()
    assert (_read(late), _read(PhotoFile.objects.get(pk=ID))) == (taken, before)
    assert sorted(path.name for path in keeping.photos.root().parent.glob("photos*")) == [
        "photos",
        "photos.lock",
    ]


def test_a_damaged_picture_in_a_backup_is_found(kept: PhotoFile, backup: Path, tmp_path: Path) -> None:
    broken = tmp_path / "broken.zip"
    with zipfile.ZipFile(backup) as old, zipfile.ZipFile(broken, "w") as new:
        for name in old.namelist():
            data = old.read(name)
            new.writestr(name, data[:-1] + b"\0" if name == f"photos/{kept.name}" else data)
    with pytest.raises(BadBackup) as told, opened(broken) as archive:
        verify(archive)
    assert told.value.message == f"The backup is damaged in photo {kept.name}: its hash is another."


def test_a_backup_from_before_there_were_pictures_is_whole(backup: Path, tmp_path: Path) -> None:
    later = {f"tables/{name}.jsonl" for name in tables.SINCE}
    old = _without(backup, later, tmp_path / "old.zip", "0007_growth_fit")
    keeping.restore(old, replace=True, keep_old=False)
    assert PhotoFile.objects.count() == 0
    # One that should have the table, and has not, is not.
    with (
        pytest.raises(BadBackup, match=r"lacks tables/photo_files\.jsonl"),
        opened(_without(backup, {"tables/photo_files.jsonl"}, tmp_path / "lacking.zip")) as archive,
    ):
        verify(archive)


def test_parts_of_uploads_are_in_no_backup(nursery: Nursery, tmp_path: Path) -> None:
    data = h.saved(h.scene())
    photos.receive(ID, data[:20], sha256="ab" * 32, size=len(data), offset=0)
    assert list((nursery.folder / "uploads").rglob("*.part"))
    keeping.back_up(tmp_path / "b.zip")
    with zipfile.ZipFile(io.BytesIO((tmp_path / "b.zip").read_bytes())) as file:
        assert not [name for name in file.namelist() if "part" in name.removeprefix("photos/")]
