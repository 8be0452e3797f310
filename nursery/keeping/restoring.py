"""Put a backup in the place of a site: the whole of it, or nothing."""

import datetime
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.core.management import call_command
from django.db import DatabaseError, transaction
from django.utils import timezone

from nursery.errors import MishoError
from nursery.feed import Data, lock_head, publish
from nursery.journal import rebuild
from nursery.models import Device, FeedRow, Species

from . import photos
from .archive import Archive, opened, verify
from .daily import back_up_here, folder
from .errors import BadBackup, CannotRestore
from .manifest import Manifest, table_member
from .tables import KEPT, clear, kept_at, load, lock_all, set_sequences
from .writing import Say, photo_files, silent


def restore(
    source: Path,
    *,
    replace: bool = False,
    keep_old: bool = True,
    today: datetime.date | None = None,
    say: Say = silent,
) -> Manifest:
    """Verify a backup, then make the site what it was then, with a fresh epoch.

    The fresh epoch makes each phone build its mirror anew and offer again every record that it still holds,
    so what was acknowledged after the backup comes back. All rows come in one transaction, derived ones
    made anew from the journal; photos follow by a rename. A process killed at any moment leaves the old site
    or the new one. Phones revoked on the present site stay revoked.

    Parameters
    ----------
    replace : allow a site that holds something already.
    keep_old : before replacing, back the present site up into the folder of the daily backups.
    today : the day that the standings are made for; default: now at the site.

    Raises
    ------
    BadBackup : the file is not whole, not ours or too new.
    CannotRestore : the present site stands in the way.
    """
    with photos.only_one(), opened(source) as archive, _told():
        verify(archive)
        say("verified")
        call_command("migrate", interactive=False, verbosity=0)
        photos.settle_alone()
        _make_way(replace, keep_old, say)
        _take_over(archive, today, say)
        return archive.manifest


@contextmanager
def _told() -> Iterator[None]:
    """Faults of the database and the disk, in one sentence."""
    try:
        yield
    except DatabaseError as fault:
        raise CannotRestore(
            f"The database refused: {str(fault).strip().rstrip('.')}.",
            mend="Stop serve and try again. If the database itself is damaged, move its file away first.",
        ) from fault
    except OSError as fault:
        raise CannotRestore(
            f"The photos cannot be put in place: {fault.strerror or fault}.",
            mend="Make room on the disk of the data folder, then restore again.",
        ) from fault


def site_is_empty() -> bool:
    """Whether nothing would be lost: no record, person, phone or photo. Species come with the program."""
    if any(model._default_manager.exists() for model in KEPT.values() if model is not Species):
        return False
    return next(photo_files(photos.root()), None) is None


def _make_way(replace: bool, keep_old: bool, say: Say) -> None:
    if site_is_empty():
        return
    if not replace:
        raise CannotRestore(
            "This site is not empty.",
            mend="Add --replace to put the backup in its place, or set MISHO_DATA to an empty folder.",
        )
    if keep_old:
        kept = folder() / f"before-restore-{timezone.now():%Y%m%dT%H%M%S%f}.zip"
        try:
            back_up_here(kept)
        except MishoError as fault:
            raise CannotRestore(
                f"The present site could not be kept first: {fault.message}",
                mend="Mend that, or add --without-copy to give the present site up.",
            ) from fault
        say(f"kept {kept.name}")


def _take_over(archive: Archive, today: datetime.date | None, say: Say) -> None:
    epoch = str(uuid.uuid4())
    try:
        photos.stage(archive, epoch)
        say("photos unpacked")
        with transaction.atomic():
            lock_all()
            revoked = dict(Device.objects.filter(revoked_at__isnull=False).values_list("pk", "revoked_at"))
            clear()
            say("cleared")
            _load_all(archive, say)
            for key, at in revoked.items():
                Device.objects.filter(pk=key, revoked_at__isnull=True).update(revoked_at=at)
            FeedRow.objects.exclude(topic="species").delete()
            rebuild(today)
            say("rebuilt")
            head = lock_head()
            publish(head, [("species", kind.slug, _shown(kind)) for kind in Species.objects.all()])
            head.epoch = epoch
            head.save()
            say("epoch raised")
        say("committed")
    finally:
        # Swaps the photos in when the rows were committed, else clears them away.
        photos.settle_alone()
    say("photos in place")


def _shown(kind: Species) -> Data:
    """A species as phones mirror it."""
    return {"name": kind.name, "latin": kind.latin, "habit": kind.habit, "techniques": kind.techniques}


def _load_all(archive: Archive, say: Say) -> None:
    for name in kept_at(archive.manifest.schema.get("nursery", "")):
        model = KEPT[name]
        try:
            load(model, archive.lines(table_member(name)))
        except ValueError as fault:
            raise BadBackup(
                f"The backup's {table_member(name)} cannot be taken in: {fault}.",
                mend="The site is as it was. Use another backup.",
            ) from fault
        say(f"loaded {name}")
    set_sequences()
