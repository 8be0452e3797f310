"""Read a backup and prove it whole, before anything is done with it."""

import hashlib
import json
import stat
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from .errors import BadBackup
from .manifest import (
    CHOOSE,
    MANIFEST,
    MANIFEST_LIMIT,
    OTHER_BACKUP,
    PHOTO_LIST,
    Manifest,
    Member,
    check_schema,
    parse,
    photo_member,
    safe_name,
    table_member,
)
from .tables import kept_at

BLOCK = 1 << 20
#: What the zip library raises on bytes that are not what they should be.
ZIP_FAULTS = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    ValueError,
    OSError,
)


@dataclass(frozen=True)
class Photo:
    """One picture of the backup: its name under the photo folder, length [bytes] and sha256 in hex."""

    name: str
    bytes: int
    sha256: str


@dataclass
class Archive:
    """An open backup file."""

    path: Path
    zip: zipfile.ZipFile
    manifest: Manifest

    def lines(self, member: str) -> Iterator[bytes]:
        with self.zip.open(member) as file:
            yield from file

    def photos(self) -> Iterator[Photo]:
        for line in self.lines(PHOTO_LIST):
            raw = json.loads(line)
            yield Photo(str(raw["name"]), int(raw["bytes"]), str(raw["sha256"]))

    @contextmanager
    def photo(self, name: str) -> Iterator[IO[bytes]]:
        """The bytes of one picture, from inside the file or from the folder beside it."""
        if self.manifest.photos == "inside":
            with self.zip.open(photo_member(name)) as inside:
                yield inside
        else:
            with (self.path.parent / "photos" / name).open("rb") as beside:
                yield beside


@contextmanager
def opened(path: Path) -> Iterator[Archive]:
    """Open a backup and read its manifest. Nothing else of it is proven yet: see ``verify``.

    Raises
    ------
    BadBackup : no file, no zip, cut short, foreign, of a newer version, or with unsafe names.
    """
    file = _zip(path)
    with file:
        _check_names(file)
        yield Archive(path, file, parse(_manifest_bytes(file)))


def _zip(path: Path) -> zipfile.ZipFile:
    try:
        with path.open("rb") as start:
            head = start.read(4)
        return zipfile.ZipFile(path)
    except OSError as fault:
        raise BadBackup(f"{path} cannot be read: {fault.strerror or fault}.", mend=CHOOSE) from fault
    except ZIP_FAULTS as fault:
        if head == b"PK\x03\x04":
            raise BadBackup(
                f"{path.name} is cut short or damaged: its table of contents cannot be read.",
                mend=OTHER_BACKUP,
            ) from fault
        raise BadBackup(f"{path.name} is no backup of Misho: it is no zip file.", mend=CHOOSE) from fault


def _manifest_bytes(file: zipfile.ZipFile) -> bytes:
    try:
        info = file.getinfo(MANIFEST)
    except KeyError:
        raise BadBackup(f"This is no backup of Misho: it has no {MANIFEST}.", mend=CHOOSE) from None
    if info.file_size > MANIFEST_LIMIT:
        raise BadBackup(f"This is no backup of Misho: its {MANIFEST} is too long.", mend=CHOOSE)
    try:
        return file.read(info)
    except ZIP_FAULTS as fault:
        raise BadBackup(f"The backup is damaged in {MANIFEST}.", mend=OTHER_BACKUP) from fault


def _check_names(file: zipfile.ZipFile) -> None:
    seen: set[str] = set()
    for info in file.infolist():
        # orig_filename: the library cuts a name at a zero byte.
        if not safe_name(info.orig_filename) or info.is_dir() or stat.S_ISLNK(info.external_attr >> 16):
            raise BadBackup(
                f"The file holds the name {info.orig_filename!r}, which leads out of the photo folder.",
                mend="Do not trust this file; use a backup that you made.",
            )
        if info.filename in seen:
            raise BadBackup(f"The file holds {info.filename} twice.", mend=OTHER_BACKUP)
        seen.add(info.filename)


