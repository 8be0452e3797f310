"""Photos in and out of the site by whole folders, so that a kill leaves the old ones or the new ones.

A restore puts its photos into a folder named after the new epoch, then commits the rows with that epoch. The
commit is the one moment at which the site becomes the new one: ``settle`` compares the folder's name with
the epoch in the database, and either finishes the swap or removes the folder. It may run at any time.
"""

import fcntl
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings

from nursery.models import FeedHead, PhotoFile
from nursery.photos import replacing

from .archive import BLOCK, Archive
from .errors import CannotRestore
from .writing import photo_files, sync_folder

COMING = ".restoring-"
GOING = ".before-"


def root() -> Path:
    return Path(settings.MEDIA_ROOT)


def stage(archive: Archive, epoch: str) -> None:
    """Unpack the backup's photos beside the site's own, and bring them to the disk."""
    folder = root().with_name(root().name + COMING + epoch)
    folder.mkdir(parents=True)
    folders = {folder.parent, folder}
    for photo in archive.photos():
        path = folder / photo.name
        path.parent.mkdir(parents=True, exist_ok=True)
        folders.add(path.parent)
        with archive.photo(photo.name) as source, path.open("xb") as target:
            shutil.copyfileobj(source, target, BLOCK)
            target.flush()
            os.fsync(target.fileno())
    for made in folders:
        sync_folder(made)


@contextmanager
def only_one() -> Iterator[None]:
    """One restore at a time on a data folder; the lock goes with the process, however it ends.

    Raises
    ------
    CannotRestore : another process is restoring now.
    """
    root().parent.mkdir(parents=True, exist_ok=True)
    with (root().parent / "restore.lock").open("w") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise CannotRestore(
                "Another restore is under way on this data folder.", mend="Wait until it is done."
            ) from None
        with replacing():
            yield


def settle() -> None:
    """Finish, or clear away, what a killed restore left of its photos; nothing while one is under way."""
    if not root().parent.is_dir():
        return
    try:
        with only_one():
            settle_alone()
    except CannotRestore:
        return


def settle_alone() -> None:
    """``settle`` for the holder of the lock."""
    head = FeedHead.objects.filter(pk=1).first()
    epoch = head.epoch if head else ""
    for folder in root().parent.glob(root().name + COMING + "*"):
        if folder.name.endswith(COMING + epoch):
            _swap(folder, root().with_name(root().name + GOING + epoch))
        else:
            shutil.rmtree(folder)
    for folder in root().parent.glob(root().name + GOING + "*"):
        shutil.rmtree(folder)


def _swap(coming: Path, going: Path) -> None:
    if root().exists() and not going.exists():
        root().rename(going)
    if root().exists():
        # Killed between the two renames, and a photo has come in since: it belongs to the new site.
        for name, path in list(photo_files(root())):
            (coming / name).parent.mkdir(parents=True, exist_ok=True)
            path.replace(coming / name)
        shutil.rmtree(root())
    _carry(going, coming)
    coming.rename(root())
    sync_folder(root().parent)


def _carry(going: Path, coming: Path) -> None:
    """Bring along what came in after a restore was killed between its rows and its folder."""
    names = PhotoFile.objects.filter(reason="").values_list("name", "small_name")
    for name in {name for both in names for name in both}:
        if (going / name).is_file() and not (coming / name).exists():
            (coming / name).parent.mkdir(parents=True, exist_ok=True)
            (going / name).replace(coming / name)
            sync_folder((coming / name).parent)
