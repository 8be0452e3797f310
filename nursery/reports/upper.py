"""Caliper readings higher up the trunk that do not fit the others: told, with what to check.

Those of the base are judged by the growth model (``science.odd_readings``); of a height there are too few
for a model, and what is odd is said by plain rules, common practice, no source. A thinner reading up there is
not odd: the leader may have been cut.
"""

import math
from collections.abc import Sequence
from dataclasses import replace

from nursery.science.odd_readings import NEAR_TEN, Oddity
from nursery.sentences import said
from nursery.thickness import CHECK

from .thick import Measure

#: Readings so near in height are of one place [mm].
SAME_PLACE = 15.0
#: A trunk may be so much thicker above than at its base before that is odd: a swelling, a fork.
SWELLING = 1.3


def mark_upper(measures: Sequence[Measure]) -> list[Measure]:
    """The measures in order of time, those above the base with what is odd about them."""
    return [m if m.base or m.check else replace(m, check=_check(m, measures)) for m in measures]


def _check(m: Measure, all_of_it: Sequence[Measure]) -> str:
    fair = [other for other in all_of_it if other is not m and not other.check]
    same = [other for other in fair if not other.base and _near(m, other)]
    base = [other for other in fair if other.base]
    about = _nearest(m, same) or _nearest(m, base)
    if about is None:
        return ""
    apart = math.log(m.mm / about.mm)
    if abs(apart - math.log(10.0)) < NEAR_TEN:
        return str(CHECK[Oddity.TEN_TIMES])
    # Against the base a tenth is only a thin tip.
    if same and abs(apart + math.log(10.0)) < NEAR_TEN:
        return str(CHECK[Oddity.A_TENTH])
    low = _nearest(m, base)
    if low is not None and m.mm > SWELLING * low.mm:
        return said("is far thicker than the trunk below it: check both, and the height")
    return ""


def _near(m: Measure, other: Measure) -> bool:
    return abs((m.height_mm or 0.0) - (other.height_mm or 0.0)) <= SAME_PLACE


def _nearest(m: Measure, others: Sequence[Measure]) -> Measure | None:
    return min(others, key=lambda other: abs((other.at - m.at).days), default=None)
