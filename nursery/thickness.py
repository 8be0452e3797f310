"""Trees and their caliper readings -> the growth model: what the roll-up and the tree's page both ask."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from uuid import UUID

import numpy as np
from django.utils import timezone

from nursery import hemisphere
from nursery.models import Caliper, GrowthFit, Species, Tree
from nursery.science import growth_model as gm
from nursery.science.growth_forecast import Forecast, forecast
from nursery.science.growth_life import Lives, first_of, guessed_sowing, lives
from nursery.science.odd_readings import Odd, Oddity, judge, learn_warily
from nursery.science.ragged import Floats, Ints, floats, ints
from nursery.sentences import later, said

#: A measurement up to so high above the roots is one of the base [mm].
BASE_MM = 30.0
#: At most so many trees are learned from, those measured last: a refit takes seconds.
MOST_TREES = 6000
#: What an odd reading looks like, and what to check.
CHECK = {
    Oddity.TEN_TIMES: later("looks ten times too large: check the decimal point"),
    Oddity.A_TENTH: later("looks ten times too small: check the decimal point"),
    Oddity.SHRANK: later("is thinner than a reading before it: measure again at the same height"),
    Oddity.FAR_OFF: later("is far from what its other readings and its kin let expect: measure again"),
}
_EPOCH = date(1970, 1, 1).toordinal()


def day_number(day: date) -> int:
    """Days since 1970-01-01."""
    return day.toordinal() - _EPOCH


def day_of(number: int) -> date:
    return date.fromordinal(number + _EPOCH)


@dataclass(frozen=True)
class Trunks:
    """n trees with their readings of the base, ready to be asked.

    Attributes
    ----------
    model, readings, lives : see the science; ``readings.odd`` is set.
    odd : (m,) what was odd about each reading.
    """

    model: gm.GrowthModel
    readings: gm.Readings
    lives: Lives
    odd: Odd

    def on(self, days: Ints) -> Forecast:
        """Diameters of all trees on k days [since 1970-01-01]: (n, k)."""
        n = self.readings.n
        tree, day = np.broadcast_arrays(np.arange(n)[:, None], ints(days)[None, :])
        return forecast(self.model, self.readings, self.lives.exposure(tree, day))


def trunks(
    trees: Sequence[Tree], owner: Ints, day: Ints, mm: Floats, now: int, fit: GrowthFit | None
) -> Trunks:
    """Put trees beside what the nursery learned.

    Parameters
    ----------
    trees : n, each with its species loaded. owner, day, mm : (m,) readings of the base in order of time.
    now : today [days since 1970-01-01]. fit : from ``current``.
    """
    slugs = sorted({tree.species_id for tree in trees})
    growth = {tree.species_id: tree.species.growth_mm for tree in trees}
    known = fit.parameters if fit is not None else {"species": {}, "lots": {}}
    lots = sorted({str(tree.lot_id) for tree in trees} & known["lots"].keys())
    model = _model(fit, slugs, growth, lots)
    life = _lives(trees, owner, day, mm, now)
    at = {name: place for place, name in enumerate(slugs)}
    lot_at = {name: place for place, name in enumerate(lots)}
    readings = gm.Readings.of(
        owner,
        life.exposure(owner, day),
        mm,
        lot=np.array([lot_at.get(str(tree.lot_id), -1) for tree in trees], dtype=np.intp),
        species=np.array([at[tree.species_id] for tree in trees], dtype=np.intp),
    )
    odd = judge(model, readings)
    return Trunks(model, replace(readings, odd=odd.wide), life, odd)


def _lives(trees: Sequence[Tree], owner: Ints, day: Ints, mm: Floats, now: int) -> Lives:
    growth = floats([tree.species.growth_mm for tree in trees])
    guess = guessed_sowing(*first_of(owner, floats(day), mm, len(trees), float(now)), growth)
    south = hemisphere.south(trees)
    sown = [
        guess[at] if tree.sown_year is None else day_number(date(tree.sown_year, 10 if south[at] else 4, 1))
        for at, tree in enumerate(trees)
    ]
    since = [day_number(tree.phase_since) for tree in trees]
    return lives([tree.phase for tree in trees], since, np.minimum(sown, now), south)


def _model(
    fit: GrowthFit | None, slugs: list[str], growth: dict[str, float], lots: list[str]
) -> gm.GrowthModel:
    practice = gm.from_practice([growth[slug] for slug in slugs])
    if fit is None:
        return practice
    kept: dict[str, Any] = fit.parameters
    mean, cov = practice.species_mean, practice.species_cov
    for at, slug in enumerate(slugs):
        if slug in kept["species"]:
            mean[at], cov[at] = kept["species"][slug]
    found = [kept["lots"][lot] for lot in lots]
    return gm.GrowthModel(
        practice.prior,
        floats(kept["eta"]),
        mean,
        cov,
        floats([lot[0] for lot in found]).reshape(-1, 3),
        floats([lot[1] for lot in found]).reshape(-1, 3, 3),
        n=fit.trees,
        m=fit.readings,
        width=tuple(kept["width"]),
        ahead=kept.get("ahead", 1.0),  # a fit kept by an earlier version does not tell
        converged=fit.converged,
    )


def current() -> GrowthFit | None:
    """The newest fit, in one query; None while nothing was learned."""
    return GrowthFit.objects.first()


def refit(today: date | None = None) -> GrowthFit | None:
    """Learn from all trees that were measured, and keep it; None while there are none.

    Runs beside the pushes: it reads, reckons, and writes one row at the end.
    """
    now = day_number(timezone.localdate() if today is None else today)
    rows = list(
        Caliper.objects.filter(tree__left_how="")
        .exclude(height_mm__gt=BASE_MM)
        .order_by("at", "id")
        .values_list("tree_id", "at", "mm")
    )
    newest = list(dict.fromkeys(tree for tree, _, _ in reversed(rows)))[:MOST_TREES]
    if not newest:
        GrowthFit.objects.all().delete()
        return None
    trees = list(Tree.objects.filter(id__in=newest).select_related("species").order_by("id"))
    place = {tree.id: at for at, tree in enumerate(trees)}
    mine = [row for row in rows if row[0] in place]
    owner = np.array([place[tree] for tree, _, _ in mine], dtype=np.intp)
    day = np.array([min(day_number(timezone.localdate(at)), now) for _, at, _ in mine], dtype=np.intp)
    model, lots, slugs = _learn(trees, owner, day, floats([mm for _, _, mm in mine]), now)
    values = {
        "made_on": day_of(now),
        "trees": model.n,
        "readings": model.m,
        "converged": model.converged,
        "parameters": _parameters(model, lots, slugs),
    }
    return GrowthFit.objects.update_or_create(id=1, defaults=values)[0]


def learned_words() -> str:
    """What the newest fit rests on, in a sentence."""
    fit = current()
    if fit is None:
        return said("Nothing learned of trunks yet: none was measured.")
    if not fit.converged:
        return said("The figures of your own trunks do not settle: practice stands in for their spreads.")
    return said("Learned from {n} readings of {trees} trunks.", n=fit.readings, trees=fit.trees)


def _learn(
    trees: list[Tree], owner: Ints, day: Ints, mm: Floats, now: int
) -> tuple[gm.GrowthModel, list[UUID], list[str]]:
    species = list(Species.objects.order_by("slug").values_list("slug", "growth_mm"))
    slug_at = {slug: at for at, (slug, _) in enumerate(species)}
    lots = sorted({tree.lot_id for tree in trees if tree.lot_id is not None})
    lot_at = {lot: at for at, lot in enumerate(lots)}
    readings = gm.Readings.of(
        owner,
        _lives(trees, owner, day, mm, now).exposure(owner, day),
        mm,
        lot=np.array([-1 if t.lot_id is None else lot_at[t.lot_id] for t in trees], dtype=np.intp),
        species=np.array([slug_at[tree.species_id] for tree in trees], dtype=np.intp),
    )
    model, _ = learn_warily(readings, [growth for _, growth in species])
    return model, lots, [slug for slug, _ in species]


def _parameters(model: gm.GrowthModel, lots: list[UUID], slugs: list[str]) -> dict[str, Any]:
    def both(mean: Floats, cov: Floats) -> list[Any]:
        return [np.round(mean, 8).tolist(), np.round(cov, 10).tolist()]

    return {
        "eta": np.round(model.eta, 8).tolist(),
        "width": [round(width, 6) for width in model.width],
        "ahead": round(model.ahead, 6),
        "species": {
            slug: both(model.species_mean[at], model.species_cov[at]) for at, slug in enumerate(slugs)
        },
        "lots": {str(lot): both(model.lot_mean[at], model.lot_cov[at]) for at, lot in enumerate(lots)},
    }
