"""Roots round a trunk: circular statistics, and P(roots on all sides).

====  ============================================================================
a     angle of a root, clockwise from the front [degree]
n     number of roots
R     length of the mean resultant, |sum exp(i a)| / n, 0..1
z     Rayleigh's n R^2
U     Rao's spacing, half the sum of |gap - 360/n| [degree]
====  ============================================================================

Sources: Zar 2010, Biostatistical Analysis, 5th ed., ch. 26-27; Mardia & Jupp 2000, Directional Statistics,
6.3.1; Batschelet 1981, Circular Statistics in Biology, 4.8. The gate uses the largest gap and the sectors
served, not R alone: two opposite roots have R = 0.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr, ndtri

from .ragged import Bools, Floats, Ints, floats, ints, ragged

#: The largest gap that still counts as roots on all sides [degree]. Common practice, no source.
GAP_LIMIT = 110.0
#: The round is cut into so many sectors, and so many must be served. Common practice, no source.
SECTORS = 6
SECTORS_NEEDED = 4
#: An angle judged by eye, to about a third of a clock hour's width each way [degree]. No source.
ANGLE_ERROR = 10.0
#: Draws of those errors, and roots of a survey that are looked at.
DRAWS = 200
MOST_ROOTS = 60
#: P(a root judged level is not, and the reverse), and the share of level roots needed. No source.
LEVEL_ERROR = 0.1
LEVEL_NEEDED = 0.7
#: P(no defect | none noted), P(no defect that matters | one noted). No source.
CLEAN_IF_NONE = 0.95
CLEAN_IF_ONE = 0.08


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


def _gaps(owner: Ints, angle: Floats, n: int) -> tuple[Ints, Floats, Floats]:
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
    gap_owner, gap_start, width = _gaps(own, a, n)
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


def _draws() -> Floats:
    """Fixed normal draws, (``DRAWS``, ``MOST_ROOTS``): Richtmyer's sequence on square roots of primes.

    Fixed, so that a survey has one p for ever; and of no random generator, whose stream may change with a
    release (Richtmyer 1951; Niederreiter 1978, Bull. AMS 84:957).
    """
    sieve = [k for k in range(2, 300) if all(k % d for d in range(2, int(k**0.5) + 1))][:MOST_ROOTS]
    steps = np.arange(1, DRAWS + 1)[:, None] * np.sqrt(np.array(sieve, dtype=float))[None, :]
    return np.asarray(ndtri(np.clip(np.mod(steps, 1.0), 1e-6, 1 - 1e-6)), dtype=np.float64)


_DRAWS = _draws()


def _met(angle: Floats, limit: float, needed: int) -> Bools:
    """Whether roots stand on all sides, for angles (..., roots) [degree] of equal number."""
    turned = np.sort(np.mod(angle, 360.0), axis=-1)
    inner = np.diff(turned, axis=-1).max(axis=-1, initial=0.0)
    gap = np.maximum(inner, turned[..., 0] + 360.0 - turned[..., -1])
    place = np.minimum((turned * (SECTORS / 360.0)).astype(np.int8), SECTORS - 1)
    sectors = 1 + (np.diff(place, axis=-1) > 0).sum(axis=-1)
    return np.asarray((gap <= limit) & (sectors >= needed))


def p_all_sides(
    owner: ArrayLike,
    angle: ArrayLike,
    n: int,
    error: float = ANGLE_ERROR,
    limit: float = GAP_LIMIT,
    needed: int = SECTORS_NEEDED,
) -> Floats:
    """P(no gap above ``limit`` [degree] and at least ``needed`` sectors served).

    Each judged angle carries an independent normal error. The answer is the share of ``DRAWS`` fixed draws of
    those errors in which both conditions hold, held off 0 and 1 by half a draw (good to about 0.03).

    Parameters
    ----------
    owner, angle, n : as for ``spread``; at most ``MOST_ROOTS`` roots of a survey are taken.
    error : standard deviation of a judged angle [degree].

    Returns
    -------
    (n,) probabilities; nearly 0 for a survey without roots.
    """
    surveys = ragged(owner, np.mod(floats(angle), 360.0), n)
    a = floats(angle)[surveys.order]
    first = np.cumsum(surveys.count) - surveys.count
    share = np.zeros(n)
    for count in np.unique(surveys.count[surveys.count > 1]):
        at = np.flatnonzero(surveys.count == count)
        taken = min(int(count), MOST_ROOTS)
        judged = a[first[at][:, None] + np.arange(taken)]
        share[at] = _met(judged[:, None, :] + error * _DRAWS[None, :, :taken], limit, needed).mean(axis=1)
    return (share * DRAWS + 0.5) / (DRAWS + 1)


def p_level(
    owner: ArrayLike,
    level: ArrayLike,
    n: int,
    needed: float = LEVEL_NEEDED,
    error: float = LEVEL_ERROR,
) -> Floats:
    """P(at least the share ``needed`` of the roots are level), (n,), when each is misjudged with ``error``.

    Normal approximation of the count of truly level roots; 0.5 for a survey without roots.
    """
    own, seen = ints(owner), np.asarray(level, dtype=bool)
    count = np.bincount(own, minlength=n)
    mean = np.bincount(own, np.where(seen, 1 - error, error), n)
    sd = np.sqrt(np.maximum(count, 1) * error * (1 - error))
    need = np.ceil(needed * count - 1e-9)
    return np.where(count > 0, ndtr((mean - need + 0.5) / sd), 0.5)


def p_no_defect(defects: ArrayLike, if_none: float = CLEAN_IF_NONE, if_one: float = CLEAN_IF_ONE) -> Floats:
    """P(no defect open), from the number noted in the last survey, (n,)."""
    count = floats(defects)
    return np.where(count == 0, if_none, if_one ** np.maximum(count, 1))


def gap_range(angle: ArrayLike, error: float = ANGLE_ERROR) -> tuple[float, float]:
    """10% and 90% of the largest gap of one survey under the error of its angles [degree].

    ``angle`` (m,) [degree], at most ``MOST_ROOTS`` of them are taken; (360, 360) for fewer than two.
    """
    a = floats(angle)[:MOST_ROOTS]
    if a.size < 2:
        return 360.0, 360.0
    drawn = np.sort(np.mod(a + error * _DRAWS[:, : a.size], 360.0), axis=1)
    gaps = np.diff(drawn, axis=1, append=drawn[:, :1] + 360.0).max(axis=1)
    low, high = np.quantile(gaps, [0.1, 0.9])
    return float(low), float(high)
