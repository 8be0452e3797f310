"""The photo folder's lock: many may put pictures into it, one alone may put another folder in its place."""

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings

from nursery.sentences import said

from .errors import Restoring


@contextmanager
def writing() -> Iterator[None]:
    """Keep the folder, and the site it belongs to, as they are until a picture's file and row are both there.

    Raises
    ------
    Restoring : a restore is putting other pictures in their place.
    """
    with _lock().open("w") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_SH | fcntl.LOCK_NB)
        except BlockingIOError:
            raise Restoring(
                said("The shed is being restored from a backup."), mend=said("Try again when that is done.")
            ) from None
        yield


@contextmanager
def replacing() -> Iterator[None]:
    """Wait for the pictures that are being put in, and let none in meanwhile."""
    with _lock().open("w") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        yield


def _lock() -> Path:
    folder = Path(settings.MEDIA_ROOT).parent
    folder.mkdir(parents=True, exist_ok=True)
    return folder / "photos.lock"
