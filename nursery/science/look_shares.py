"""How good quick looks are, and how fast things change, from a nursery's own repeated looks.

The likelihood is that of the filter of ``evidence``; what practice assumes is the prior, normal on the scales
below, so that few looks change little and many speak for themselves (maximum a posteriori).
"""

from dataclasses import astuple, dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import minimize
from scipy.special import expit, logit

from .evidence import present_now
from .ragged import Floats, floats

#: Standard deviations of the prior: logit of sensitivity and specificity, logit of the share that is so at
#: first, logarithms of the rates. No source.
SPREADS: Floats = np.array([0.5, 0.5, 0.7, 0.7, 0.7])
#: Each may go so many of them away from practice.
REACH = 4.0


@dataclass(frozen=True)
class Figures:
    """Of one kind of look at one kind of thing.

    Attributes
    ----------
    seen, not_invented : sensitivity and specificity of a look, in (0, 1).
    first : share of trees of which the thing is so at the first look, in (0, 1).
    gain, loss : rates at which it comes and goes [1/year], > 0.
    """

    seen: float
    not_invented: float
    first: float
    gain: float
    loss: float


def _to(figures: Figures) -> Floats:
    values = floats(astuple(figures))
    return np.concatenate((logit(values[:3]), np.log(values[3:])))


def _of(x: Floats) -> Figures:
    return Figures(*expit(x[:3]).tolist(), *np.exp(x[3:]).tolist())


def learn(
    owner: ArrayLike,
    at: ArrayLike,
    said: ArrayLike,
    n: int,
    assumed: Figures,
    *,
    first: ArrayLike | None = None,
    gain: ArrayLike | None = None,
    loss: ArrayLike | None = None,
) -> Figures:
    """The figures that m looks at n trees speak for, drawn to what is assumed.

    Parameters
    ----------
    owner, at : (m,) tree of each look and its time [year]. said : (m,) bool, whether it said yes.
    first, gain, loss : (n,) where given, each tree has figures of its own, and these are not learned.
    """
    yes, times, start = np.asarray(said, dtype=bool), floats(at), _to(assumed)
    if not yes.size:
        return assumed
    free = np.array([True, True, first is None, gain is None, loss is None])

    def unlikely(x: Floats) -> float:
        full = start.copy()
        full[free] += x * SPREADS[free]
        one = _of(full)
        found = present_now(
            owner,
            times,
            np.where(yes, one.seen, 1 - one.seen),
            np.where(yes, 1 - one.not_invented, one.not_invented),
            prior=np.full(n, one.first) if first is None else first,
            gain=one.gain if gain is None else gain,
            loss=one.loss if loss is None else loss,
            now=float(times.max()),
        )
        return float(0.5 * np.square(x).sum() - found.log_likelihood.sum())

    bounds = [(-REACH, REACH)] * int(free.sum())
    best = minimize(unlikely, np.zeros(int(free.sum())), method="L-BFGS-B", bounds=bounds)
    full = start.copy()
    full[free] += floats(best.x) * SPREADS[free]
    return _of(full)
