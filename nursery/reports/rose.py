"""Roots round one trunk: what the surveys found, and what their spread says."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

import numpy as np
from django.utils import timezone

from nursery.models import RootSurvey
from nursery.science import roots
from nursery.science.rao import p_rao

#: Surveys that are shown: one at each repotting, for a life.
MOST = 30
#: Twelve sides, 0 degrees at the front and clockwise from above, as on the phone.
SIDES = (
    *("front", "front left", "left front", "left", "left back", "back left"),
    *("back", "back right", "right back", "right", "right front", "front right"),
)
DEFECTS = {
    "crossing": "crossing roots",
    "one_sided": "one-sided roots",
    "high": "a root too high",
    "girdling": "a girdling root",
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
    """The largest gap [degree]: its width, 80% of what the error of judging allows, its ends, its side."""

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
    uneven by chance); None where too few roots are there to tell.
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

    @property
    def uneven(self) -> bool:
        return self.gap is None or self.gap.width > roots.GAP_LIMIT


def side_of(degrees: float) -> str:
    return SIDES[round(degrees / 30.0) % 12]


def roses(tree: UUID) -> list[Rose]:
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
    sides = roots.p_all_sides(owner, angle, len(rows))
    rao = p_rao(plain.count, plain.rao)
    return [
        Rose(
            id=row.id,
            on=timezone.localdate(row.at),
            roots=[_root(root) for root in found[at]],
            defects=[DEFECTS.get(word, str(word).replace("_", " ")) for word in row.defects],
            level=sum(bool(root["level"]) for root in found[at]),
            gap=_gap(plain, at, [float(root["deg"]) for root in found[at]]),
            sectors=int(plain.sectors[at]),
            p_sides=float(sides[at]),
            resultant=_known(plain.resultant[at]),
            heavy=_known(heavy.resultant[at]),
            pull=_pull(heavy, at),
            p_rayleigh=_known(plain.p_zar[at]) if plain.count[at] > 1 else None,
            p_rao=_known(rao[at]),
        )
        for at, row in enumerate(rows)
    ]


def _root(root: dict[str, object]) -> Root:
    deg = float(str(root["deg"]))
    return Root(deg, int(str(root["grade"])), bool(root["level"]), side_of(deg))


def _gap(spread: roots.Spread, at: int, angles: list[float]) -> Gap | None:
    if len(angles) < 2:
        return None
    width, middle = float(spread.gap[at]), float(spread.gap_middle[at])
    low, high = roots.gap_range(angles)
    return Gap(
        width, min(low, width), max(high, width), (middle - width / 2) % 360, (middle + width / 2) % 360,
        side_of(middle),
    )  # fmt: skip


def _known(value: float) -> float | None:
    return None if np.isnan(value) else float(value)


#: A mean resultant under this pulls to no side worth a word. No source.
PULL = 0.2


def _pull(heavy: roots.Spread, at: int) -> str:
    length = float(heavy.resultant[at])
    return side_of(float(heavy.mean[at])) if length >= PULL else ""
