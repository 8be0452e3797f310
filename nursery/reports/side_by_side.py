"""Lots or benches side by side: how ready their trees are, and how thick against their targets."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any
from uuid import UUID

import numpy as np
from django.db.models import Count, F, Min, Q, QuerySet
from django.db.models.functions import Coalesce

from nursery.models import Bench, SeedLot, Standing
from nursery.science.practice import Practice

from .boards import here
from .pages import Page, cut

#: Lots or benches on a page.
SIZE = 40
#: Bars of a strip.
BARS = 25
#: Trees that a middle must rest on to be told in words.
TELLING = 5


class By(StrEnum):
    LOT = "lot"
    BENCH = "bench"


class Of(StrEnum):
    READINESS = "readiness"
    THICKNESS = "thickness"


#: Where a strip ends: a chance at 1, a thickness at one and a half times its target; more is drawn there.
END = {Of.READINESS: 1.0, Of.THICKNESS: 1.5}


@dataclass(frozen=True)
class Strip:
    """One lot or bench. ``known`` of its ``trees`` have the number; ``there`` of those have reached the mark.

    ``bars``: how many trees are in each of ``BARS`` equal parts up to the end. ``low``, ``middle``, ``high``:
    10%, half and 90% of the trees are under these; None where no number is known.
    """

    id: UUID
    name: str
    about: str
    trees: int
    known: int
    there: int
    bars: list[int]
    low: float | None
    middle: float | None
    high: float | None


@dataclass(frozen=True)
class SideBySide:
    """``mark``: from where a tree is there. ``loose``: trees of no lot, or on no bench."""

    by: By
    of: Of
    end: float
    mark: float
    page: Page[Strip]
    loose: int
    as_of: date | None

    def _told(self) -> list[Strip]:
        """From the lowest middle to the highest, those that rest on enough trees; [] with fewer than two."""
        rows = [strip for strip in self.page.rows if strip.known >= TELLING]
        return sorted(rows, key=lambda strip: strip.middle or 0.0) if len(rows) > 1 else []

    @property
    def best(self) -> Strip | None:
        return next(reversed(self._told()), None)

    @property
    def worst(self) -> Strip | None:
        return next(iter(self._told()), None)


def side_by_side(by: By, of: Of, gate: str, practice: Practice, number: int = 1) -> SideBySide:
    """Four queries, whatever the number of trees and groups.

    Parameters
    ----------
    gate : only trees before this gate; "" for all that have one ahead (of thickness: all trees).
    """
    standings = here().filter(gate=gate) if gate else here()
    if of == Of.READINESS:
        standings = standings.exclude(gate="")
    key = "tree__lot" if by == By.LOT else "tree__bench"
    mark = practice.ready if of == Of.READINESS else 1.0
    whole = standings.aggregate(loose=Count("tree", filter=Q(**{f"{key}__isnull": True})), day=Min("as_of"))

    def strips(groups: "Sequence[SeedLot | Bench]") -> list[Strip]:
        values = _values(standings, key, of, [group.pk for group in groups], practice)
        return [_strip(group, values[group.pk], END[of], mark) for group in groups]

    within = standings.filter(**{f"{key}__isnull": False}).values(key)
    groups: QuerySet[Any] = (
        SeedLot.objects.filter(pk__in=within).select_related("species").order_by("code", "pk")
        if by == By.LOT
        else Bench.objects.filter(pk__in=within).select_related("site").order_by("walk_order", "name", "pk")
    )
    page = cut(groups, number, lambda rows: strips(list(rows)), size=SIZE)
    return SideBySide(by, of, END[of], mark, page, whole["loose"], whole["day"])


def _values(
    standings: "QuerySet[Standing]", key: str, of: Of, groups: list[UUID], practice: Practice
) -> dict[UUID, list[float | None]]:
    """The number of each tree of these groups, None where it is not known. One query."""
    target = Coalesce("tree__target_base_mm", F("tree__target_height_mm") / practice.height_over_base)
    value = F("readiness") if of == Of.READINESS else F("caliper_mm") / target
    out: dict[UUID, list[float | None]] = defaultdict(list)
    rows = standings.filter(**{f"{key}__in": groups}).order_by()
    for group, number in rows.annotate(number=value).values_list(key, "number"):
        out[group].append(number)
    return out


def _strip(group: SeedLot | Bench, values: list[float | None], end: float, mark: float) -> Strip:
    known = np.array([value for value in values if value is not None], dtype=np.float64)
    at = np.minimum((known / end * BARS).astype(int), BARS - 1)
    low, middle, high = np.quantile(known, [0.1, 0.5, 0.9]).tolist() if known.size else (None,) * 3
    name, about = _names(group)
    return Strip(
        id=group.pk,
        name=name,
        about=about,
        trees=len(values),
        known=int(known.size),
        there=int((known >= mark).sum()),
        bars=np.bincount(at, minlength=BARS).tolist(),
        low=low,
        middle=middle,
        high=high,
    )


def _names(group: SeedLot | Bench) -> tuple[str, str]:
    if isinstance(group, SeedLot):
        return group.code, group.species.called
    return group.name, group.site.name
