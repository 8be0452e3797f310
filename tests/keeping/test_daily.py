"""The backup of each day: made once, kept for a while, told."""

import datetime
import os
import zipfile
from datetime import date, timedelta
from pathlib import Path

import pytest

from nursery import journal, keeping
from nursery.keeping.daily import to_drop
from nursery.models import JournalRecord

from .conftest import PHOTOS, TODAY, Nursery


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.glob("*.zip"))


def test_one_backup_a_day(nursery: Nursery) -> None:
    made = keeping.daily(TODAY)
    assert made == nursery.folder / "backups" / "misho-2026-06-01.zip"
    stamp = made.stat().st_mtime_ns
    assert keeping.daily(TODAY) == made
    assert made.stat().st_mtime_ns == stamp
    keeping.daily(TODAY + timedelta(days=1))
    assert names(made.parent) == ["misho-2026-06-01.zip", "misho-2026-06-02.zip"]


def test_photos_are_linked_once_and_not_packed_again(nursery: Nursery) -> None:
    made = keeping.daily(TODAY)
    with zipfile.ZipFile(made) as file:
        assert [name for name in file.namelist() if name.startswith("photos/")] == []
        assert len(file.read("photos.jsonl").splitlines()) == 2
    for name, data in PHOTOS.items():
        kept = made.parent / "photos" / name
        assert kept.read_bytes() == data
        assert kept.samefile(nursery.folder / "photos" / name)


def test_a_daily_backup_brings_photos_back_that_were_deleted(nursery: Nursery) -> None:
    journal.rebuild(TODAY)
    before = journal.fingerprint()
    made = keeping.daily(TODAY)
    for name in PHOTOS:
        (nursery.folder / "photos" / name).unlink()
    keeping.daily(TODAY + timedelta(days=1))
    keeping.restore(made, replace=True, today=TODAY)
    assert journal.fingerprint() == before
    assert {n: (nursery.folder / "photos" / n).read_bytes() for n in PHOTOS} == PHOTOS


def test_a_daily_backup_without_its_photos_is_refused(nursery: Nursery, tmp_path: Path) -> None:
    moved = tmp_path / "alone.zip"
    moved.write_bytes(keeping.daily(TODAY).read_bytes())
    with pytest.raises(keeping.BadBackup) as told:
        keeping.restore(moved, replace=True)
    assert told.value.message == "The backup's photo bb22.jpg is not beside it."
    assert told.value.mend == "Keep the folder photos together with the daily backups."


def test_a_photo_that_was_spoiled_beside_the_backup_is_named(nursery: Nursery) -> None:
    made = keeping.daily(TODAY)
    (made.parent / "photos" / "bb22.jpg").unlink()
    (made.parent / "photos" / "bb22.jpg").write_bytes(PHOTOS["bb22.jpg"][:-1] + b"?")
    with pytest.raises(keeping.BadBackup) as told:
        keeping.restore(made, replace=True)
    assert told.value.message == "The backup is damaged in photo bb22.jpg: its hash is another."


def test_a_photo_goes_when_no_backup_and_no_site_names_it(nursery: Nursery) -> None:
    kept = nursery.folder / "backups" / "photos" / "bb22.jpg"
    keeping.daily(TODAY)
    (nursery.folder / "photos" / "bb22.jpg").unlink()
    keeping.daily(TODAY + timedelta(days=1))
    assert kept.exists()
    (nursery.folder / "backups" / "misho-2026-06-01.zip").unlink()
    keeping.daily(TODAY + timedelta(days=2))
    assert not kept.exists()


