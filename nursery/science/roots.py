"""Roots round a trunk: circular statistics; P(they are level), P(none has a defect).

====  ============================================================================
a     angle of a root, clockwise from the front [degree]
n     number of roots
R     length of the mean resultant, |sum exp(i a)| / n, 0..1
z     Rayleigh's n R^2
U     Rao's spacing, half the sum of |gap - 360/n| [degree]
====  ============================================================================

Sources: Zar 2010, Biostatistical Analysis, 5th ed., ch. 26-27; Mardia & Jupp 2000, Directional Statistics,
6.3.1; Batschelet 1981, Circular Statistics in Biology, 4.8. Whether they stand on all sides: ``root_sides``.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.stats import binom

from .ragged import Floats, Ints, floats, ints

#: The round is cut into so many sectors. Common practice, no source.
SECTORS = 6
#: P(a root judged level is not, and the reverse), share of level roots in the nursery, and the share of level
#: roots needed. No source.
LEVEL_ERROR = 0.05
LEVEL_SHARE = 0.85
LEVEL_NEEDED = 0.7
#: How alike the roots of one tree are, level or not: the intraclass correlation, 0..1. No source.
LEVEL_ALIKE = 0.1
#: P(a defect that is there is noted), P(none noted | none there), share of trees without any. No source.
DEFECT_SEEN = 0.85
DEFECT_NOT_INVENTED = 0.96
CLEAN_SHARE = 0.7


@dataclass(frozen=True)
class Spread:
    """One row per survey, all of shape (n,).

    Attributes
    ----------
    count : number of roots.
    mean : mean direction [degree], NaN where it is undefined (R = 0 or no root).
    resultant : R, weighted where weights were given; NaN without roots.
    z, p_zar, p_series : Rayleigh's z and its p by Zar's formula and by the series; NaN without roots.
    rao : Rao's U [degree]; NaN without roots.
    gap : largest gap [degree]; 360 with one root or none.
    gap_middle : middle of the largest gap [degree]; NaN without roots.
    sectors : sectors with a root in them.
    """

    count: Ints
    mean: Floats
    resultant: Floats
    z: Floats
    p_zar: Floats
    p_series: Floats
    rao: Floats
    gap: Floats
    gap_middle: Floats
    sectors: Ints


def rayleigh_zar(n: ArrayLike, resultant: ArrayLike) -> Floats:
    """P(R at least this | roots in no direction), exp(sqrt(1 + 4n + 4(n^2 - (nR)^2)) - (1 + 2n))."""
    n, total = floats(n), floats(n) * floats(resultant)
    return np.exp(np.sqrt(1 + 4 * n + 4 * (n**2 - total**2)) - (1 + 2 * n))


def rayleigh_series(n: ArrayLike, resultant: ArrayLike) -> Floats:
    """The same by Mardia's series in 1/n, held inside [0, 1] (it leaves it for concentrated roots)."""
    n = floats(n)
    z = n * floats(resultant) ** 2
    first = (2 * z - z**2) / (4 * n)
    second = (24 * z - 132 * z**2 + 76 * z**3 - 9 * z**4) / (288 * n**2)
    return np.clip(np.exp(-z) * (1 + first - second), 0.0, 1.0)


def gaps(owner: Ints, angle: Floats, n: int) -> tuple[Ints, Floats, Floats]:
    """Gaps between neighbouring roots: their surveys, where each begins [degree], its width [degree]."""
    order = np.lexsort((angle, owner))
    own, start = owner[order], angle[order]
    following = np.roll(start, -1)
    last = np.ones(own.size, dtype=bool)
    last[:-1] = own[1:] != own[:-1]
    firsts = np.zeros(n)
    first = np.ones(own.size, dtype=bool)
    first[1:] = last[:-1]
    firsts[own[first]] = start[first]
    following[last] = firsts[own[last]] + 360.0
    return own, start, following - start


def _widest(owner: Ints, start: Floats, width: Floats, n: int) -> tuple[Floats, Floats]:
    """The widest gap of each survey and its middle [degree]."""
    gap, middle = np.full(n, 360.0), np.full(n, np.nan)
    order = np.argsort(width, kind="stable")  # the widest is written last
    gap[owner[order]] = width[order]
    middle[owner[order]] = np.mod(start + width / 2, 360.0)[order]
    return gap, middle


