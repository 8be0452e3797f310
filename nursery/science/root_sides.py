"""P(roots on all sides of a trunk), from a survey of judged angles.

====  ============================================================================
n     number of roots that the survey noted
s     gap between neighbours, as a share of the round; the n of them sum to 1
k     concentration of the gaps, of a Dirichlet distribution: 1 is thrown at random
m     P(a root that is there is not noted)
x     where in its gap an overlooked root stands, 0..1
====  ============================================================================

The gate asks for the largest gap and the sectors served, not for the mean resultant: two opposite roots have
none. A survey errs in two ways: each angle is judged, and a root may have been overlooked. The second weighs
most where it matters: a wide gap between roots that keep apart is where one was likely missed.

Before the look, the roots' set of angles has the density n D(s; k) / 360^n, D of Dirichlet, whatever their
number. One root more, anywhere in gap j, noted as they were, then has to none overlooked the odds

    m (n + 1) / n * B(k, k) / B(n k, k) * s_j^k,

and x is of Beta(k, k): for k = 1 that is m (n + 1) s_j, a root thrown at random. One tree in ten has its
roots at random whatever the nursery's k: else a tree with roots on one side, of which even roots know
nothing, would be taken for one badly surveyed. Bayes' rule on these densities; gaps of points thrown at
random are of a Dirichlet distribution with k = 1: Pyke 1965, J. R. Stat. Soc. B 27:395-449.
"""

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import betaincinv, betaln, gammaln, ndtri

from .ragged import Bools, Floats, Ints, floats, ragged
from .roots import SECTORS

#: The largest gap that still counts as roots on all sides [degree]. Common practice, no source.
GAP_LIMIT = 110.0
#: So many of the round's sectors must be served. Common practice, no source.
SECTORS_NEEDED = 4
#: An angle judged by eye, to about a third of a clock hour's width each way [degree]. No source.
ANGLE_ERROR = 10.0
#: Draws of those errors, and roots of a survey that are looked at.
DRAWS = 200
MOST_ROOTS = 60
#: Roots keep apart: k. No source.
EVEN = 2.0
#: m. No source.
OVERLOOKED = 0.05
#: Share of trees whose roots are as thrown at random, whatever k of the others. No source.
AT_RANDOM = 0.1


def _uniform(first: int, columns: int) -> Floats:
    """Fixed draws in 0..1, (``DRAWS``, columns): Richtmyer's sequence on square roots of primes.

    Fixed, so that a survey has one p for ever; and of no random generator, whose stream may change with a
    release (Richtmyer 1951; Niederreiter 1978, Bull. AMS 84:957).
    """
    sieve = [k for k in range(2, 400) if all(k % d for d in range(2, int(k**0.5) + 1))]
    steps = np.sqrt(np.array(sieve[first : first + columns], dtype=float))
    return np.asarray(np.mod(np.arange(1, DRAWS + 1)[:, None] * steps[None, :], 1.0))


_ERRORS: Floats = floats(ndtri(np.clip(_uniform(0, MOST_ROOTS), 1e-6, 1 - 1e-6)))
_MISSED = _uniform(MOST_ROOTS, 2)


def _met(turned: Floats, limit: float, needed: int) -> Bools:
    """Whether roots stand on all sides, for angles (..., roots) [degree] in order, of equal number."""
    gap = _gaps_of(turned).max(axis=-1)
    place = np.minimum((turned * (SECTORS / 360.0)).astype(np.int8), SECTORS - 1)
    sectors = 1 + (np.diff(place, axis=-1) > 0).sum(axis=-1)
    return np.asarray((gap <= limit) & (sectors >= needed))


def _gaps_of(turned: Floats) -> Floats:
    """Gaps between roots (..., roots) [degree] in order, the last one over the front."""
    return np.diff(turned, axis=-1, append=turned[..., :1] + 360.0)


