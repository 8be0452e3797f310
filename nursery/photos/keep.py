"""Cleaned pictures in the default storage, and the row that tells of each."""

import hashlib
import os
from contextlib import suppress
from pathlib import Path
from typing import IO
from uuid import UUID

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.utils import timezone

from nursery.models import PhotoFile
from nursery.sentences import said

from .clean import clean
from .errors import BadPhoto, IdInUse
from .folder import writing


def known(id: UUID, sha256: str, size: int) -> PhotoFile | None:
    """What came of this file before, if it came.

    Raises
    ------
    IdInUse : another file has this id.
    """
    found = PhotoFile.objects.filter(pk=id).first()
    if found and (found.sha256, found.bytes) != (sha256, size):
        raise IdInUse(
            said("Another picture came under this id before."),
            field="id",
            mend=said("Take the picture again; the first one stays as it is."),
        )
    return found


def take_whole(data: bytes, id: UUID, *, device: UUID | None) -> PhotoFile:
    """Clean a whole file and keep it, or keep why it was refused. A second time changes nothing.

    The pictures are on the disk before their row is: a row that says "kept" lets a phone forget, and a backup
    that has the row has the file.

    Raises
    ------
    IdInUse : another file has this id.
    Restoring : a backup is being put back.
    """
    with writing():
        return _take_whole(data, id, device)


def _take_whole(data: bytes, id: UUID, device: UUID | None) -> PhotoFile:
    sha256 = hashlib.sha256(data).hexdigest()
    if found := known(id, sha256, len(data)):
        return found
    facts: dict[str, object]
    try:
        cleaned = clean(data)
    except BadPhoto as fault:
        facts = {"reason": fault.code, "message": fault.message[:300], "mend": fault.mend[:300]}
    else:
        facts = {
            "name": _put(f"{sha256[:2]}/{sha256}.jpg", cleaned.data),
            "small_name": _put(f"{sha256[:2]}/{sha256}.small.jpg", cleaned.small),
            "kept_sha256": hashlib.sha256(cleaned.data).hexdigest(),
            "width": cleaned.width,
            "height": cleaned.height,
        }
    row, _ = PhotoFile.objects.get_or_create(
        pk=id,
        defaults={
            "sha256": sha256,
            "bytes": len(data),
            "device": device,
            "received_at": timezone.now(),
            **facts,
        },
    )
    return row


def _put(name: str, data: bytes) -> str:
    """Store these bytes for good and give the name that they got.

    A file that is there already is used only if it is whole: one that a kill cut short gets a new name.
    """
    if default_storage.exists(name):
        with default_storage.open(name) as there:
            if there.read() == data:
                return name
    kept = default_storage.save(name, ContentFile(data))
    _to_disk(kept)
    return kept


def _to_disk(name: str) -> None:
    """Bring a file of this machine's own disk to the disk. Other storages answer when they have it."""
    with suppress(NotImplementedError):
        path = Path(default_storage.path(name))
        for place, flags in (
            (path, os.O_RDONLY),
            (path.parent, os.O_RDONLY),
            (path.parent.parent, os.O_RDONLY),
        ):
            handle = os.open(place, flags)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)


def open_kept(row: PhotoFile, *, small: bool = False) -> IO[bytes]:
    """The kept picture, open for reading.

    Raises
    ------
    FileNotFoundError : the storage has lost it.
    """
    return default_storage.open(row.small_name if small else row.name)
