"""Branches: counts, order and internodes against what a tree of its style and size needs.

Needs and errors are common practice, no source.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr

from .ragged import Floats, floats

#: Primary branches needed, secondary ones per primary, and the error of a count.
PRIMARIES_NEEDED = 5
SECONDARIES_EACH = 2
COUNT_ERROR = 0.8
#: Order of branching (Strahler) needed, and the error of judging it.
ORDER_NEEDED = 3
ORDER_ERROR = 0.4
#: Longest internode: a share of the target height, else [mm]; and the relative error of measuring one.
INTERNODE_SHARE = 0.04
INTERNODE_MM = 12.0
INTERNODE_ERROR = 0.2


@dataclass(frozen=True)
class Need:
    """What a design of one style needs: primary branches, secondary ones on each, order of branching."""

    primaries: int = PRIMARIES_NEEDED
    each: int = SECONDARIES_EACH
    order: int = ORDER_NEEDED

    @property
    def secondaries(self) -> int:
        return self.primaries * self.each


#: By style; a tree whose style is not chosen is judged as the usual one. Common practice, no source.
NEEDS: dict[str, Need] = {
    "formal_upright": Need(7),
    "informal_upright": Need(),
    "slanting": Need(),
    "semi_cascade": Need(4),
    "cascade": Need(),
    "broom": Need(5, 3, 4),
    "clump": Need(4),
    "literati": Need(3, 1, 2),
}


def need_of(style: str) -> Need:
    """The need of a style; the usual one for "" and for a style not in the table."""
    return NEEDS.get(style, Need())


def p_at_least(count: ArrayLike, need: ArrayLike, error: ArrayLike) -> Floats:
    """P(true count >= need | counted), normal with a continuity correction."""
    return ndtr((floats(count) - floats(need) + 0.5) / floats(error))


def p_set(
    primaries: ArrayLike,
    secondaries: ArrayLike,
    need: ArrayLike = PRIMARIES_NEEDED,
    each: ArrayLike = SECONDARIES_EACH,
    error: float = COUNT_ERROR,
) -> Floats:
    """P(primaries and secondaries are set), (n,), as the product of the two counts' p.

    ``need`` primaries and ``each`` secondary ones on every primary, (n,) or one for all.
    """
    wanted, on_each = floats(need), floats(each)
    enough = p_at_least(primaries, wanted, error)
    return enough * p_at_least(secondaries, wanted * on_each, error * np.sqrt(on_each))


def internode_limit(
    target_height_mm: ArrayLike, share: ArrayLike = INTERNODE_SHARE, otherwise: float = INTERNODE_MM
) -> Floats:
    """Longest internode that suits a target height [mm], (n,): its share, ``otherwise`` where it is NaN."""
    height = floats(target_height_mm)
    return np.where(np.isnan(height), otherwise, floats(share) * height)


def p_short(internode_mm: ArrayLike, limit_mm: ArrayLike, error: float = INTERNODE_ERROR) -> Floats:
    """P(internodes are no longer than the limit), (n,), with a relative error of measuring."""
    seen = floats(internode_mm)
    return ndtr((floats(limit_mm) - seen) / (error * np.maximum(seen, 1e-9)))


def p_order(order: ArrayLike, need: ArrayLike = ORDER_NEEDED, error: float = ORDER_ERROR) -> Floats:
    """P(order of branching is reached), (n,)."""
    return p_at_least(order, need, error)
