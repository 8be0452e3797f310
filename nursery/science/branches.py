"""Branches: counts and internodes against what a tree of its size needs. First version.

Needs and errors are common practice, no source.
"""

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


def p_at_least(count: ArrayLike, need: ArrayLike, error: ArrayLike) -> Floats:
    """P(true count >= need | counted), normal with a continuity correction."""
    return ndtr((floats(count) - floats(need) + 0.5) / floats(error))


def p_set(primaries: ArrayLike, secondaries: ArrayLike) -> Floats:
    """P(primaries and secondaries are set), (n,), as the product of the two counts' p."""
    enough = p_at_least(primaries, PRIMARIES_NEEDED, COUNT_ERROR)
    need = PRIMARIES_NEEDED * SECONDARIES_EACH
    return enough * p_at_least(secondaries, need, COUNT_ERROR * np.sqrt(SECONDARIES_EACH))


def internode_limit(target_height_mm: ArrayLike) -> Floats:
    """Longest internode that suits the target height [mm], (n,); ``INTERNODE_MM`` where it is NaN."""
    height = floats(target_height_mm)
    return np.where(np.isnan(height), INTERNODE_MM, INTERNODE_SHARE * height)


def p_short(internode_mm: ArrayLike, limit_mm: ArrayLike) -> Floats:
    """P(internodes are no longer than the limit), (n,), with a relative error of measuring."""
    seen = floats(internode_mm)
    return ndtr((floats(limit_mm) - seen) / (INTERNODE_ERROR * np.maximum(seen, 1e-9)))


def p_order(order: ArrayLike) -> Floats:
    """P(order of branching is reached), (n,)."""
    return p_at_least(order, ORDER_NEEDED, ORDER_ERROR)
