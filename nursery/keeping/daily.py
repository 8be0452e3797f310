"""The backup of each day, and how many of them are kept."""

import datetime
import logging
import os
import re
import shutil
from collections.abc import Iterable
from pathlib import Path

from django.conf import settings
from django.utils import timezone

from nursery.errors import MishoError

from .archive import Photo, measure, opened
from .errors import BadBackup, CannotBackUp
from .writing import back_up, photo_files, sync_folder

log = logging.getLogger(__name__)

DAYS, WEEKS, MONTHS = 7, 5, 12
#: How many sites replaced by a restore are kept.
REPLACED = 5
#: How long a failed backup rests [s]: a full disk does not empty itself within a minute.
RETRY_S = 3600.0
#: A last good backup older than this is told as a fault.
OLD = datetime.timedelta(days=2)
_NAME = re.compile(r"misho-(\d{4}-\d\d-\d\d)\.zip")


def folder() -> Path:
    """Where the daily backups are."""
    return Path(settings.DATA_DIR) / "backups"


def kept() -> dict[datetime.date, Path]:
    """The daily backups at hand, oldest first. Each was read back when it was written."""
    found = {}
    for path in folder().glob("misho-*.zip"):
        match = _NAME.fullmatch(path.name)
        if match:
            found[datetime.date.fromisoformat(match[1])] = path
    return dict(sorted(found.items()))


def daily(today: datetime.date | None = None) -> Path:
    """Make today's backup unless it is there, then drop those that the retention does not keep.

    Photos are not packed again each day: their content never changes, so each is linked once into
    ``backups/photos`` (copied where the disk has no hard links) and every backup's list names it with its
    hash. Links guard against a deleted photo, not against a broken disk: copy the folder elsewhere.

    Raises
    ------
    CannotBackUp : also written to ``backups/trouble.txt`` until a backup succeeds.
    """
    day = today or timezone.localdate()
    target = folder() / f"misho-{day.isoformat()}.zip"
    trouble = folder() / "trouble.txt"
    if target.exists():
        return target
    try:
        back_up_here(target)
    except MishoError as fault:
        if folder().is_dir():
            trouble.write_text(fault.message, encoding="utf-8")
        raise
    trouble.unlink(missing_ok=True)
    present = kept()
    for old in to_drop(present):
        present[old].unlink()
    _drop_leftovers()
    _drop_photos()
    return target


def keep_up() -> None:
    """For the server's clock: make today's backup when it is not there. A failure is told and tried again
    after an hour, and never stops the server.
    """
    try:
        failed = (folder() / "trouble.txt").stat().st_mtime
        if timezone.now().timestamp() - failed < RETRY_S:
            return
    except FileNotFoundError:
        pass
    try:
        daily()
    except MishoError as fault:
        log.error("no backup was made today: %s %s", fault.message, fault.mend)


def last_good(now: datetime.datetime | None = None) -> tuple[Path, datetime.timedelta] | None:
    """The newest daily backup and its age, or None when there is none yet."""
    present = kept()
    if not present:
        return None
    path = max(present.values(), key=lambda item: item.stat().st_mtime)
    made = datetime.datetime.fromtimestamp(path.stat().st_mtime, tz=datetime.UTC)
    return path, max((now or timezone.now()) - made, datetime.timedelta())


def last_trouble() -> str:
    """Why the last try failed, or "" when it did not."""
    try:
        return (folder() / "trouble.txt").read_text(encoding="utf-8")
    except FileNotFoundError:
        return ""


def age_words(age: datetime.timedelta) -> str:
    """An age as people say it: "40 minutes ago", "3 hours ago", "2 days ago"."""
    minutes = int(age.total_seconds() // 60)
    for count, word in ((minutes // 1440, "day"), (minutes // 60, "hour"), (minutes, "minute")):
        if count:
            return f"{count} {word}{'s' if count > 1 else ''} ago"
    return "just now"


def to_drop(days: Iterable[datetime.date]) -> set[datetime.date]:
    """The days that are not among the newest 7 days, nor the newest of each of 5 weeks or 12 months."""
    ordered = sorted(days, reverse=True)
    weeks: dict[tuple[int, int], datetime.date] = {}
    months: dict[tuple[int, int], datetime.date] = {}
    for day in ordered:
        weeks.setdefault(day.isocalendar()[:2], day)
        months.setdefault((day.year, day.month), day)
    keep = {*ordered[:DAYS], *list(weeks.values())[:WEEKS], *list(months.values())[:MONTHS]}
    return set(ordered) - keep


def back_up_here(target: Path) -> None:
    """A backup in the folder of the daily ones, with its photos beside it."""
    try:
        folder().mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError as fault:
        raise CannotBackUp(
            f"The folder {folder()} cannot be made: {fault.strerror or fault}.",
            field="MISHO_DATA",
            mend="Give yourself the right to write there.",
        ) from fault
    known = _known_photos()

    def keep(name: str, path: Path) -> Photo:
        place = folder() / "photos" / name
        seen = known.get(name)
        if seen and place.is_file() and place.stat().st_size == seen.bytes == path.stat().st_size:
            return seen
        _link(path, place)
        with place.open("rb") as file:
            found = measure(file)
        return Photo(name, found.bytes, found.sha256)

    back_up(target, beside=keep)


def _known_photos() -> dict[str, Photo]:
    """The photos of the newest backup, so that only new ones are hashed."""
    for path in reversed(kept().values()):
        try:
            with opened(path) as archive:
                return {photo.name: photo for photo in archive.photos()}
        except BadBackup as fault:
            log.warning("%s cannot be read any more: %s", path.name, fault.message)
    return {}


def _link(path: Path, place: Path) -> None:
    place.parent.mkdir(parents=True, exist_ok=True)
    part = place.with_name(place.name + ".part")
    part.unlink(missing_ok=True)
    try:
        os.link(path, part)
    except OSError:
        shutil.copyfile(path, part)
        with part.open("rb") as file:
            os.fsync(file.fileno())
    part.replace(place)
    sync_folder(place.parent)


def _drop_leftovers() -> None:
    """All but the newest sites that a restore replaced, and what killed backups left unfinished."""
    for replaced in sorted(folder().glob("before-restore-*.zip"))[:-REPLACED]:
        replaced.unlink()
    yesterday = timezone.now().timestamp() - 86_400
    for part in folder().glob("*.zip.part"):
        if part.stat().st_mtime < yesterday:
            part.unlink()


def _drop_photos() -> None:
    """Remove photos that neither the site nor a backup at hand names any more."""
    site = Path(settings.MEDIA_ROOT)
    loose = {name: path for name, path in photo_files(folder() / "photos") if not (site / name).exists()}
    if not loose:
        return
    for path in folder().glob("*.zip"):
        try:
            with opened(path) as archive:
                for photo in archive.photos():
                    loose.pop(photo.name, None)
        except BadBackup:
            # A file that cannot be read may name any of them.
            return
    for path in loose.values():
        path.unlink()
