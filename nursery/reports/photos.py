"""A tree's pictures in time."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from nursery.models import PhotoFile, Picture
from nursery.sentences import said, say

#: Pictures on one page; older ones are told by number.
MOST = 120


@dataclass(frozen=True)
class Shot:
    """One picture, by its record. ``width`` 0: its file is not here; ``why`` tells the reason."""

    photo: UUID
    record: UUID
    at: datetime
    caption: str
    width: int
    height: int
    why: str

    @property
    def here(self) -> bool:
        return self.width > 0


@dataclass(frozen=True)
class Shots:
    """A tree's pictures, the newest first; ``older`` more are not listed."""

    rows: list[Shot]
    older: int

    @property
    def shown(self) -> list[Shot]:
        return [shot for shot in self.rows if shot.here]


def shots(tree: UUID) -> Shots:
    """Three queries, whatever their number: the records, how many, and the files that came for them."""
    found = Picture.objects.filter(tree=tree)
    records = list(found.order_by("-at", "-id")[:MOST])
    files = {file.pk: file for file in PhotoFile.objects.filter(pk__in={r.photo for r in records})}
    rows = [_shot(record, files.get(record.photo)) for record in records]
    return Shots(rows, found.count() - len(rows))


def _shot(record: Picture, file: PhotoFile | None) -> Shot:
    if file is None:
        why = said("Not here yet: it is still on the phone that took it.")
    else:
        why = f"{say(file.message)} {say(file.mend)}" if file.reason else ""
    width, height = (file.width, file.height) if file else (0, 0)
    return Shot(record.photo, record.pk, record.at, record.caption, width, height, why)


def compared(rows: Sequence[Shot], before: str, after: str) -> tuple[Shot, Shot] | None:
    """The two pictures to lay over each other: those asked for, else the oldest and the newest. The older
    one comes first, however they were asked for.
    """
    if len(rows) < 2:
        return None
    by_id = {str(shot.photo): shot for shot in rows}
    first, last = by_id.get(before, rows[-1]), by_id.get(after, rows[0])
    return (first, last) if first.at <= last.at else (last, first)
