"""What a tree has lived through: growth-years in each regime, from what little is written down of it.

====  ==========================================================================
E     exposure: growth-years in small pots, growing freely, and held back, (., 3)
====  ==========================================================================

Of a tree's phases the present one and its first day are known. Before that a seedling is taken to leave its
small pots after ``SMALL_YEARS``, and a tree in refinement to have been held back for ``BRANCH_YEARS``. All
such years: common practice, no source.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from .ragged import Bools, Floats, Ints, floats, ints
from .season import growth_years

#: Phases by regime, in the order of ``growth_model.REGIMES``.
REGIME_OF = {"sown": 0, "seedling": 0, "roots": 0, "trunk": 1, "branches": 2, "refinement": 2}
SMALL_YEARS, LATE_YEARS, BRANCH_YEARS = 3.0, 6.0, 4.0
#: Age of a tree of which neither the year of sowing nor a reading is known [year].
UNKNOWN_YEARS = 5.0
_YEAR = 365.25


@dataclass(frozen=True)
class Lives:
    """Days since 1970-01-01 on which each of n trees came up, was set free, and was held back, and
    whether its seasons are those of the south; (n,)."""

    sown: Floats
    free: Floats
    held: Floats
    south: Bools

    def exposure(self, tree: ArrayLike, day: ArrayLike) -> Floats:
        """E up to days, of some trees; ``tree`` and ``day`` of one shape, the answer (..., 3)."""
        who = ints(tree)
        at = growth_years(day, south=self.south[who])
        start, free, held = (
            growth_years(days, south=self.south)[who] for days in (self.sown, self.free, self.held)
        )
        small = np.minimum(at, free) - start
        freely = np.minimum(at, held) - np.maximum(free, start)
        return np.stack([np.maximum(part, 0.0) for part in (small, freely, at - held)], axis=-1)


def lives(phase: list[str], since: ArrayLike, sown: ArrayLike, south: ArrayLike = False) -> Lives:
    """Days of n trees.

    Parameters
    ----------
    phase : of each. since : (n,) first day of the phase. sown : (n,) day of coming up [both days since
        1970-01-01]. south : (n,), or one for all; see ``season``.
    """
    regime = np.array([REGIME_OF[name] for name in phase], dtype=np.intp)
    refined = np.array([name == "refinement" for name in phase], dtype=bool)
    start, begun = floats(sown), np.maximum(floats(since), floats(sown))
    usual = np.minimum(start + SMALL_YEARS * _YEAR, begun)
    # A first day late in life is that of the tree's entry in the book, not of its freedom.
    early = begun <= start + LATE_YEARS * _YEAR
    never = np.inf
    free = np.where(regime == 0, never, np.where((regime == 1) & early, begun, usual))
    held = np.where(regime == 2, begun - np.where(refined, BRANCH_YEARS * _YEAR, 0.0), never)
    held = np.where(regime == 2, np.maximum(held, usual), held)
    far = float(start.max(initial=0.0)) + 1e5
    turned = np.broadcast_to(np.asarray(south, dtype=bool), start.shape)
    return Lives(start, np.minimum(free, far), np.minimum(held, far), turned)


def guessed_sowing(first_day: ArrayLike, first_mm: ArrayLike, growth: ArrayLike) -> Floats:
    """Day on which trees of unknown age came up, by their first reading, (n,).

    Parameters
    ----------
    first_day, first_mm : (n,) of the first reading; mm NaN where there is none, and the day is then today.
    growth : (n,) free thickening of the species [mm/year].
    """
    years = np.clip(floats(first_mm) / (0.6 * floats(growth)), 1.0, 40.0)
    years = np.where(np.isnan(years), UNKNOWN_YEARS, years)
    return np.asarray(floats(first_day) - years * _YEAR)


def first_of(owner: Ints, day: Floats, value: Floats, n: int, now: float) -> tuple[Floats, Floats]:
    """Day and value of each tree's first reading, (n,): now and NaN where there is none."""
    first_day, first = np.full(n, now), np.full(n, np.nan)
    order = np.argsort(-floats(day), kind="stable")
    first_day[owner[order]], first[owner[order]] = floats(day)[order], value[order]
    return first_day, first
