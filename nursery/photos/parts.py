"""Take a file in piece by piece, so that a lost connection costs one piece and not the picture.

A piece says where it begins; what is held of a file is the length of its part on the disk. Whatever a phone
believes, the answer tells how much is here, and the phone goes on from there. Parts lie outside the photo
folder: no page and no backup ever sees them.
"""

import errno
import fcntl
import hashlib
import os
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import IO, Literal
from uuid import UUID

from django.conf import settings
from django.utils import timezone

from nursery.errors import BadValue
from nursery.models import PhotoFile
from nursery.sentences import said, say

from .errors import BadPhoto, NoRoom, TooMany
from .keep import known, take_whole

#: Longest file [bytes]; what the bench app sends has about 700 KB.
MOST_BYTES = 12 * 1024 * 1024
#: Longest piece [bytes].
CHUNK_MOST = 512 * 1024
#: Unfinished files that one phone may have here; the oldest makes room.
MOST_PARTS = 10
#: An unfinished file nobody went on with is dropped after this [s]: its phone begins again.
PART_LIFE_S = 7 * 24 * 3600
#: Pictures from one phone in 24 hours.
MOST_A_DAY = 2000
#: Room that pictures leave on the disk for records and backups [bytes].
SPARE = 500 * 1024 * 1024


@dataclass(frozen=True)
class State:
    """What the shed has of a file: ``coming`` (so many bytes), ``kept`` for good, or ``refused`` and why."""

    state: Literal["coming", "kept", "refused"]
    have: int
    reason: str = ""
    message: str = ""
    mend: str = ""


def receive(
    id: UUID, piece: bytes, *, sha256: str, size: int, offset: int, device: UUID | None = None
) -> State:
    """Add one piece; an empty one only asks. The last piece completes the file.

    Parameters
    ----------
    sha256, size : of the whole file; the file counts only if both agree in the end.
    offset : where the piece begins. One that does not begin where the part ends is not added.

    Raises
    ------
    BadPhoto : longer than any picture.
    BadValue : the piece reaches beyond the file's end, or is too long.
    IdInUse, NoRoom, TooMany : as they say.
    """
    if size > MOST_BYTES:
        raise BadPhoto(
            said(
                "This file has {n} bytes; the longest that is taken has {most} MB.",
                n=size,
                most=MOST_BYTES // 2**20,
            ),
            code="photo_too_large",
            field="bytes",
            mend=said("Take it inside Misho, which makes it smaller."),
        )
    if len(piece) > CHUNK_MOST or (piece and offset + len(piece) > size):
        raise BadValue(
            said("This piece is too long."),
            field="offset",
            mend=said("Send {n} KB at most, in order.", n=CHUNK_MOST // 1024),
        )
    if row := known(id, sha256, size):
        return _told(row)
    path = _part(id, sha256, device)
    if not path.exists():
        if not piece or offset:
            return State("coming", 0)
        _check_bounds(path.parent, len(piece) + size, device)
    with _told_when_full(), _locked(path) as part:
        have = os.fstat(part.fileno()).st_size
        if offset == have and piece:
            part.seek(have)
            part.write(piece)
            part.flush()
            have += len(piece)
        if have < size:
            return State("coming", have)
        return _complete(path, part, id, sha256, device)


def _told(row: PhotoFile) -> State:
    if row.reason:
        return State("refused", row.bytes, row.reason, say(row.message), say(row.mend))
    return State("kept", row.bytes)


def _complete(path: Path, part: IO[bytes], id: UUID, sha256: str, device: UUID | None) -> State:
    part.seek(0)
    data = part.read(MOST_BYTES + 1)
    if hashlib.sha256(data).hexdigest() != sha256:
        # Damaged on its way: the phone begins again.
        path.unlink(missing_ok=True)
        return State("coming", 0)
    row = take_whole(data, id, device=device)
    # Only now: had it failed (a busy database, a full disk), the next question would complete the file.
    path.unlink(missing_ok=True)
    return _told(row)


def _part(id: UUID, sha256: str, device: UUID | None) -> Path:
    owner = device.hex if device else "shed"
    return Path(settings.DATA_DIR) / "uploads" / owner / f"{id.hex}-{sha256[:16]}.part"


@contextmanager
def _locked(path: Path) -> Iterator[IO[bytes]]:
    """The part, this request's alone: two tabs, or a second try, may send the same piece at once."""
    handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    with os.fdopen(handle, "r+b") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        yield file


@contextmanager
def _told_when_full() -> Iterator[None]:
    try:
        yield
    except OSError as fault:
        if fault.errno != errno.ENOSPC:
            raise
        raise _no_room() from fault


def _no_room() -> NoRoom:
    return NoRoom(
        said("The shed's disk is nearly full: it takes no pictures now."),
        mend=said("Make room on the shed's disk. Records are still taken; the pictures wait on the phone."),
    )


def _check_bounds(folder: Path, size: int, device: UUID | None) -> None:
    """Before a new part is begun: the disk, the day's number, and the parts left lying."""
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    if shutil.disk_usage(folder).free < SPARE + size:
        raise _no_room()
    since = timezone.now() - timedelta(days=1)
    if device and PhotoFile.objects.filter(device=device, received_at__gt=since).count() >= MOST_A_DAY:
        raise TooMany(
            said("This phone has handed over {n} pictures in a day.", n=MOST_A_DAY),
            mend=said("The app goes on by itself tomorrow."),
            retry_after=3600,
        )
    parts = sorted(folder.glob("*.part"), key=lambda part: part.stat().st_mtime)
    old = time.time() - PART_LIFE_S
    spare = len(parts) - MOST_PARTS + 1
    for at, part in enumerate(parts):
        if at < spare or part.stat().st_mtime < old:
            part.unlink(missing_ok=True)
