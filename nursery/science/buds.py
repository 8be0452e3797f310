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


#: Of one look: the share of trees with live low buds on which it sees some, and of those without on which it
#: sees none.
SEEN, NOT_INVENTED = 1.0 - float(IF_PRESENT[0]), float(IF_ABSENT[0])


def likelihoods(
    answer: ArrayLike,
    bulk: ArrayLike,
    *,
    seen: float = SEEN,
    not_invented: float = NOT_INVENTED,
    weight: float = BULK_WEIGHT,
) -> tuple[Floats, Floats]:
    """P(answer | present) and P(answer | absent).

    Parameters
    ----------
    answer : (m,) place in ``ANSWERS``.
    bulk : (m,) bool, given for many trees at once.
    seen, not_invented : sensitivity and specificity of one look; few and many share the rest as above.
    weight : the power for answers given in bulk.
    """
    power = np.where(np.asarray(bulk, dtype=bool), weight, 1.0)
    at = ints(answer)
    present = np.concatenate(([1 - seen], seen * IF_PRESENT[1:] / IF_PRESENT[1:].sum()))
    absent = np.concatenate(([not_invented], (1 - not_invented) * IF_ABSENT[1:] / IF_ABSENT[1:].sum()))
    return floats(present[at] ** power), floats(absent[at] ** power)