def spread(owner: ArrayLike, angle: ArrayLike, n: int, weight: ArrayLike | None = None) -> Spread:
    """Describe all surveys in one call.

    Parameters
    ----------
    owner : (m,) index of the survey of each root, 0..n-1.
    angle : (m,) [degree]; any real number, taken modulo 360.
    n : number of surveys.
    weight : (m,) > 0, for example the grade of thickness; None for equal ones. Weights the mean direction and
        R only: the tests are about counts.
    """
    own, a = ints(owner), np.mod(floats(angle), 360.0)
    w = np.ones(a.size) if weight is None else floats(weight)
    count = np.bincount(own, minlength=n)
    east, north = (np.bincount(own, w * turn(np.deg2rad(a)), n) for turn in (np.sin, np.cos))
    vector = north + 1j * east
    weights = np.bincount(own, w, n)
    with np.errstate(invalid="ignore"):
        resultant = np.abs(vector) / np.where(weights > 0, weights, np.nan)
    resultant = np.where(resultant < 1e-12, 0.0, resultant)
    plain = resultant if weight is None else spread(own, a, n).resultant
    none, known = count == 0, np.maximum(count, 1)
    gap_owner, gap_start, width = gaps(own, a, n)
    rao = 0.5 * np.bincount(gap_owner, np.abs(width - 360.0 / known[gap_owner]), n)
    gap, middle = _widest(gap_owner, gap_start, width, n)
    served = np.zeros((n, SECTORS), dtype=bool)
    served[own, np.minimum((a * SECTORS / 360.0).astype(int), SECTORS - 1)] = True
    return Spread(
        count=count.astype(np.intp),
        mean=np.where(resultant > 0, np.mod(np.rad2deg(np.angle(vector)), 360.0), np.nan),
        resultant=resultant,
        z=known * plain**2,
        p_zar=np.where(none, np.nan, rayleigh_zar(known, plain)),
        p_series=np.where(none, np.nan, rayleigh_series(known, plain)),
        rao=np.where(none, np.nan, rao),
        gap=gap,
        gap_middle=middle,
        sectors=served.sum(axis=1).astype(np.intp),
    )


def p_level(
    owner: ArrayLike,
    level: ArrayLike,
    n: int,
    needed: float = LEVEL_NEEDED,
    error: float = LEVEL_ERROR,
    share: float = LEVEL_SHARE,
    alike: float = LEVEL_ALIKE,
) -> Floats:
    """P(at least the share ``needed`` of the roots are level | how each was called), by Bayes.

    ``share`` of the nursery's roots are level, but trees differ: a tree's own share is of a beta distribution
    with that mean and intraclass correlation ``alike`` (Skellam 1948, J. R. Stat. Soc. B 10:257), so that
    many roots called off level are believed and not taken for slips. Each root is misjudged with ``error``.

    Parameters
    ----------
    owner, n : as for ``spread``. level : (m,) bool, how each root was called.
    needed, error, share, alike : all in 0..1; 0 for ``alike`` makes each root level or not by itself.

    Returns
    -------
    (n,) probabilities; 0.5 for a survey without roots.
    """
    own, seen = ints(owner), np.asarray(level, dtype=bool)
    found = np.stack([np.bincount(own, minlength=n), np.bincount(own[seen], minlength=n)])
    kinds, kind = np.unique(found, axis=1, return_inverse=True)
    p = [_p_level(int(count), int(called), needed, error, share, alike) for count, called in kinds.T]
    return floats(p)[kind.reshape(-1)] if p else np.zeros(0)


def level_needed(count: ArrayLike, needed: float = LEVEL_NEEDED) -> Ints:
    """Roots that must be level for the share ``needed`` of ``count``: the next whole number."""
    return ints(np.ceil(needed * floats(count) - 1e-9))


def level_after_all(error: float, share: float) -> float:
    """P(a root is level | it was called off level, and nothing else of its tree is known)."""
    return share * error / (share * error + (1 - share) * (1 - error))


def _p_level(count: int, called: int, needed: float, error: float, share: float, alike: float) -> float:
    """``p_level`` of one survey, of ``count`` roots ``called`` level.

    Before the look t given roots of the tree are level, and the others not, with the probability
    prod_{i<t} (s (1 - a) + i a) prod_{i<count-t} ((1 - s)(1 - a) + i a) / prod_{i<count} (1 - a + i a).
    """
    if not count:
        return 0.5
    each = alike * np.arange(count)
    so, not_so = (
        np.concatenate(([1.0], np.cumprod(part * (1 - alike) + each))) for part in (share, 1 - share)
    )
    of_called = binom.pmf(np.arange(called + 1), called, 1 - error)
    of_others = binom.pmf(np.arange(count - called + 1), count - called, error)
    weight = np.convolve(of_called, of_others) * so * not_so[::-1]
    return float(weight[int(level_needed(count, needed)) :].sum() / weight.sum())


def p_no_defect(
    defects: ArrayLike,
    share: float = CLEAN_SHARE,
    seen: float = DEFECT_SEEN,
    not_invented: float = DEFECT_NOT_INVENTED,
) -> Floats:
    """P(no defect open), from the number noted in the last survey, (n,), by Bayes.

    Parameters
    ----------
    share : of the nursery's trees without a defect, before anybody looks.
    seen : P(a defect is noted | there). not_invented : P(none is noted | none there).
    """
    count = np.maximum(floats(defects), 0.0)
    clean = share * np.where(count > 0, (1 - not_invented) ** np.maximum(count, 1), not_invented)
    not_clean = (1 - share) * np.where(count > 0, seen ** np.maximum(count, 1), 1 - seen)
    return np.asarray(clean / (clean + not_clean))
