"""Roots round one trunk: what the surveys found, and what their spread says."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

import numpy as np
from django.utils import timezone

from nursery.models import RootSurvey
from nursery.science import root_sides, roots
from nursery.science.practice import Practice
from nursery.science.rao import p_rao
from nursery.sentences import later

#: Surveys that are shown: one at each repotting, for a life.
MOST = 30
#: 80% of a normal error lies within so many of its standard deviations.
WITHIN = 1.2816
#: Twelve sides, 0 degrees at the front and clockwise from above, as on the phone.
SIDES = (
    *(later("front"), later("front left"), later("left front")),
    *(later("left"), later("left back"), later("back left")),
    *(later("back"), later("back right"), later("right back")),
    *(later("right"), later("right front"), later("front right")),
)
DEFECTS = {
    "crossing": later("crossing roots"),
    "one_sided": later("one-sided roots"),
    "high": later("a root too high"),
    "girdling": later("a girdling root"),
    "rot": "rot",
}


@dataclass(frozen=True)
class Root:
    """One surface root: its angle [degree], grade of thickness 1 (thin) to 5, and whether it is level."""

    deg: float
    grade: int
    level: bool
    side: str


@dataclass(frozen=True)
class Gap:
    """The largest gap [degree]: its width, within what it is with 80%, its ends, its side."""

    width: float
    low: float
    high: float
    start: float
    end: float
    side: str


@dataclass(frozen=True)
class Rose:
    """One survey.

    ``gap``: None with fewer than two roots. ``p_sides``: P(no gap too wide and sectors enough served).
    ``resultant``, ``heavy``: mean resultant length, plain and by grade, 0 (even) to 1 (one side); ``pull``:
    the side to which the thick roots pull, "" where they pull to none. ``p_rayleigh``, ``p_rao``: P(so
    uneven by chance); None where too few roots are there to tell. ``uneven``: the gap is wider than allowed.
    """

    id: UUID
    on: date
    roots: list[Root]
    defects: list[str]
    level: int
    gap: Gap | None
    sectors: int
    p_sides: float
    resultant: float | None
    heavy: float | None
    pull: str
    p_rayleigh: float | None
    p_rao: float | None
    uneven: bool


def side_of(degrees: float) -> str:
    return SIDES[round(degrees / 30.0) % 12]


def roses(tree: UUID, practice: Practice) -> list[Rose]:
    """A tree's root surveys, the newest first. One query."""
    rows = list(RootSurvey.objects.filter(tree=tree).order_by("-at", "-id")[:MOST])
    if not rows:
        return []
    found = [sorted(row.roots, key=lambda root: float(root["deg"])) for row in rows]
    owner = [at for at, seen in enumerate(found) for _ in seen]
    angle = [float(root["deg"]) for seen in found for root in seen]
    grade = [float(root["grade"]) for seen in found for root in seen]
    plain = roots.spread(owner, angle, len(rows))
    heavy = roots.spread(owner, angle, len(rows), weight=grade)
    sides = root_sides.p_all_sides(
        owner,
        angle,
        len(rows),
        error=practice.angle_error,
        limit=practice.gap_limit,
        needed=practice.sectors_needed,
        even=practice.even,
        missed=practice.overlooked,
    )
    rao = p_rao(plain.count, plain.rao)
    return [
        Rose(
            id=row.id,
            on=timezone.localdate(row.at),
            roots=[_root(root) for root in found[at]],
            defects=[DEFECTS.get(word, str(word).replace("_", " ")) for word in row.defects],
            level=sum(bool(root["level"]) for root in found[at]),
            gap=_gap(plain, at, practice.angle_error),
            sectors=int(plain.sectors[at]),
            p_sides=float(sides[at]),
            resultant=_known(plain.resultant[at]),
            heavy=_known(heavy.resultant[at]),
            pull=_pull(heavy, at),
            p_rayleigh=_known(plain.p_zar[at]) if plain.count[at] > 1 else None,
            p_rao=_known(rao[at]),
            uneven=bool(plain.gap[at] > practice.gap_limit),
        )
        for at, row in enumerate(rows)
    ]


def _root(root: dict[str, object]) -> Root:
    deg = float(str(root["deg"]))
    return Root(deg, int(str(root["grade"])), bool(root["level"]), side_of(deg))


def _gap(spread: roots.Spread, at: int, error: float) -> Gap | None:
    """Both roots beside it are judged with the same error, independent of each other."""
    if spread.count[at] < 2:
        return None
    width, middle = float(spread.gap[at]), float(spread.gap_middle[at])
    off = WITHIN * error * 2**0.5
    start, end = (middle - width / 2) % 360, (middle + width / 2) % 360
    return Gap(width, max(width - off, 0.0), min(width + off, 360.0), start, end, side_of(middle))


def _known(value: float) -> float | None:
    return None if np.isnan(value) else float(value)


#: A mean resultant under this pulls to no side worth a word. No source.
PULL = 0.2


def _pull(heavy: roots.Spread, at: int) -> str:
    length = float(heavy.resultant[at])
    return side_of(float(heavy.mean[at])) if length >= PULL else ""