def _share_met(
    judged: Floats, error: float, limit: float, needed: int, even: float, missed: Floats
) -> Floats:
    """P(on all sides) of surveys with equally many roots, (surveys,); judged (surveys, roots) [degree]."""
    count = judged.shape[1]
    turned = np.sort(np.mod(judged[:, None, :] + error * _ERRORS[None, :, :count], 360.0), axis=-1)
    gaps = _gaps_of(turned)
    shares = np.log(np.maximum(gaps, 0.1) / 360.0)
    as_noted = _met(turned, limit, needed)
    # One more cannot mend two gaps, and takes nothing away where none is to be mended.
    mendable = np.nonzero(~as_noted & ((gaps > limit).sum(axis=-1) < 2))
    kinds = ((1.0 - AT_RANDOM, even), (AT_RANDOM, 1.0))
    density = [
        np.log(part) + gammaln(count * k) - count * gammaln(k) + (k - 1.0) * shares.sum(axis=-1)
        for part, k in kinds
    ]
    most = np.maximum(*density).max(axis=1, keepdims=True)
    met, all_of_it = np.zeros(len(judged)), np.zeros(len(judged))
    one_more = (missed * (count + 1) / count)[:, None, None]
    for (_, k), told in zip(kinds, density, strict=True):
        odds = np.exp(k * shares + betaln(k, k) - betaln(count * k, k)) * one_more
        more, weight = odds.sum(axis=-1), np.exp(told - most)
        with_more = as_noted.copy()
        with_more[mendable] = _met(
            _with_one_more(turned[mendable], gaps[mendable], odds[mendable], k, mendable[1]), limit, needed
        )
        met += (weight * (as_noted + more * with_more)).sum(axis=1)
        all_of_it += (weight * (1.0 + more)).sum(axis=1)
    return np.asarray(met / all_of_it)


def _with_one_more(turned: Floats, gaps: Floats, odds: Floats, even: float, draw: Ints) -> Floats:
    """Roots (q, roots) and one that was overlooked, in a gap drawn by its odds: (q, roots + 1)."""
    up_to = np.cumsum(odds, axis=-1)
    which = (up_to < _MISSED[draw, :1] * up_to[:, -1:]).sum(axis=-1, keepdims=True)
    start, width = (np.take_along_axis(of, which, axis=-1) for of in (turned, gaps))
    where = betaincinv(even, even, _MISSED[:, 1])[draw, None]
    return np.sort(np.concatenate([turned, np.mod(start + where * width, 360.0)], axis=-1), axis=-1)


def p_all_sides(
    owner: ArrayLike,
    angle: ArrayLike,
    n: int,
    error: float = ANGLE_ERROR,
    limit: float = GAP_LIMIT,
    needed: int = SECTORS_NEEDED,
    even: float = EVEN,
    missed: ArrayLike = OVERLOOKED,
) -> Floats:
    """P(no gap above ``limit`` [degree] and at least ``needed`` sectors served).

    Each judged angle carries an independent normal error, roots keep apart, and a survey may have overlooked
    one. The answer is the share, of ``DRAWS`` fixed draws of the true angles (with and without one more)
    weighted as above, in which both conditions hold; held off 0 and 1 by half a draw (good to about 0.03).

    Parameters
    ----------
    owner, angle, n : as for ``spread``; at most ``MOST_ROOTS`` roots of a survey are taken.
    error : standard deviation of a judged angle [degree].
    even : k of most trees. missed : (n,) or one for all, m; at most one root
        more is reckoned with. A root grown since the survey is as one overlooked.

    Returns
    -------
    (n,) probabilities; nearly 0 for a survey without roots.
    """
    surveys = ragged(owner, np.mod(floats(angle), 360.0), n)
    a = floats(angle)[surveys.order]
    first = np.cumsum(surveys.count) - surveys.count
    more = np.broadcast_to(floats(missed), (n,))
    share = np.zeros(n)
    for count in np.unique(surveys.count[surveys.count > 1]):
        at = np.flatnonzero(surveys.count == count)
        judged = a[first[at][:, None] + np.arange(min(int(count), MOST_ROOTS))]
        share[at] = _share_met(judged, error, limit, needed, even, more[at])
    return (share * DRAWS + 0.5) / (DRAWS + 1)
