"""Learning from the nursery's own wires: the daily refit, kept as one row that the roll-up reads."""

from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from typing import Any
from uuid import UUID

import numpy as np
from django.utils import timezone

from nursery import hemisphere
from nursery.models import Caliper, Scars, Tree, WireFit, WireInspection, Wiring
from nursery.science import wire
from nursery.science.censored import WeibullFit
from nursery.science.ragged import Bools, Floats, Ints, floats, ints
from nursery.science.season import growing_months
from nursery.science.wire_forecast import ENOUGH, bite_span
from nursery.science.wire_looks import BITING, SUNK_IN, Judging, Looks
from nursery.science.wire_model import PRACTICE_SPENT, WireModel, from_practice, learn
from nursery.science.wire_spending import Worn, spent
from nursery.sentences import said

from .load import day_number, local_date
from .trunk import BASE_MM
from .wire_figures import covariates, own_growth, thickness_at

#: The newest wires that were looked at are learned from, no more than so many: a refit takes seconds.
MOST = 3000
#: Wires of a species and part that must have bitten before it is said how they did.
TELLING = 5


@dataclass(frozen=True)
class Learned:
    """What the roll-up knows of wires.

    Attributes
    ----------
    model : the model; that of practice where nothing was learned or the fit did not settle.
    like : (species, part) -> how many wires like this bit, and 10% and 90% of their times [growth-year].
    own : tree (as 32 hex digits) -> its shift of ln B, by its earlier wires.
    settled : False where a fit was tried and did not converge.
    """

    model: WireModel
    like: dict[tuple[str, str], tuple[int, float, float]]
    own: dict[str, float] = field(default_factory=dict)
    settled: bool = True

    @property
    def trusted(self) -> bool:
        """Whether enough wires bit to go by the model alone."""
        return self.model.bitten >= ENOUGH

    @cached_property
    def span(self) -> tuple[float, float]:
        """10% and 90% of when a usual wire bites, in bite times of the species [1]."""
        return bite_span(self.model)


def current() -> Learned:
    """The newest fit, in one query."""
    row = WireFit.objects.first()
    if row is None:
        return Learned(from_practice(), {})
    if not row.converged:
        return Learned(from_practice(), {}, settled=False)
    like = {(species, part): (n, low, high) for species, part, n, low, high in row.parameters["like"]}
    return Learned(_model(row), like, row.parameters["own"])


def refit(today: date | None = None) -> WireFit | None:
    """Learn from the wires that were looked at, and keep it; None while there are none.

    Runs beside the pushes: it reads, reckons, and writes one row at the end.
    """
    day = timezone.localdate() if today is None else today
    found = _read()
    if not found.wirings:
        WireFit.objects.all().delete()
        return None
    x, growth_known = _covariates(found, day_number(day))
    place = {id: at for at, id in enumerate(found.trees)}
    tree = ints([place[wiring.tree_id] for wiring in found.wirings])
    model = learn(found.looks, x, tree)
    caps = (wire.CAP_DAYS, wire.CAP_LEARNED_DAYS)
    worn = Worn.of(found.day, found.bite_months, x, growth_known, model.own[tree], found.south)
    model = replace(model, spent=spent(model, worn, caps))
    own = {id.hex: round(float(model.own[at]), 3) for id, at in place.items()}
    told = {id: shift for id, shift in sorted(own.items()) if shift}
    values = {"made_on": day, "n": model.n, "bitten": model.bitten, "sunk": model.sunk}
    values |= {"converged": model.converged, "parameters": _parameters(model, _like(found), told)}
    return WireFit.objects.update_or_create(id=1, defaults=values)[0]


def learned_words() -> str:
    """What the newest fit rests on, in a sentence."""
    row = WireFit.objects.first()
    if row is None:
        return said("No wire was looked at yet: wires are reckoned by practice.")
    found = said(
        "{n} wires looked at, {bitten} seen to bite, {sunk} sunk in",
        n=row.n,
        bitten=row.bitten,
        sunk=row.sunk,
    )
    if not row.converged:
        return said("Figures of {found} do not settle: wires are reckoned by practice.", found=found)
    return said("Learned from {found}.", found=found)


@dataclass(frozen=True)
class _Found:
    """The wirings learned from, and the looks at them; days and bite times [growing month] by wire."""

    wirings: list[Wiring]
    trees: dict[UUID, Tree]
    day: Ints
    bite_months: Floats
    south: Bools
    looks: Looks


