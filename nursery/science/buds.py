"""Needle buds and live low branches: how good a look is, and what it says.

Shares of answers are common practice, no source: they wait for the nursery's own repeated looks.
"""

import numpy as np
from numpy.typing import ArrayLike

from .ragged import Floats, floats, ints

#: Answers in order.
ANSWERS = ("none", "few", "many")
#: P(answer | live low buds are there): a look among needles misses them one time in six.
IF_PRESENT = np.array([0.17, 0.38, 0.45])
#: P(answer | none is there): old scars and needle bases are sometimes taken for buds.
IF_ABSENT = np.array([0.85, 0.12, 0.03])
#: How much of a look's weight an answer given for many trees at once keeps, as a power of its likelihood.
BULK_WEIGHT = 0.4


def likelihoods(answer: ArrayLike, bulk: ArrayLike) -> tuple[Floats, Floats]:
    """P(answer | present) and P(answer | absent).

    Parameters
    ----------
    answer : (m,) place in ``ANSWERS``.
    bulk : (m,) bool, given for many trees at once.
    """
    power = np.where(np.asarray(bulk, dtype=bool), BULK_WEIGHT, 1.0)
    at = ints(answer)
    return floats(IF_PRESENT[at] ** power), floats(IF_ABSENT[at] ** power)
