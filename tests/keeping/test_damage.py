"""Files that must not be restored: each is refused in its own sentence, and the site stays as it was."""

import hashlib
import json
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from nursery import journal, keeping

from .conftest import Nursery

MEMBERS = [
    "tables/species.jsonl",
    "tables/users.jsonl",
    "tables/people.jsonl",
    "tables/phones.jsonl",
    "tables/contested.jsonl",
    "tables/journal.jsonl",
    "photos/bb22.jpg",
    "photos/2026/aa11.jpg",
    "photos.jsonl",
    "manifest.json",
]


def refusal(path: Path) -> str:
    """Try to restore; returns the sentence, after checking that nothing has changed."""
    before = journal.fingerprint()
    with pytest.raises(keeping.BadBackup) as told:
        keeping.restore(path, replace=True)
    assert journal.fingerprint() == before
    assert told.value.mend
    return told.value.message


def packed_again(
    source: Path, change: Callable[[dict[str, bytes]], None], *, rename: dict[str, str] | None = None
) -> Path:
    """The same backup with other members: what a careless or wicked hand would make, its zip sums right."""
    with zipfile.ZipFile(source) as file:
        members = {name: file.read(name) for name in file.namelist()}
    change(members)
    made = source.with_name("changed.zip")
    with zipfile.ZipFile(made, "w") as out:
        for name, data in members.items():
            out.writestr((rename or {}).get(name, name), data)
    return made


def with_manifest(change: Callable[[dict[str, Any]], Any]) -> Callable[[dict[str, bytes]], None]:
    def apply(members: dict[str, bytes]) -> None:
        manifest = json.loads(members["manifest.json"])
        change(manifest)
        members["manifest.json"] = json.dumps(manifest).encode()

    return apply