def test_seven_days_five_weeks_and_twelve_months_are_kept() -> None:
    days = [date(2026, 6, 14) - timedelta(days=back) for back in range(500)]  # a Sunday and 499 days before
    kept: set[date] = set()
    for day in sorted(days):
        kept.add(day)
        kept -= to_drop(kept)
    assert sorted(kept, reverse=True) == [
        *(date(2026, 6, 14) - timedelta(days=back) for back in range(7)),
        date(2026, 6, 7),  # the Sundays: the newest of each week
        date(2026, 5, 31),
        date(2026, 5, 24),
        date(2026, 5, 17),
        date(2026, 4, 30),  # the newest of each month
        date(2026, 3, 31),
        date(2026, 2, 28),
        date(2026, 1, 31),
        date(2025, 12, 31),
        date(2025, 11, 30),
        date(2025, 10, 31),
        date(2025, 9, 30),
        date(2025, 8, 31),
        date(2025, 7, 31),
    ]


def test_old_backups_go_and_other_files_in_the_folder_stay(nursery: Nursery) -> None:
    made = keeping.daily(TODAY)
    for back in range(1, 30):
        (made.parent / f"misho-{TODAY - timedelta(days=back)}.zip").write_bytes(made.read_bytes())
    (made.parent / "misho-mine.zip").write_bytes(b"mine")
    keeping.daily(TODAY + timedelta(days=1))
    assert names(made.parent) == [
        "misho-2026-05-10.zip",
        "misho-2026-05-17.zip",
        "misho-2026-05-24.zip",
        "misho-2026-05-27.zip",
        "misho-2026-05-28.zip",
        "misho-2026-05-29.zip",
        "misho-2026-05-30.zip",
        "misho-2026-05-31.zip",
        "misho-2026-06-01.zip",
        "misho-2026-06-02.zip",
        "misho-mine.zip",
    ]


def test_the_age_of_the_last_good_one_is_told(nursery: Nursery) -> None:
    assert keeping.last_good() is None
    made = keeping.daily(TODAY)
    at = datetime.datetime(2026, 6, 1, 3, 0, tzinfo=datetime.UTC)
    os.utime(made, (at.timestamp(), at.timestamp()))
    assert keeping.last_good(at + timedelta(hours=30)) == (made, timedelta(hours=30))
    assert keeping.last_good(at - timedelta(hours=1)) == (made, timedelta(0))


def test_a_failure_is_told_until_a_backup_succeeds(nursery: Nursery) -> None:
    folder = nursery.folder / "backups"
    folder.mkdir()
    blocked = folder / "misho-2026-06-01.zip.part"
    blocked.mkdir()
    with pytest.raises(keeping.CannotBackUp):
        keeping.daily(TODAY)
    assert keeping.last_trouble() == f"{folder}/misho-2026-06-01.zip cannot be written: Is a directory."
    assert keeping.last_good() is None
    blocked.rmdir()
    keeping.daily(TODAY)
    assert keeping.last_trouble() == ""


def test_a_daily_backup_holds_every_record(nursery: Nursery) -> None:
    with zipfile.ZipFile(keeping.daily(TODAY)) as file:
        assert file.read("tables/journal.jsonl").count(b"\n") == JournalRecord.objects.count() == 16


def test_replaced_sites_and_unfinished_files_do_not_pile_up(nursery: Nursery) -> None:
    folder = nursery.folder / "backups"
    folder.mkdir()
    for number in range(7):
        (folder / f"before-restore-2026050{number}T000000000000.zip").write_bytes(b"x")
    for name, age in (("old.zip.part", 90_000), ("fresh.zip.part", 60)):
        (folder / name).write_bytes(b"x")
        then = datetime.datetime.now().timestamp() - age
        os.utime(folder / name, (then, then))
    keeping.daily(TODAY)
    assert sorted(path.name for path in folder.iterdir() if path.is_file()) == [
        "before-restore-20260502T000000000000.zip",
        "before-restore-20260503T000000000000.zip",
        "before-restore-20260504T000000000000.zip",
        "before-restore-20260505T000000000000.zip",
        "before-restore-20260506T000000000000.zip",
        "fresh.zip.part",
        "misho-2026-06-01.zip",
    ]
