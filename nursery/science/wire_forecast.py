"""P(sunk in by a time | all that was seen of a wire), and the last safe time to look.

Symbols as in ``wire_model``. Parameters are uncertain: the distribution of B (and of D) of a wire is the mean
over the normal approximation of its fit, by Gauss-Hermite nodes over the location x beta and over ln shape,
tabulated for a few spreads of the location and read off by interpolation.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from .censored import WeibullFit
from .ragged import Bools, Floats, floats
from .wire_looks import EDGES, MIDDLE, Looks, likelihood
from .wire_model import BINS, GROWTH_SPREAD, WireModel, sink_times

#: ln t at which distributions are tabulated.
_LOG_T: Floats = np.arange(-7.0, 4.0, 0.01)
#: Step between tabulated spreads of the location; a spread is rounded up.
_STEP = 0.05
_STEPS = 18
#: From so many wires seen to bite on, no look is asked for but by the risk, short of a long cap. No source.
ENOUGH = 150


@lru_cache(maxsize=256)
def _table(nodes: bytes, spread: float) -> Floats:
    """P(T <= t) at ``_LOG_T`` for location 0."""
    location, log_shape, weight = np.frombuffer(nodes).reshape(-1, 3).T
    step, step_weight = np.polynomial.hermite_e.hermegauss(7 if spread > 0 else 1)
    out = np.zeros(_LOG_T.size)
    for at, share in zip(spread * step, step_weight / step_weight.sum(), strict=True):
        z = (_LOG_T[:, None] - at - location) * np.exp(log_shape)
        out += share * (-np.expm1(-np.exp(np.minimum(z, 50.0))) @ weight)
    return out


def _spread(fit: WeibullFit, x: Floats, growth_known: Bools) -> Floats:
    """Spread of x beta once intercept and shape are given, (n,), rounded up to a tabulated one."""
    two, rest = np.array([0, fit.theta.size - 1]), np.arange(1, fit.theta.size - 1)
    cross = fit.cov[np.ix_(rest, two)]
    left = fit.cov[np.ix_(rest, rest)] - cross @ np.linalg.inv(fit.cov[np.ix_(two, two)]) @ cross.T
    var = np.maximum(np.einsum("np,pq,nq->n", x[:, 1:], left, x[:, 1:]), 0.0)
    var = var + np.where(growth_known, 0.0, (fit.theta[1] * GROWTH_SPREAD) ** 2)
    return np.asarray(np.ceil(np.sqrt(var) / _STEP - 1e-9) * _STEP)


@dataclass(frozen=True)
class _Predictive:
    """The distribution of B or D of each wire."""

    nodes: bytes
    location: Floats
    spread: Floats

    @staticmethod
    def of(fit: WeibullFit, nodes: Floats, x: Floats, growth_known: Bools, shift: Floats) -> "_Predictive":
        return _Predictive(nodes.tobytes(), x @ fit.theta[:-1] + shift, _spread(fit, x, growth_known))

    def cdf(self, t: Floats) -> Floats:
        """P(T <= t), t of shape (n, k)."""
        with np.errstate(divide="ignore"):
            y = np.log(t) - self.location[:, None]
        out = np.empty_like(y)
        for spread in np.unique(self.spread):
            rows = self.spread == spread
            table = _table(self.nodes, round(float(spread), 4))
            out[rows] = np.interp(y[rows], _LOG_T, table, left=0.0, right=1.0)
        return out

    def quantile(self, p: Floats) -> Floats:
        """t at which P(T <= t) = p, (n,)."""
        out = np.empty_like(p)
        for spread in np.unique(self.spread):
            rows = self.spread == spread
            out[rows] = np.interp(p[rows], _table(self.nodes, round(float(spread), 4)), _LOG_T)
        return np.asarray(np.exp(out + self.location))


class Forecast:
    """What is known of n wires that are on.

    Parameters
    ----------
    model : what the nursery learned. looks : at these wires so far.
    x : (n, p) from ``design``. growth_known : (n,) whether the tree's own growth was measured.
    shift : (n,) v of each wire's tree, 0 where its earlier wires tell nothing.
    """

    def __init__(
        self,
        model: WireModel,
        looks: Looks,
        x: ArrayLike,
        growth_known: ArrayLike,
        shift: ArrayLike = 0.0,
    ) -> None:
        design_x, known = floats(x), np.asarray(growth_known, dtype=bool)
        own = np.broadcast_to(floats(shift), (looks.n,))
        self._bite = bite = _Predictive.of(model.bite, model.bite_nodes, design_x, known, own)
        self._grown: Floats = np.concatenate(([0.0], np.cumsum(model.shares)))
        self._sink = _Predictive.of(model.sink, model.sink_nodes, design_x, known, model.rho * own)
        cdf = bite.cdf(np.broadcast_to(EDGES[1:-1], (looks.n, EDGES.size - 2)))
        cdf = np.interp(cdf, BINS, self._grown)
        ends = np.zeros((looks.n, 1))
        masses = np.diff(np.concatenate([ends, cdf, ends + 1.0], axis=1), axis=1)
        joint = likelihood(looks, model.judging)[0] * masses
        joint /= np.maximum(joint.sum(axis=1, keepdims=True), 1e-300)
        # Every cell for itself: with several as one, wires that bit early within it seemed to sink in late.
        self.weight, self.bites = joint, np.broadcast_to(MIDDLE, joint.shape)
        self.pace = (self.bites / np.exp(bite.location)[:, None]) ** -model.rho
        self.seen = sink_times(looks)[0]
        self._already = self._sunk_given(self.seen)
        self._alive = np.maximum((self.weight * (1.0 - self._already)).sum(axis=1), 1e-12)

    def _sunk_given(self, u: Floats) -> Floats:
        """P(sunk in by u | B in cell), (n, K)."""
        return self._sink.cdf(np.maximum(u[:, None] - self.bites, 0.0) * self.pace)

    def p_sunk(self, u: ArrayLike) -> Floats:
        """P(sunk in by u | all seen), (n,); u (n,) since wiring, in bite times of the species [1]."""
        more = np.maximum(self._sunk_given(floats(u)) - self._already, 0.0)
        return np.asarray(np.clip((self.weight * more).sum(axis=1) / self._alive, 0.0, 1.0))

    def p_bitten(self, u: ArrayLike) -> Floats:
        """P(biting or worse by u | all seen), (n,)."""
        return np.asarray((self.weight * (self.bites <= floats(u)[:, None])).sum(axis=1))

    def bite_quantile(self, p: ArrayLike) -> Floats:
        """B of which a share p lies below before any look, (n,) [1]."""
        return self._bite.quantile(np.interp(floats(p), self._grown, BINS))

    def safe_until(self, low: ArrayLike, high: ArrayLike, risk: ArrayLike) -> Floats:
        """The last time between two, (n,) [1], at which P(sunk in) is not above the risk, by bisection."""
        least, most, accepted = floats(low), floats(high), floats(risk)
        for _ in range(_STEPS):
            middle = (least + most) / 2.0
            late = self.p_sunk(middle) > accepted
            least, most = np.where(late, least, middle), np.where(late, middle, most)
        return least


def bite_span(model: WireModel) -> tuple[float, float]:
    """10% and 90% of B of a usual wire whose tree's growth is not known, in bite times of the species [1]."""
    x = np.eye(1, model.bite.theta.size - 1)
    spread = float(_spread(model.bite, x, np.zeros(1, dtype=bool))[0])
    low, high = np.interp([0.1, 0.9], _table(model.bite_nodes.tobytes(), round(spread, 4)), _LOG_T)
    centre = float(model.bite.theta[0])
    return float(np.exp(centre + low)), float(np.exp(centre + high))