@pytest.mark.parametrize("member", MEMBERS)
def test_one_flipped_byte_in_any_member_is_named(nursery: Nursery, backup: Path, member: str) -> None:
    with zipfile.ZipFile(backup) as file:
        info = file.getinfo(member)
    data = bytearray(backup.read_bytes())
    header = info.header_offset
    start = header + 30 + int.from_bytes(data[header + 26 : header + 28], "little")
    start += int.from_bytes(data[header + 28 : header + 30], "little")
    data[start + info.compress_size // 2] ^= 0x10
    backup.write_bytes(data)
    shown = f"photo {member.removeprefix('photos/')}" if member.startswith("photos/") else member
    assert refusal(backup) == f"The backup is damaged in {shown}."


def test_every_cut_of_the_file_is_refused(nursery: Nursery, backup: Path, tmp_path: Path) -> None:
    data = backup.read_bytes()
    cut = tmp_path / "cut.zip"
    for length in (len(data) - 1, len(data) - 30, len(data) // 2, 100):
        cut.write_bytes(data[:length])
        assert refusal(cut) == "cut.zip is cut short or damaged: its table of contents cannot be read."
    for length in (0, 3):
        cut.write_bytes(data[:length])
        assert refusal(cut) == "cut.zip is no backup of Misho: it is no zip file."


def test_other_files_are_refused(nursery: Nursery, tmp_path: Path) -> None:
    path = tmp_path / "letters.zip"
    with zipfile.ZipFile(path, "w") as out:
        out.writestr("letter.txt", "dear grower")
    assert refusal(path) == "This is no backup of Misho: it has no manifest.json."
    with zipfile.ZipFile(path, "w") as out:
        out.writestr("manifest.json", '{"name": "an app"}')
    assert refusal(path) == "This is no backup of Misho: its manifest.json is another program's."
    path.write_text("tag;species\n")
    assert refusal(path) == "letters.zip is no backup of Misho: it is no zip file."
    assert refusal(tmp_path / "none.zip") == f"{tmp_path}/none.zip cannot be read: No such file or directory."


@pytest.mark.parametrize(
    "name", ["../x", "photos/../../x", "/etc/x", "photos\\..\\x", "C:/x", "photos/./x", "photos//x"]
)
def test_names_that_lead_out_are_refused(nursery: Nursery, backup: Path, name: str) -> None:
    path = packed_again(backup, lambda members: None, rename={"photos/bb22.jpg": name})
    assert refusal(path) == f"The file holds the name {name!r}, which leads out of the photo folder."


def test_a_photo_list_that_leads_out_is_refused(nursery: Nursery, backup: Path) -> None:
    line = b'{"name": "../secret.key", "bytes": 1, "sha256": ""}\n'

    def change(members: dict[str, bytes]) -> None:
        members["photos.jsonl"] = line
        manifest = json.loads(members["manifest.json"])
        manifest["photos"] = "beside"
        manifest["members"]["photos.jsonl"] = {
            "rows": 1,
            "bytes": len(line),
            "sha256": hashlib.sha256(line).hexdigest(),
        }
        members["manifest.json"] = json.dumps(manifest).encode()

    path = packed_again(backup, change)
    assert refusal(path) == "The file holds the name '../secret.key', which leads out of the photo folder."


def test_a_newer_form_and_a_newer_schema_are_told_apart(nursery: Nursery, backup: Path) -> None:
    newer = packed_again(backup, with_manifest(lambda m: m.update(v=2)))
    assert refusal(newer) == "The backup has form 2, of a newer version of Misho; this one reads form 1."
    newer = packed_again(backup, with_manifest(lambda m: m["schema"].update(nursery="0999_future")))
    assert refusal(newer) == "The backup was made by a newer version of Misho (it knows nursery.0999_future)."


def test_members_that_are_missing_or_too_many_are_named(nursery: Nursery, backup: Path) -> None:
    lacking = packed_again(backup, lambda members: members.pop("tables/journal.jsonl") and None)
    assert refusal(lacking) == "The backup lacks tables/journal.jsonl."
    lacking = packed_again(backup, lambda members: members.pop("photos/bb22.jpg") and None)
    assert refusal(lacking) == "The backup's photo bb22.jpg is not in it."
    more = packed_again(backup, lambda members: members.update({"photos/extra.jpg": b"x"}))
    assert refusal(more) == "The file holds photos/extra.jpg, which its manifest.json does not name."
    less = packed_again(backup, with_manifest(lambda m: m["members"].pop("tables/phones.jsonl")))
    assert refusal(less) == "The backup's manifest.json lacks tables/phones.jsonl."


def test_rows_that_do_not_match_the_manifest_are_refused(nursery: Nursery, backup: Path) -> None:
    def swap(members: dict[str, bytes]) -> None:
        members["tables/journal.jsonl"] = members["tables/journal.jsonl"].replace(b'"mm":12.5', b'"mm":99.5')

    assert refusal(packed_again(backup, swap)) == (
        "The backup is damaged in tables/journal.jsonl: its hash is another."
    )
    fewer = packed_again(backup, with_manifest(lambda m: m["members"]["tables/journal.jsonl"].update(rows=3)))
    count = journal_rows(backup)
    assert refusal(fewer) == f"The backup is damaged in tables/journal.jsonl: {count} of 3 rows."


def journal_rows(path: Path) -> int:
    with zipfile.ZipFile(path) as file:
        return file.read("tables/journal.jsonl").count(b"\n")


def test_rows_of_another_shape_are_refused_and_rolled_back(nursery: Nursery, backup: Path) -> None:
    def change(members: dict[str, bytes]) -> None:
        data = members["tables/journal.jsonl"].replace(b'"hlc":', b'"hcl":')
        members["tables/journal.jsonl"] = data
        manifest = json.loads(members["manifest.json"])
        entry = manifest["members"]["tables/journal.jsonl"]
        entry.update(bytes=len(data), sha256=hashlib.sha256(data).hexdigest())
        members["manifest.json"] = json.dumps(manifest).encode()

    assert refusal(packed_again(backup, change)) == (
        "The backup's tables/journal.jsonl cannot be taken in: line 1: it has other fields."
    )
    assert [left.name for left in nursery.folder.glob("photos.*")] == ["photos.lock"]
