"""Backup, restore, and nothing is another than before."""

import datetime
import json
import stat
import zipfile
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command

from nursery import journal, keeping
from nursery.keeping import tables
from nursery.models import Contested, Device, EntryLink, FeedHead, JournalRecord, Person, Tree
from nursery.people import make_entry_link
from tests.factories import record, take

from .conftest import PHOTOS, TODAY, Nursery


def photos_of(site: Path) -> dict[str, bytes]:
    root = site / "photos"
    return {p.relative_to(root).as_posix(): p.read_bytes() for p in root.rglob("*") if p.is_file()}


def spoil(nursery: Nursery) -> None:
    """What happens to a site after its backup."""
    take(record("note", {"text": "after the backup"}, tree=nursery.trees[0].id))
    (nursery.folder / "photos" / "bb22.jpg").unlink()
    (nursery.folder / "photos" / "new.jpg").write_bytes(b"new")
    Person.objects.all().delete()


def test_a_restored_site_is_the_one_that_was_backed_up(nursery: Nursery, backup: Path) -> None:
    journal.rebuild(TODAY)
    before, epoch = journal.fingerprint(), FeedHead.objects.get().epoch
    spoil(nursery)
    assert journal.fingerprint() != before

    keeping.restore(backup, replace=True, today=TODAY)

    assert journal.fingerprint() == before
    assert FeedHead.objects.get().epoch != epoch
    assert photos_of(nursery.folder) == PHOTOS
    assert (
        JournalRecord.objects.filter(fate="set_aside").values_list("reason", flat=True)[0] == "unknown_tree"
    )
    assert Contested.objects.get().content["body"] == {"part": "branch"}
    assert Person.objects.get().user.check_password("a long password")
    assert sorted(Device.objects.values_list("name", flat=True)) == ["Ada's phone", "old phone"]
    assert sorted(p.name for p in nursery.folder.iterdir()) == [
        "backups",
        "photos",
        "photos.lock",
        "restore.lock",
    ]


def test_two_backups_of_one_site_hold_the_same_rows(nursery: Nursery, backup: Path, tmp_path: Path) -> None:
    keeping.restore(backup, replace=True)
    again = tmp_path / "again.zip"
    keeping.back_up(again)
    with zipfile.ZipFile(backup) as one, zipfile.ZipFile(again) as two:
        for name in one.namelist():
            if name != "manifest.json":
                assert one.read(name) == two.read(name), name


def test_the_file_can_be_read_without_misho(nursery: Nursery, backup: Path) -> None:
    with zipfile.ZipFile(backup) as file:
        names = file.namelist()
        manifest = json.loads(file.read("manifest.json"))
        lines = file.read("tables/journal.jsonl").decode().splitlines()
    assert names == [
        "tables/species.jsonl",
        "tables/users.jsonl",
        "tables/people.jsonl",
        "tables/phones.jsonl",
        "tables/contested.jsonl",
        "tables/wire_fit.jsonl",
        "tables/growth_fit.jsonl",
        "tables/taught.jsonl",
        "tables/scores.jsonl",
        "tables/photo_files.jsonl",
        "tables/journal.jsonl",
        "photos/bb22.jpg",
        "photos/2026/aa11.jpg",
        "photos.jsonl",
        "manifest.json",
    ]
    assert (manifest["misho"], manifest["v"], manifest["photos"]) == ("backup", 1, "inside")
    assert manifest["epoch"] == FeedHead.objects.get().epoch
    assert manifest["members"]["tables/journal.jsonl"]["rows"] == len(lines) == JournalRecord.objects.count()
    assert manifest["members"]["tables/phones.jsonl"]["rows"] == 2
    [note] = [row for row in map(json.loads, lines) if row["kind"] == "note"]
    assert note["body"] == {"text": "späte Kerzen – 遅い芽 🌲"}
    assert "fate" not in note


