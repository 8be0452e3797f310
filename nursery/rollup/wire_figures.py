"""What is known of a tree that makes its wire bite sooner or later: thickness, its own growth, the wire."""

from collections.abc import Sequence

import numpy as np

from nursery.models import WirePart
from nursery.science import growth
from nursery.science.ragged import Bools, Floats, Ints, floats
from nursery.science.season import growth_years
from nursery.science.wire_model import design

#: Own growth is known from measurements of the base that lie so far apart [growth-year]. No source.
APART = 0.5


def own_growth(
    tree: Ints, day: Ints, mm: Floats, *, growth_mm: Floats, growth_sd_mm: Floats, now: int, south: Bools
) -> Floats:
    """Each tree's thickening over that of its species, (n,) [1]; NaN where it was not measured for long.

    Parameters
    ----------
    tree, day, mm : (m,) measurements of the base. growth_mm, growth_sd_mm : (n,) of the species [mm/year].
    now : today. south : (n,) trees with the seasons of the south.
    """
    at = growth_years(day, south=south[tree])
    found = growth.thickness_now(
        tree,
        at,
        mm,
        growth.measurement_sd(mm),
        rate=growth_mm,
        rate_sd=growth_sd_mm,
        now=growth_years(now, south=south),
    )
    first, last = np.full(growth_mm.size, np.inf), np.full(growth_mm.size, -np.inf)
    np.minimum.at(first, tree, at)
    np.maximum.at(last, tree, at)
    ratio = np.maximum(found.rate, 0.1 * growth_mm) / growth_mm
    return np.where(last - first >= APART, ratio, np.nan)


def thickness_at(tree: Ints, day: Ints, mm: Floats, of: Ints, on: Ints) -> Floats:
    """The last measurement of trees ``of`` up to days ``on``, else the first after, (k,) [mm], or NaN."""
    if not tree.size:
        return np.full(of.size, np.nan)
    span = 1_000_000  # more days than there are between any two looks
    order = np.lexsort((day, tree))
    key = tree[order] * span + day[order]
    at = np.searchsorted(key, of * span + on, side="right") - 1
    before = np.clip(at, 0, None)
    after = np.clip(at + 1, None, key.size - 1)
    has_before = (at >= 0) & (tree[order][before] == of)
    has_after = tree[order][after] == of
    sorted_mm = mm[order]
    return np.where(has_before, sorted_mm[before], np.where(has_after, sorted_mm[after], np.nan))


def covariates(own: Floats, caliper: Floats, wire: Sequence[float | None], part: Sequence[str]) -> Floats:
    """The model's covariates of k wires, (k, p)."""
    on_trunk = floats([0.0 if name == WirePart.BRANCH else 1.0 for name in part])
    return design(own, caliper, floats([np.nan if value is None else value for value in wire]), on_trunk)