def _read() -> _Found:
    seen = Wiring.objects.filter(looks__isnull=False) | Wiring.objects.filter(scars=Scars.DEEP)
    ids = list(seen.order_by("-at", "-id").distinct().values_list("id", flat=True)[:MOST])
    wirings = list(Wiring.objects.filter(id__in=ids).order_by("at", "id"))
    trees = {
        tree.id: tree for tree in Tree.objects.filter(wiring__id__in=ids).select_related("species").distinct()
    }
    place = {wiring.id: at for at, wiring in enumerate(wirings)}
    day = np.array([day_number(local_date(wiring.at)) for wiring in wirings], dtype=np.intp)
    bite = floats([trees[wiring.tree_id].species.bite_months for wiring in wirings])
    rows = [
        (place[wiring], day_number(local_date(at)), wire.STATES.index(state))
        for wiring, at, state in WireInspection.objects.filter(wiring_id__in=ids)
        .order_by("at", "id")
        .values_list("wiring_id", "at", "state")
    ]
    # Deep scars tell that the wire had sunk in when it came off, whatever the looks before said.
    rows += [
        (at, day_number(local_date(wiring.off_at)), SUNK_IN)
        for at, wiring in enumerate(wirings)
        if wiring.off_at is not None and wiring.scars == Scars.DEEP
    ]
    owner, when, state = np.array(rows, dtype=np.intp).reshape(-1, 3).T
    of_tree = dict(zip(trees, hemisphere.south(list(trees.values())), strict=True))
    south = np.array([of_tree[wiring.tree_id] for wiring in wirings], dtype=bool)
    u = bite_times(day[owner], when, bite[owner], south[owner])
    return _Found(wirings, trees, day, bite, south, Looks.of(owner, u, state, len(wirings)))


def bite_times(on: Ints, when: Ints, bite_months: Floats, south: Bools) -> Floats:
    """Growing time since wiring in bite times of the species, (m,) [1]."""
    gone = growing_months(when, south=south) - growing_months(on, south=south)
    return np.asarray(np.maximum(gone, 0.0) / bite_months)


def _covariates(found: _Found, now: int) -> tuple[Floats, Bools]:
    """(n, p) from ``design``, and whether the growth of each wire's tree was measured."""
    place = {id: at for at, id in enumerate(found.trees)}
    measured = [
        (place[tree], day_number(local_date(at)), mm)
        for tree, at, mm, height in Caliper.objects.filter(tree_id__in=list(place))
        .order_by("at", "id")
        .values_list("tree_id", "at", "mm", "height_mm")
        if height is None or height <= BASE_MM
    ]
    tree, day, mm = np.array(measured, dtype=np.float64).reshape(-1, 3).T
    owner, days = tree.astype(np.intp), day.astype(np.intp)
    species = [tree.species for tree in found.trees.values()]
    own = own_growth(
        owner,
        days,
        mm,
        growth_mm=floats([each.growth_mm for each in species]),
        growth_sd_mm=floats([each.growth_sd_mm for each in species]),
        now=now,
        south=hemisphere.south(list(found.trees.values())),
    )
    of = np.array([place[wiring.tree_id] for wiring in found.wirings], dtype=np.intp)
    x = covariates(
        own[of],
        thickness_at(owner, days, mm, of, found.day),
        [wiring.wire_mm for wiring in found.wirings],
        [wiring.part for wiring in found.wirings],
    )
    return x, ~np.isnan(own[of])


def _like(found: _Found) -> list[list[Any]]:
    """[species, part, wires bitten, 10% and 90% of the middle of the gap in which each bit [growth-year]]."""
    looks, n = found.looks, found.looks.n
    low, high = np.zeros(n), np.full(n, np.inf)
    bitten = looks.state >= BITING
    np.minimum.at(high, looks.owner[bitten], looks.u[bitten])
    before = ~bitten & (looks.u < high[looks.owner])
    np.maximum.at(low, looks.owner[before], looks.u[before])
    years = (low + high) / 2 * found.bite_months / float(np.diff(growing_months([0, 365]))[0])
    kinds: dict[tuple[str, str], list[float]] = {}
    for at in np.flatnonzero(np.isfinite(high)):
        wiring = found.wirings[at]
        kinds.setdefault((found.trees[wiring.tree_id].species_id, wiring.part), []).append(float(years[at]))
    return [
        [species, part, len(times), *(round(float(np.quantile(times, q)), 1) for q in (0.1, 0.9))]
        for (species, part), times in sorted(kinds.items())
        if len(times) >= TELLING
    ]


def _parameters(model: WireModel, like: list[list[Any]], own: dict[str, float]) -> dict[str, Any]:
    return {
        "bite": [model.bite.theta.tolist(), model.bite.cov.tolist()],
        "sink": [model.sink.theta.tolist(), model.sink.cov.tolist()],
        "bite_nodes": model.bite_nodes.tolist(),
        "sink_nodes": model.sink_nodes.tolist(),
        "shares": model.shares.tolist(),
        "judging": [
            model.judging.snug,
            model.judging.marking,
            model.judging.misjudged,
            model.judging.spread,
        ],
        "rho": model.rho,
        "looks": model.looks,
        "spent": [round(float(risk), 6) for risk in model.spent],
        "like": like,
        "own": own,
    }


def _model(row: WireFit) -> WireModel:
    kept = row.parameters

    def fit(name: str) -> WeibullFit:
        theta, cov = kept[name]
        return WeibullFit(floats(theta), floats(cov), 0.0, row.converged, row.n)

    return WireModel(
        fit("bite"),
        fit("sink"),
        floats(kept["bite_nodes"]),
        floats(kept["sink_nodes"]),
        floats(kept["shares"]),
        Judging(*kept["judging"]),
        kept["rho"],
        n=row.n,
        bitten=row.bitten,
        sunk=row.sunk,
        looks=kept["looks"],
        # A fit kept by an earlier version does not tell: practice does, until the next.
        spent=floats(kept.get("spent", PRACTICE_SPENT)),
        converged=row.converged,
    )
