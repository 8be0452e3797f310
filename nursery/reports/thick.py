"""How thick a tree's trunk is, will be, and when it reaches its target."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from django.utils import timezone

from nursery.models import Caliper, GrowthFit, Tree
from nursery.science.growth_forecast import HIGH, LOW, MIDDLE, Forecast
from nursery.science.odd_readings import Oddity
from nursery.science.practice import Practice
from nursery.science.ragged import Ints, floats
from nursery.sentences import N_, said
from nursery.thickness import BASE_MM, CHECK, current, day_number, day_of, trunks

#: How far ahead arrival is looked for, and the least and most that is drawn [years].
LOOK_YEARS, LEAST_YEARS, MOST_YEARS = 40, 3, 12


@dataclass(frozen=True)
class Measure:
    """The trunk across, in mm, at one height (null: just above the roots); ``check``: what is odd."""

    at: date
    mm: float
    height_mm: float | None
    check: str = ""

    @property
    def base(self) -> bool:
        return self.height_mm is None or self.height_mm <= BASE_MM


@dataclass(frozen=True)
class Band:
    """A day with the diameter expected [mm]: half of such trunks are under ``middle``, 80% within."""

    at: date
    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class Thickness:
    """One tree's forecast.

    ``years``: today and each year on. ``line``: the same closer together, from the last reading on, to draw.
    ``arrival``: the days by which the target is reached with 10%, 50% and 90%; None where that is not within
    ``LOOK_YEARS`` years. ``reached``: P(reached by now). ``grounds``: what all this rests on.
    """

    target: float | None
    reached: float | None
    arrival: tuple[date | None, date | None, date | None] | None
    years: list[Band]
    line: list[Band]
    grounds: str


def measures(tree: Tree) -> list[Measure]:
    """At most 500, which is a reading a month for 40 years."""
    readings = Caliper.objects.filter(tree=tree).order_by("at", "id")[:500]
    return [Measure(timezone.localdate(c.at), c.mm, c.height_mm) for c in readings]


def thickness(tree: Tree, read: Sequence[Measure], own: Practice) -> tuple[Thickness | None, list[Measure]]:
    """The forecast of one tree, and its measures with what is odd about them; two queries.

    ``own``: the settings in force.

    Returns
    -------
    None for a tree that left.
    """
    if tree.left_how:
        return None, list(read)
    fit, today = current(), timezone.localdate()
    now = day_number(today)
    base = [at for at, measure in enumerate(read) if measure.base]
    day = np.array([min(day_number(read[at].at), now) for at in base], dtype=np.intp)
    owner = np.zeros(len(base), dtype=np.intp)
    found = trunks([tree], owner, day, floats([read[at].mm for at in base]), now, fit)
    marked = list(read)
    for at, kind in zip(base, found.odd.kind, strict=True):
        if kind:
            marked[at] = replace(read[at], check=str(CHECK[Oddity(kind)]))
    ahead = now + np.round(np.arange(0, LOOK_YEARS * 12 + 1) * 365.25 / 12).astype(np.intp)
    target = tree.target_base_mm or (tree.target_height_mm and tree.target_height_mm / own.height_over_base)
    given = found.on(ahead)
    arrival = _arrival(given, ahead, target) if target else None
    span = _span(arrival, today)
    start = min(int(day[-1]), now) if day.size else now
    drawn = np.unique(np.linspace(start, now + span * 365.25, 40).astype(np.intp))
    yearly = ahead[: span * 12 + 1 : 12]
    return (
        Thickness(
            target=target,
            reached=float(given.p_reached([target])[0, 0]) if target else None,
            arrival=arrival,
            years=_band(given, slice(0, span * 12 + 1, 12), yearly),
            line=_band(found.on(drawn), slice(None), drawn),
            grounds=_grounds(fit, len(base)),
        ),
        marked,
    )


def _band(given: Forecast, which: slice, days: Ints) -> list[Band]:
    low, middle, high = (given.quantile(q)[0, which] for q in (LOW, MIDDLE, HIGH))
    return [
        Band(day_of(int(day)), *(round(float(part[at]), 1) for part in (low, middle, high)))
        for at, day in enumerate(days)
    ]


def _arrival(given: Forecast, days: Ints, target: float) -> tuple[date | None, date | None, date | None]:
    found = [float(given.arrival([target], days, q)[0]) for q in (LOW, MIDDLE, HIGH)]
    early, middle, late = (day_of(int(day)) if np.isfinite(day) else None for day in found)
    return early, middle, late


def _span(arrival: tuple[date | None, ...] | None, today: date) -> int:
    """Years to draw: to the late end of the arrival, in reason."""
    if arrival is None:
        return LEAST_YEARS
    late = arrival[2] or arrival[1]
    years = MOST_YEARS if late is None else (late - today).days // 365 + 2
    return min(max(years, LEAST_YEARS), MOST_YEARS)


def _grounds(fit: GrowthFit | None, readings: int) -> str:
    told = said("{n} readings of its own, its lot and species.", n=readings)
    if readings < 2:
        none = said("Never measured: it is as its lot and species.")
        told = said("One reading, and its lot and species.") if readings else none
    if fit is None:
        return f"{told} {said('Growth by practice (assumed): the nursery has not been learned from yet.')}"
    if not fit.converged:
        unsettled = N_("The nursery's own figures do not settle: spreads are those of practice (assumed).")
        return f"{told} {said(unsettled)}"
    learned = said(
        "Growth learned from {readings} readings of {trees} trees here.",
        readings=fit.readings,
        trees=fit.trees,
    )
    return f"{told} {learned}"