def verify(archive: Archive) -> None:
    """Read every byte and hold it against the manifest: hashes, lengths, counts, names, version.

    Raises
    ------
    BadBackup : one sentence that names the first thing that is wrong.
    """
    check_schema(archive.manifest)
    members = archive.manifest.members
    had = kept_at(archive.manifest.schema.get("nursery", ""))
    wanted = {table_member(name) for name in had} | {PHOTO_LIST}
    for name in sorted(set(members) ^ wanted):
        said = "lacks" if name in wanted else "names the unknown"
        raise BadBackup(f"The backup's {MANIFEST} {said} {name}.", mend=OTHER_BACKUP)
    for name, member in members.items():
        _verify_member(archive, name, member)
    expected = {MANIFEST, *members, *_verify_photos(archive)}
    for name in sorted(set(archive.zip.namelist()) - expected):
        raise BadBackup(f"The file holds {name}, which its {MANIFEST} does not name.", mend=OTHER_BACKUP)


def _verify_member(archive: Archive, name: str, member: Member) -> None:
    try:
        with archive.zip.open(name) as file:
            found = measure(file, member.bytes)
    except KeyError:
        raise BadBackup(f"The backup lacks {name}.", mend=OTHER_BACKUP) from None
    except ZIP_FAULTS as fault:
        raise BadBackup(f"The backup is damaged in {name}.", mend=OTHER_BACKUP) from fault
    if found != member:
        raise BadBackup(f"The backup is damaged in {name}: {_differs(member, found)}.", mend=OTHER_BACKUP)


def _differs(member: Member, found: Member) -> str:
    if member.bytes != found.bytes:
        return f"{found.bytes} of {member.bytes} bytes"
    if member.sha256 != found.sha256:
        return "its hash is another"
    return f"{found.rows} of {member.rows} rows"


def _verify_photos(archive: Archive) -> set[str]:
    """Check every picture; returns the member names of those inside the file."""
    names: set[str] = set()
    try:
        listed = list(archive.photos())
    except (ValueError, KeyError, TypeError) as fault:
        raise BadBackup(f"The backup's {PHOTO_LIST} cannot be read: {fault}.", mend=OTHER_BACKUP) from fault
    for photo in listed:
        if not safe_name(photo.name):
            raise BadBackup(
                f"The file holds the name {photo.name!r}, which leads out of the photo folder.",
                mend="Do not trust this file; use a backup that you made.",
            )
        _verify_photo(archive, photo)
        if archive.manifest.photos == "inside":
            names.add(photo_member(photo.name))
    return names


def _verify_photo(archive: Archive, photo: Photo) -> None:
    try:
        with archive.photo(photo.name) as file:
            found = measure(file, photo.bytes)
    except (KeyError, FileNotFoundError):
        where = "beside it" if archive.manifest.photos == "beside" else "in it"
        raise BadBackup(
            f"The backup's photo {photo.name} is not {where}.",
            mend="Keep the folder photos together with the daily backups.",
        ) from None
    except ZIP_FAULTS as fault:
        raise BadBackup(f"The backup is damaged in photo {photo.name}.", mend=OTHER_BACKUP) from fault
    if (found.bytes, found.sha256) != (photo.bytes, photo.sha256):
        raise BadBackup(
            f"The backup is damaged in photo {photo.name}: its hash is another.", mend=OTHER_BACKUP
        )


def measure(file: IO[bytes], limit: int | None = None) -> Member:
    """Lines, length and hash of a stream, read to one block after ``limit`` bytes at most."""
    digest, size, rows = hashlib.sha256(), 0, 0
    while block := file.read(BLOCK):
        digest.update(block)
        size += len(block)
        rows += block.count(b"\n")
        if limit is not None and size > limit:
            break
    return Member(rows, size, digest.hexdigest())