def test_the_file_is_for_its_owner_only_and_never_overwritten(nursery: Nursery, backup: Path) -> None:
    assert stat.S_IMODE(backup.stat().st_mode) == 0o600
    before = backup.read_bytes()
    with pytest.raises(keeping.CannotBackUp) as told:
        keeping.back_up(backup)
    assert told.value.message == f"{backup} exists already."
    assert backup.read_bytes() == before
    assert [path.name for path in backup.parent.glob("*.part")] == []


def test_a_backup_that_was_killed_leaves_no_file_and_does_not_stop_the_next(
    nursery: Nursery, tmp_path: Path
) -> None:
    (tmp_path / "misho.zip.part").write_bytes(b"half of a backup")
    keeping.back_up(tmp_path / "misho.zip")
    assert not (tmp_path / "misho.zip.part").exists()
    keeping.restore(tmp_path / "misho.zip", replace=True)


def test_a_folder_that_is_not_there_is_told(nursery: Nursery, tmp_path: Path) -> None:
    with pytest.raises(keeping.CannotBackUp) as told:
        keeping.back_up(tmp_path / "nowhere" / "misho.zip")
    assert told.value.message == f"{tmp_path}/nowhere/misho.zip cannot be written: No such file or directory."


def test_a_site_that_holds_something_is_not_replaced_unasked(nursery: Nursery, backup: Path) -> None:
    before = journal.fingerprint()
    with pytest.raises(keeping.CannotRestore) as told:
        keeping.restore(backup)
    assert told.value.message == "This site is not empty."
    assert journal.fingerprint() == before
    with pytest.raises(CommandError, match=r"This site is not empty\. Add --replace"):
        call_command("restore", str(backup))


def test_the_replaced_site_is_kept_and_can_itself_be_restored(nursery: Nursery, backup: Path) -> None:
    spoil(nursery)
    journal.rebuild(TODAY)
    spoiled, pictures = journal.fingerprint(), photos_of(nursery.folder)
    keeping.restore(backup, replace=True, today=TODAY)
    [kept] = (nursery.folder / "backups").glob("before-restore-*.zip")
    keeping.restore(kept, replace=True, keep_old=False, today=TODAY)
    assert journal.fingerprint() == spoiled
    assert photos_of(nursery.folder) == pictures


def test_a_phone_revoked_since_stays_revoked_and_old_links_stay_shut(nursery: Nursery, backup: Path) -> None:
    at = datetime.datetime(2026, 7, 1, tzinfo=datetime.UTC)
    Device.objects.filter(name="old phone").update(revoked_at=at)
    make_entry_link("owner")
    keeping.restore(backup, replace=True)
    assert Device.objects.get(name="old phone").revoked_at == at
    assert Device.objects.get(name="Ada's phone").revoked_at is None
    assert EntryLink.objects.count() == 0


def test_commands_say_what_they_did(nursery: Nursery, tmp_path: Path, capsys: Any) -> None:
    count = JournalRecord.objects.count()
    call_command("backup", str(tmp_path / "b.zip"))
    assert f"b.zip: {count} records, verified. Keep it on another disk." in capsys.readouterr().out
    call_command("restore", str(tmp_path / "b.zip"), "--replace", "--without-copy")
    assert f"Restored {count} records as of 20" in capsys.readouterr().out
    assert Tree.objects.count() == 3


def test_every_model_is_kept_passing_or_made_anew() -> None:
    """A model that somebody adds must be put into one of the three, or a backup would forget it."""
    made_anew = {
        "Site", "Bench", "SeedLot", "Sowing", "Tree", "ChecklistRun", "Wiring", "WireInspection", "SoilCheck",
        "BudCheck", "FirmCheck", "Caliper", "RootSurvey", "BranchSurvey", "Note", "WorkDone", "Standing",
        "FeedHead", "FeedRow", "Stale", "Picture", "Practice", "Stay",
    }  # fmt: skip
    placed = {model.__name__ for model in (*tables.KEPT.values(), *tables.PASSING)} | made_anew
    ours = {model.__name__ for model in apps.get_app_config("nursery").get_models()}
    assert ours - placed == set()
