"""Gates and readiness: a gate opens when all of its criteria are met."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from .ragged import Floats, Ints, floats

#: Criteria of each gate, in the order in which they are shown.
GATES: dict[str, tuple[str, ...]] = {
    "roots": ("alive", "season_old", "firm"),
    "trunk": ("roots_spread", "roots_level", "no_defect"),
    "branches": ("at_target", "taper", "wire_done", "low_buds"),
    "refinement": ("primaries", "internodes", "order"),
}
#: The gate ahead of each phase; "" where none is left.
GATE_OF = {
    "sown": "roots",
    "seedling": "roots",
    "roots": "trunk",
    "trunk": "branches",
    "branches": "refinement",
    "refinement": "",
}
#: P(met) before anybody looked: neither a pass nor a zero. Common practice, no source. Low buds and diameter
#: have priors of their own, from the species and the age.
PRIORS = {
    "alive": 0.8,
    "season_old": 0.5,
    "firm": 0.7,
    "roots_spread": 0.4,
    "roots_level": 0.6,
    "no_defect": 0.7,
    "at_target": 0.3,
    "taper": 0.5,
    "wire_done": 0.3,
    "primaries": 0.4,
    "internodes": 0.4,
    "order": 0.4,
}


@dataclass(frozen=True)
class Readiness:
    """``p`` (n,) is P(all criteria met); ``held_by`` (n,) the column of the smallest p, first of equals."""

    p: Floats
    held_by: Ints


def readiness(p: ArrayLike) -> Readiness:
    """Put the criteria of one gate together, for all trees at it.

    Parameters
    ----------
    p : (n, k) P(criterion met | evidence), in [0, 1]. The criteria rest on different looks and are taken as
        independent: P(all) is their product, never their average.
    """
    table = floats(p)
    if table.size and not ((table >= 0) & (table <= 1)).all():
        raise ValueError("a criterion's p must lie in 0..1 (NaN is not a probability: give the prior)")
    return Readiness(table.prod(axis=1), table.argmin(axis=1).astype(np.intp))
