"""P(Rao's spacing statistic at least this | roots in no order), exact.

====  ============================================================================
n     number of roots
u     Rao's U as a share of the round: U / 360
f     density of u
B_j   density of the sum of j uniforms on 0..1 (Irwin and Hall)
====  ============================================================================

f(u) = (n-1)! sum over j of C(n, j) n^(1-j) B_j(n u) u^(n-j-1) / (n-j-1)!, j = 1..n-1 counting the gaps that
are narrower than 1/n. Source: Rao 1976, Sankhya B 38:329-338; here from the volume of the simplex of gaps.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import gammaln, roots_legendre

from .ragged import Floats, floats

#: Roots of a survey that are looked at, as in ``roots``.
MOST = 60


def _uniform_sums(n: int, t: Floats) -> Floats:
    """B_j(i + t) for j = 1..n-1 and i = 0..n-1, (n-1, n, len t), by the recursion of B-splines."""
    out = np.zeros((n - 1, n, t.size))
    out[0, 0] = 1.0
    x = np.arange(n)[:, None] + t
    for j in range(2, n):
        before = np.zeros((n, t.size))
        before[1:] = out[j - 2, :-1]
        out[j - 1] = (x * out[j - 2] + (j - x) * before) / (j - 1)
    return out


@lru_cache(maxsize=64)
def _tail(n: int) -> tuple[Floats, Floats]:
    """Edges i/n of u and the tail probability at each, both (n,); f is a polynomial between two edges."""
    t, weight = _nodes(n)
    mass = (_density(n, t) * weight).sum(axis=1) / n
    return np.arange(n) / n, np.append(np.cumsum(mass[::-1])[::-1], 0.0)


def _nodes(n: int) -> tuple[Floats, Floats]:
    """Gauss-Legendre nodes and weights on 0..1 that are exact for the degree of f."""
    x, w = roots_legendre(n // 2 + 1)
    return floats((x + 1.0) / 2.0), floats(w / 2.0)


def _density(n: int, t: Floats) -> Floats:
    """f at (i + t) / n for i = 0..n-2, (n-1, len t)."""
    j = np.arange(1, n)
    log_share = gammaln(n) + gammaln(n + 1) - gammaln(j + 1) - gammaln(n - j + 1) - gammaln(n - j)
    log_share += (1 - j) * np.log(n)
    u = (np.arange(n)[:, None] + t) / n
    with np.errstate(divide="ignore"):
        log_u = np.log(u)
    # For j = n-1 the power of u is 0: its logarithm times 0 would be undefined at u = 0.
    power = np.where((n - j - 1)[:, None, None] > 0, (n - j - 1)[:, None, None] * log_u, 0.0)
    terms = np.exp(log_share[:, None, None] + power) * _uniform_sums(n, t)
    return np.asarray(terms.sum(axis=0)[: n - 1])


def p_rao(count: ArrayLike, rao: ArrayLike) -> Floats:
    """P(U at least this | n angles independent and uniform).

    Parameters
    ----------
    count : (k,) n; NaN is answered for fewer than two and for more than ``MOST``.
    rao : (k,) Rao's U [degree], 0 to 360 (1 - 1/n).

    Returns
    -------
    (k,) in 0..1: small for roots in a bunch, large for roots more even than chance makes them.
    """
    number, given = np.broadcast_arrays(np.asarray(count, dtype=np.intp), floats(rao))
    out = np.full(number.shape, np.nan)
    for n in np.unique(number[(number >= 2) & (number <= MOST)]):
        for at in np.flatnonzero(number == n):
            out[at] = _one(int(n), float(given[at]) / 360.0)
    return out


def _one(n: int, u: float) -> float:
    if u >= 1.0 - 1.0 / n:
        return 0.0
    piece = min(int(u * n), n - 2)
    start = u * n - piece
    x, w = _nodes(n)
    t = start + (1.0 - start) * x
    part = (_density(n, t)[piece] * w).sum() * (1.0 - start) / n
    return float(np.clip(part + _tail(n)[1][piece + 1], 0.0, 1.0))
