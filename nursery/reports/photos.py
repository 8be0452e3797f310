"""A tree's pictures in time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import hypot
from uuid import UUID

from django.utils import timezone

from nursery.models import PhotoFile, Picture
from nursery.science.silhouette import Density
from nursery.sentences import N_, said, say

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


#: Less than this between two pictures is how they were held, and no change. No source.
SAME = 0.04
_DENSER = N_("The silhouette is denser in the later picture")
_OPENER = N_("The silhouette is more open in the later picture")
_ALIKE = N_("The silhouettes are equally dense, as far as the pictures tell")
_FIGURES = N_(
    "{what:word}: {later:2} after {earlier:2}, give or take {error:2}, where 1 is a line and 2 a solid "
    "shape. Pot and stand count too, so frame both pictures alike."
)
_UNTOLD = N_(
    "How dense the silhouette is can't be told from the picture of {day:on}: no tree stands out in it. "
    "Take it whole, before a plain wall that is lighter or darker than the tree."
)


def filling(pair: tuple[Shot, Shot], densities: Mapping[UUID, Density | None]) -> str:
    """How densely the silhouettes of two pictures fill them, the older first; "" where a file is not here."""
    if any(shot.photo not in densities for shot in pair):
        return ""
    first, last = (densities[shot.photo] for shot in pair)
    if first is None or last is None:
        untold = pair[0] if first is None else pair[1]
        return said(_UNTOLD, day=timezone.localdate(untold.at).isoformat())
    error = hypot(first.error, last.error)
    change = last.dimension - first.dimension
    what = _ALIKE if abs(change) <= max(SAME, 2 * error) else _DENSER if change > 0 else _OPENER
    later, earlier = round(last.dimension, 2), round(first.dimension, 2)
    return said(_FIGURES, what=what, later=later, earlier=earlier, error=round(max(error, SAME / 2), 2))
