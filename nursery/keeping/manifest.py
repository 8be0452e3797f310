"""The backup's table of contents, and what a photo's name may be."""

import json
from dataclasses import asdict, dataclass, field
from pathlib import PurePosixPath
from typing import Any

from django.db import connection
from django.db.migrations.loader import MigrationLoader

from .errors import BadBackup

#: Version of the file's form. A file of a higher one is refused.
FORM = 1
MANIFEST = "manifest.json"
PHOTO_LIST = "photos.jsonl"
#: Longest manifest that is read [bytes]; a true one has about 2 KB.
MANIFEST_LIMIT = 1_000_000


def table_member(name: str) -> str:
    return f"tables/{name}.jsonl"


def photo_member(name: str) -> str:
    return f"photos/{name}"


@dataclass
class Member:
    """One file inside the backup: its lines, its length [bytes] and its sha256 in hex."""

    rows: int
    bytes: int
    sha256: str


@dataclass
class Manifest:
    """What ``manifest.json`` holds.

    ``photos`` tells where they are: "inside" the file, or "beside" it in a folder ``photos`` (daily backups).
    ``schema`` names the last migration of each app at the time.
    """

    made_at: str
    epoch: str
    schema: dict[str, str]
    photos: str = "inside"
    members: dict[str, Member] = field(default_factory=dict)

    def encode(self) -> bytes:
        return json.dumps({"misho": "backup", "v": FORM, **asdict(self)}, indent=1).encode()


def schema_now() -> dict[str, str]:
    """The last migration that the database has had, by app."""
    applied = MigrationLoader(connection).applied_migrations or {}
    return dict(sorted(applied))


def parse(data: bytes) -> Manifest:
    """Read a manifest.

    Raises
    ------
    BadBackup : not ours, of a newer form, or not whole.
    """
    try:
        raw = json.loads(data)
    except ValueError as fault:
        raise BadBackup(f"The backup's {MANIFEST} is damaged: {fault}.", mend=OTHER_BACKUP) from fault
    if not isinstance(raw, dict) or raw.get("misho") != "backup":
        raise BadBackup(f"This is no backup of Misho: its {MANIFEST} is another program's.", mend=CHOOSE)
    if not isinstance(raw.get("v"), int) or raw["v"] > FORM:
        raise BadBackup(
            f"The backup has form {raw.get('v')}, of a newer version of Misho; this one reads form {FORM}.",
            mend="Update Misho, then restore.",
        )
    try:
        return _typed(raw)
    except (KeyError, TypeError, ValueError) as fault:
        raise BadBackup(f"The backup's {MANIFEST} is not whole: {fault}.", mend=OTHER_BACKUP) from fault


def _typed(raw: dict[str, Any]) -> Manifest:
    members = {
        str(name): Member(int(item["rows"]), int(item["bytes"]), str(item["sha256"]))
        for name, item in raw["members"].items()
    }
    schema = {str(app): str(name) for app, name in raw["schema"].items()}
    if raw["photos"] not in {"inside", "beside"}:
        raise ValueError("photos is neither inside nor beside")
    return Manifest(str(raw["made_at"]), str(raw["epoch"]), schema, raw["photos"], members)


def check_schema(manifest: Manifest) -> None:
    """Refuse rows of a newer version: this one would drop what it does not know."""
    known = MigrationLoader(None, ignore_no_migrations=True).disk_migrations or {}
    for app, name in sorted(manifest.schema.items()):
        if app == "nursery" and (app, name) not in known:
            raise BadBackup(
                f"The backup was made by a newer version of Misho (it knows {app}.{name}).",
                mend="Update Misho, then restore.",
            )


def safe_name(name: str) -> bool:
    """Whether a name stays inside the folder that it is put in."""
    path = PurePosixPath(name)
    return (
        bool(name)
        and "\\" not in name
        and "\0" not in name
        and ":" not in name
        and not path.is_absolute()
        and ".." not in path.parts
        and str(path) == name
    )


OTHER_BACKUP = "Use another backup; the site is as it was."
CHOOSE = "Choose a file that backup wrote."
