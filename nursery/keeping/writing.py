"""Write a backup while the site is in use: one snapshot of the rows, the photos, and a proof of both."""

import fcntl
import hashlib
import json
import os
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO

from django.conf import settings
from django.db import DatabaseError
from django.utils import timezone

from nursery.models import FeedHead

from .archive import BLOCK, Photo, opened, verify
from .errors import BadBackup, CannotBackUp
from .manifest import MANIFEST, PHOTO_LIST, Manifest, Member, photo_member, schema_now, table_member
from .tables import KEPT, Snapshot, lines

Say = Callable[[str], None]
#: Gives the hash of one photo of the site, and keeps its bytes wherever the caller wants them.
KeepPhoto = Callable[[str, Path], Photo]


def silent(_: str) -> None:
    pass


def back_up(target: Path, *, beside: KeepPhoto | None = None, say: Say = silent) -> Manifest:
    """Write one backup file; the site may be serving meanwhile. Memory does not grow with the site.

    The file is written as ``target + ".part"``, brought to the disk, read back whole and verified, and only
    then gets its name. It is readable by its owner only: it holds password hashes.

    Parameters
    ----------
    target : the file to make; one that exists is never overwritten.
    beside : keeps photos outside the file (daily backups); None puts them into it.

    Raises
    ------
    CannotBackUp : the file exists, the disk is full, the read-back failed ...
    """
    if target.exists():
        raise CannotBackUp(f"{target} exists already.", field="file", mend="Choose another name.")
    part = target.with_name(target.name + ".part")
    try:
        with _exclusive(part) as file:
            manifest = _write(file, beside, say)
            _to_disk(file)
            with opened(part) as archive:
                verify(archive)
            say("read back")
            _give_name(part, target)
    except (BadBackup, DatabaseError) as fault:
        _drop(part)
        raise CannotBackUp(
            f"The backup was not made: {fault}", mend="Look at the disk, then try again."
        ) from fault
    except OSError as fault:
        _drop(part)
        raise CannotBackUp(
            f"{target} cannot be written: {fault.strerror or fault}.",
            field="file",
            mend="Choose a disk with room that you may write to.",
        ) from fault
    return manifest


def _drop(part: Path) -> None:
    """Remove an unfinished file; where even that fails, the first fault is the one to tell."""
    with suppress(OSError):
        part.unlink()


@contextmanager
def _exclusive(part: Path) -> Iterator[IO[bytes]]:
    """The unfinished file, ours alone. One left by a killed backup is taken over."""
    handle = os.open(part, os.O_RDWR | os.O_CREAT, 0o600)
    with os.fdopen(handle, "r+b") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise CannotBackUp(
                f"Another backup is writing {part.name} now.", field="file", mend="Wait until it is done."
            ) from None
        file.truncate()
        yield file


def _write(file: IO[bytes], beside: KeepPhoto | None, say: Say) -> Manifest:
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=3) as out:
        with Snapshot():
            head = FeedHead.objects.filter(pk=1).first()
            manifest = Manifest(
                made_at=timezone.now().isoformat(),
                epoch=head.epoch if head else "",
                schema=schema_now(),
                photos="beside" if beside else "inside",
            )
            for name, model in KEPT.items():
                manifest.members[table_member(name)] = _member(out, table_member(name), lines(model))
                say(f"{name}: {manifest.members[table_member(name)].rows}")
        # After the rows: a photo is on the disk before the row that names it, so none is missing.
        listed = _photo_lines(out, beside)
        manifest.members[PHOTO_LIST] = _member(out, PHOTO_LIST, iter(listed))
        say(f"photos: {len(listed)}")
        out.writestr(MANIFEST, manifest.encode())
    return manifest


def _member(out: zipfile.ZipFile, name: str, blocks: Iterator[tuple[bytes, int]]) -> Member:
    digest, size, rows = hashlib.sha256(), 0, 0
    with out.open(name, "w", force_zip64=True) as member:
        for block, count in blocks:
            member.write(block)
            digest.update(block)
            size += len(block)
            rows += count
    return Member(rows, size, digest.hexdigest())


def photo_files(root: Path) -> Iterator[tuple[str, Path]]:
    """Each photo's name (its path under ``root``, parted by /) and its file; links are not followed."""
    for folder, folders, files in os.walk(root):
        folders.sort()
        for name in sorted(files):
            path = Path(folder, name)
            if path.is_file() and not path.is_symlink():
                yield path.relative_to(root).as_posix(), path


def _photo_lines(out: zipfile.ZipFile, beside: KeepPhoto | None) -> list[tuple[bytes, int]]:
    listed = []
    for name, path in photo_files(Path(settings.MEDIA_ROOT)):
        photo = beside(name, path) if beside else _put_photo(out, name, path)
        line = json.dumps(
            {"name": photo.name, "bytes": photo.bytes, "sha256": photo.sha256}, ensure_ascii=False
        )
        listed.append(((line + "\n").encode(), 1))
    return listed


def _put_photo(out: zipfile.ZipFile, name: str, path: Path) -> Photo:
    # Stored, not deflated: pictures are compressed already.
    info = zipfile.ZipInfo(photo_member(name))
    info.compress_type = zipfile.ZIP_STORED
    with path.open("rb") as source, out.open(info, "w", force_zip64=True) as member:
        digest, size = hashlib.sha256(), 0
        while block := source.read(BLOCK):
            member.write(block)
            digest.update(block)
            size += len(block)
    return Photo(name, size, digest.hexdigest())


def _to_disk(file: IO[bytes]) -> None:
    file.flush()
    os.fsync(file.fileno())
    # Drop it from the cache, so that reading back reads the disk.
    os.posix_fadvise(file.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)


def _give_name(part: Path, target: Path) -> None:
    """Rename without ever overwriting: a hard link fails when the name is taken."""
    try:
        os.link(part, target)
    except FileExistsError:
        part.unlink()
        raise CannotBackUp(f"{target} exists already.", field="file", mend="Choose another name.") from None
    except OSError:
        # A disk without hard links (a memory stick): the check at the start has to do.
        part.rename(target)
    else:
        part.unlink()
    sync_folder(target.parent)


def sync_folder(folder: Path) -> None:
    """Bring a rename to the disk."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
