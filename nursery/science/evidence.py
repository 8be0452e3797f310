"""Repeated quick checks -> what is true now: a two-state hidden Markov filter.

A thing (live low buds, standing firm) is present or absent; looks at it err, and get old. Symbols:

====  =======================================================================
a     rate at which an absent thing appears [1/year]
b     rate at which a present thing vanishes [1/year]
pi    a / (a + b), the base rate to which an old look drifts
p     P(present)
====  =======================================================================

Source: forward recursion, Rabiner 1989, Proc. IEEE 77(2):257-286, doi:10.1109/5.18626; the two-state
transition is the closed form of exp(Qt), for example Norris 1997, Markov Chains, example 2.1.2.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from .ragged import Floats, floats, ragged


@dataclass(frozen=True)
class Filtered:
    """What the looks say.

    Attributes
    ----------
    now : (n,) P(present today | all looks); the prior where there was none.
    after : (m,) P(present just after each look | the looks up to it), in the order given.
    log_likelihood : (n,) natural logarithm of P(the looks); 0 without looks.
    """

    now: Floats
    after: Floats
    log_likelihood: Floats


def transition(gain: ArrayLike, loss: ArrayLike, years: ArrayLike) -> tuple[Floats, Floats]:
    """P(appeared) and P(vanished) over a gap.

    Parameters
    ----------
    gain, loss : rates a and b [1/year], >= 0, any shapes that broadcast.
    years : length of the gap [year], >= 0.

    Returns
    -------
    p01 = a/(a+b) (1 - exp(-(a+b) t)) and p10 = b/(a+b) (1 - exp(-(a+b) t)); both 0 where a + b = 0.
    """
    a, b, t = np.broadcast_arrays(floats(gain), floats(loss), floats(years))
    total = a + b
    moved = -np.expm1(-total * t)
    share = np.divide(moved, total, out=np.zeros_like(total), where=total > 0)
    return a * share, b * share


def drift(p: ArrayLike, gain: ArrayLike, loss: ArrayLike, years: ArrayLike) -> Floats:
    """P(present) after a gap without a look: p + p01 (1 - p) - p10 p."""
    p = floats(p)
    appeared, vanished = transition(gain, loss, years)
    return p + appeared * (1.0 - p) - vanished * p


def present_now(
    owner: ArrayLike,
    at: ArrayLike,
    if_present: ArrayLike,
    if_absent: ArrayLike,
    *,
    prior: ArrayLike,
    gain: ArrayLike,
    loss: ArrayLike,
    now: float,
) -> Filtered:
    """Filter the looks of all trees in one call.

    Parameters
    ----------
    owner : (m,) index of the tree of each look, 0..n-1. Trees may have any number of looks.
    at : (m,) time of each look [year], on any one clock. Looks of one time may come in any order.
    if_present, if_absent : (m,) P(this look's answer | present), P(... | absent), in [0, 1].
    prior : (n,) P(present) until the first look. gain, loss : (n,) or scalar, rates a and b [1/year].
    now : time at which to answer [year]; looks after it count as made at it.

    An impossible look (both likelihoods 0) leaves p as it was, at a log-likelihood of minus infinity.
    """
    p = floats(prior).copy()
    n = p.size
    a, b = (np.broadcast_to(floats(rate), (n,)) for rate in (gain, loss))
    times, last = np.minimum(floats(at), now), np.full(n, np.nan)
    like1, like0 = floats(if_present), floats(if_absent)
    after, log_likelihood = np.zeros(times.size), np.zeros(n)
    for tree, look in ragged(owner, times, n).steps():
        before = drift(p[tree], a[tree], b[tree], np.nan_to_num(times[look] - last[tree]))
        joint = before * like1[look]
        total = joint + (1.0 - before) * like0[look]
        p[tree] = np.divide(joint, total, out=before, where=total > 0)
        after[look], last[tree] = p[tree], times[look]
        with np.errstate(divide="ignore"):
            log_likelihood[tree] += np.log(total)
    today = drift(p, a, b, np.nan_to_num(now - last))
    return Filtered(np.clip(today, 0.0, 1.0), after, log_likelihood)
