"""Caliper readings that do not fit: kept, named, and given less weight, never dropped.

====  =============================================================================================
r     ln of a reading less what the tree's other readings, its lot and its species let expect
s     spread of that expectation, the error of the reading included
z     r / s
====  =============================================================================================

A reading is odd when |z| > ``ODD``, or when it is thinner than an earlier one by more than both could err.
Its error is then taken to be as wide as it is off, so that it hardly pulls; the oddest of a tree is judged
first, then the others without it. Source: leave-one-out residuals of a normal model (Cook & Weisberg 1982,
Residuals and Influence in Regression, chapter 2); that trunks do not get thinner: common practice, no source.
"""

from dataclasses import dataclass, replace
from enum import IntEnum

import numpy as np
from numpy.typing import ArrayLike

from .growth_model import GrowthModel, Readings, from_practice, learn, relearn, sample
from .growth_widths import kept_to_word, left_out
from .ragged import Bools, Floats, Ints, ragged

#: |z| above which a reading is odd, once the nursery's spreads are learned and while they are practice's.
ODD, ODD_AT_FIRST = 5.0, 6.0
#: A trunk has shrunk when two readings differ by so many of their joint errors.
SHRUNK = 3.0
#: How near to ten times, in ln, counts as a slip of the decimal point.
NEAR_TEN = 0.4
_ROUNDS = 4
#: Spreads are learned anew at most so many times.
_AGAIN = 3


class Oddity(IntEnum):
    NONE = 0
    TEN_TIMES = 1
    A_TENTH = 2
    SHRANK = 3
    FAR_OFF = 4


@dataclass(frozen=True)
class Odd:
    """All (m,), one a reading.

    Attributes
    ----------
    kind : an ``Oddity``. wide : how many times wider than usual it errs, 1 where nothing is odd.
    expected : what the other readings let expect [unit of d].
    """

    kind: Ints
    wide: Floats
    expected: Floats


def judge(model: GrowthModel, readings: Readings, *, limit: float = ODD) -> Odd:
    """Judge all readings of all trees; ``readings.odd`` is not looked at."""
    m = readings.d.size
    error = replace(readings, odd=np.ones(m)).error() * np.exp(model.eta[6])
    wide, kind = np.ones(m), np.zeros(m, dtype=np.intp)
    r = np.zeros(m)
    for _ in range(_ROUNDS):
        r, s = left_out(model, replace(readings, odd=wide))
        z = np.where(kind == Oddity.NONE, np.abs(r) / s, 0.0)
        worst = _worst_of_tree(readings.owner, z, readings.n) & (z > limit)
        if not worst.any():
            break
        kind[worst] = _name(r[worst])
        wide[worst] = np.maximum(np.abs(r[worst]) / error[worst], 1.0)
    thin, drop = _shrunk(readings, error, kind)
    kind[thin] = Oddity.SHRANK
    wide[thin] = np.maximum(wide[thin], drop[thin] / error[thin])
    return Odd(kind, wide, np.asarray(np.exp(np.log(readings.d) - r)))


def learn_warily(readings: Readings, growth: ArrayLike, *, steps: int = 60) -> tuple[GrowthModel, Odd]:
    """Fit with odd readings down-weighted: judged by practice first, then by what was learned.

    Where practice took for odd what the learned model does not, for the nursery grows otherwise, the spreads
    were learned without its most telling readings: they are learned again with them.

    Parameters are those of ``growth_model.learn``.
    """
    first = judge(from_practice(growth), readings, limit=ODD_AT_FIRST)
    model = learn(replace(readings, odd=first.wide), growth, steps=steps)
    odd = judge(model, readings)
    for _ in range(_AGAIN):
        if not ((first.kind != Oddity.NONE) & (odd.kind == Oddity.NONE)).any():
            break
        again = learn(replace(readings, odd=odd.wide), growth, steps=steps, start=model.eta)
        if not again.converged:
            break
        first, model, odd = odd, again, judge(again, readings)
    fair = replace(readings, odd=odd.wide)
    model = relearn(model, fair)
    return kept_to_word(model, fair.kept(sample(fair))), odd


def _worst_of_tree(owner: Ints, z: Floats, n: int) -> Bools:
    top = np.zeros(n)
    np.maximum.at(top, owner, z)
    return np.asarray(z == top[owner])


def _name(r: Floats) -> Ints:
    """What a reading so far off looks like."""
    ten = np.log(10.0)
    kind = np.full(r.size, int(Oddity.FAR_OFF))
    kind[np.abs(r - ten) < NEAR_TEN] = Oddity.TEN_TIMES
    kind[np.abs(r + ten) < NEAR_TEN] = Oddity.A_TENTH
    return kind.astype(np.intp)


def _shrunk(readings: Readings, error: Floats, kind: Ints) -> tuple[Bools, Floats]:
    """Which readings are thinner than an earlier one that is not odd itself, and by how much, in ln."""
    drop, top, top_error = np.zeros(readings.d.size), np.full(readings.n, -np.inf), np.ones(readings.n)
    log_d = np.log(readings.d)
    thin = np.zeros(readings.d.size, dtype=bool)
    for tree, entry in ragged(readings.owner, readings.exposure.sum(axis=1), readings.n).steps():
        drop[entry] = np.where(np.isfinite(top[tree]), top[tree] - log_d[entry], 0.0)
        thin[entry] = drop[entry] > SHRUNK * np.hypot(error[entry], top_error[tree])
        good = ~np.isin(kind[entry], (Oddity.TEN_TIMES, Oddity.FAR_OFF)) & (log_d[entry] > top[tree])
        top[tree[good]], top_error[tree[good]] = log_d[entry[good]], error[entry[good]]
    # A slip of the decimal point has its own name.
    return thin & (kind != Oddity.A_TENTH), drop
