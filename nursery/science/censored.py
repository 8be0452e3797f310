"""Durations that were only ever seen between two looks: Weibull accelerated failure time.

====  =====================================================================
T     duration, any one unit
x     covariates of a thing, with the 1 of the intercept, shape (p,)
beta  effect of x on ln T
k     shape; kappa = ln k
z     (ln t - x beta) k
S     P(T > t) = exp(-exp(z))
a     weight of S(t) in the probability of what was seen of a thing
====  =====================================================================

What was seen of thing i has probability P_i = sum_j a_ij S(t_ij). An interval (L, R] is a = (1, -1) at t =
(L, R); one censored on the right has R = infinity. Looks that err, and looks that rule a time out only half,
are more terms of the same sum. Maximum of sum_i w_i ln P_i + ln prior, by Newton with the exact gradient and
Hessian. Source: Lindsey & Ryan 1998, Statistics in Medicine 17(2):219-238 (interval censoring); Nocedal &
Wright 2006, Numerical Optimization, chapter 3 (damped Newton).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ragged import Floats, floats

_TINY = 1e-300
_MOST_STEPS = 60
#: Newton is done when the square of its step, in standard errors, is below this.
_DONE = 1e-12
#: A standard error of a logarithm beyond this is no estimate: the data leave that parameter free.
_FREE = 100.0


@dataclass(frozen=True)
class Prior:
    """Normal prior of theta = (beta, kappa), both (p + 1,); sd infinite where nothing is known."""

    mean: Floats
    sd: Floats

    def precision(self) -> Floats:
        return np.asarray(1.0 / self.sd**2)


@dataclass(frozen=True)
class WeibullFit:
    """A fit.

    Attributes
    ----------
    theta : (p + 1,) beta, then kappa = ln shape.
    cov : (p + 1, p + 1) covariance of theta: inverse of the negative Hessian at the maximum.
    log_likelihood : sum of w ln P at theta, without the prior.
    converged : False: theta and cov are the prior's (NaN cov without one), and whoever shows it must say so.
    n : number of things fitted.
    """

    theta: Floats
    cov: Floats
    log_likelihood: float
    converged: bool
    n: int

    @property
    def shape(self) -> float:
        return float(np.exp(self.theta[-1]))

    def scale(self, x: ArrayLike | None = None) -> Floats:
        """exp(x beta), (n,); of the intercept alone without x."""
        design = np.eye(1, self.theta.size - 1) if x is None else np.atleast_2d(floats(x))
        return np.exp(design @ self.theta[:-1])

    def median(self, x: ArrayLike | None = None) -> Floats:
        return np.asarray(self.scale(x) * np.log(2.0) ** (1.0 / self.shape))


@dataclass(frozen=True)
class _Data:
    log_t: Floats
    a: Floats
    x: Floats
    w: Floats


def fit_intervals(
    low: ArrayLike,
    high: ArrayLike,
    x: ArrayLike | None = None,
    *,
    prior: Prior | None = None,
    weight: ArrayLike | None = None,
) -> WeibullFit:
    """Fit durations known to lie in (low, high].

    Parameters
    ----------
    low, high : (n,) with 0 <= low < high; high infinite where the end was not seen.
    x : (n, p) covariates with a column of ones; the intercept alone if left out.
    prior, weight : see ``fit_terms``.

    Raises
    ------
    ValueError : an interval that is empty or reversed, by its number.
    """
    lower, upper = floats(low), floats(high)
    bad = np.flatnonzero(~((lower >= 0) & (lower < upper)))
    if bad.size:
        raise ValueError(f"interval {bad[0]}: needs 0 <= low < high")
    terms = np.column_stack([lower, upper])
    return fit_terms(terms, np.broadcast_to([1.0, -1.0], terms.shape), x, prior=prior, weight=weight)


def fit_terms(
    t: ArrayLike,
    a: ArrayLike,
    x: ArrayLike | None = None,
    *,
    prior: Prior | None = None,
    weight: ArrayLike | None = None,
    start: ArrayLike | None = None,
) -> WeibullFit:
    """Fit where P(what was seen) = sum_j a_j S(t_j).

    Parameters
    ----------
    t : (n, m) times >= 0, infinity allowed. a : (n, m) their weights, such that each P is in (0, 1].
    x : (n, p) covariates with a column of ones; the intercept alone if left out.
    prior : of theta; flat if left out.
    weight : (n,) how much each thing counts, 1 if left out.
    start : (p + 1,) where to begin; at the prior, or near the middle of the times, if left out.
    """
    times = np.atleast_2d(floats(t))
    n = times.shape[0]
    design = np.ones((n, 1)) if x is None else floats(x)
    with np.errstate(divide="ignore"):
        log_t = np.log(times)
    w = np.ones(n) if weight is None else floats(weight)
    data = _Data(log_t, floats(a), design, w)
    theta = floats(start).copy() if start is not None else _start(data, prior)
    theta, hessian, converged = _newton(data, prior, theta)
    cov = floats(np.linalg.inv(-hessian)) if converged else np.zeros((1, 1))
    if converged and np.diag(cov).max() < _FREE**2:
        return WeibullFit(theta, cov, _log_likelihood(data, theta), True, n)
    if prior is None:
        return WeibullFit(theta, np.full((theta.size,) * 2, np.nan), _log_likelihood(data, theta), False, n)
    return WeibullFit(prior.mean, np.diag(prior.sd**2), _log_likelihood(data, prior.mean), False, n)


def nodes(
    t: ArrayLike,
    a: ArrayLike,
    x: ArrayLike,
    prior: Prior,
    fit: WeibullFit,
    *,
    sides: tuple[int, int] = (9, 7),
) -> Floats:
    """The posterior of intercept and ln shape on a grid, where it may be far from normal.

    With few ends seen the posterior is long to one side; its mean over these nodes tells the chance of early
    ends where the normal approximation does not. The other effects follow at their conditional mean.

    Parameters
    ----------
    t, a, x, prior : as given to ``fit_terms``. fit : what it returned. sides : nodes along either axis.

    Returns
    -------
    (q, 3) intercept less that of the fit, ln shape, weight; weights sum to 1.
    """
    two = [0, fit.theta.size - 1]
    block = fit.cov[np.ix_(two, two)]
    follow = fit.cov[:, two] @ np.linalg.inv(block)
    axes = [np.linspace(-3.2, 3.2, side) for side in sides]
    white = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 2)
    moved = white @ np.linalg.cholesky(block).T
    theta = fit.theta + moved @ follow.T
    with np.errstate(divide="ignore"):
        data = _Data(np.log(floats(t)), floats(a), floats(x), np.ones(floats(t).shape[0]))
    value = np.array([_objective(data, prior, each) for each in theta])
    weight = np.exp(value - value.max())
    return np.column_stack([moved[:, 0], theta[:, -1], weight / weight.sum()])


def normal_nodes(fit: WeibullFit, *, sides: tuple[int, int] = (9, 7)) -> Floats:
    """The same by the normal approximation alone, (q, 3)."""
    two = [0, fit.theta.size - 1]
    axes = [np.linspace(-3.2, 3.2, side) for side in sides]
    white = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 2)
    moved = white @ np.linalg.cholesky(fit.cov[np.ix_(two, two)]).T
    weight = np.exp(-0.5 * (white**2).sum(axis=1))
    return np.column_stack([moved[:, 0], fit.theta[-1] + moved[:, 1], weight / weight.sum()])


def _start(data: _Data, prior: Prior | None) -> Floats:
    if prior is not None:
        return prior.mean.copy()
    known = np.where(np.isfinite(data.log_t), data.log_t, np.nan)
    theta = np.zeros(data.x.shape[1] + 1)
    theta[:-1] = np.linalg.lstsq(data.x, np.nanmean(known, axis=1), rcond=None)[0] if known.size else 0.0
    return theta


def _z(data: _Data, theta: Floats) -> Floats:
    return np.asarray((data.log_t - (data.x @ theta[:-1])[:, None]) * np.exp(theta[-1]))


def _log_likelihood(data: _Data, theta: Floats) -> float:
    s = np.exp(-np.exp(np.minimum(_z(data, theta), 50.0)))
    return float(data.w @ np.log(np.maximum((data.a * s).sum(axis=1), _TINY)))


def _objective(data: _Data, prior: Prior | None, theta: Floats) -> float:
    value = _log_likelihood(data, theta)
    if prior is None:
        return value
    return value - 0.5 * float(prior.precision() @ (theta - prior.mean) ** 2)


def _derivatives(data: _Data, prior: Prior | None, theta: Floats) -> tuple[Floats, Floats]:
    """Gradient (p + 1,) and Hessian (p + 1, p + 1) of the objective.

    dS/dz = -e^z S and d2S/dz2 = (e^z - 1) e^z S; dz/dbeta = -k x, dz/dkappa = z.
    """
    z = np.clip(_z(data, theta), -700.0, 50.0)  # beyond both ends S and its derivatives are constant
    k, ez = np.exp(theta[-1]), np.exp(z)
    s = np.exp(-ez)
    first, second = -ez * s * data.a, (ez - 1.0) * ez * s * data.a
    p = np.maximum((data.a * s).sum(axis=1), _TINY)
    a1, a1z = first.sum(axis=1) / p, (first * z).sum(axis=1) / p
    a2, a2z = second.sum(axis=1) / p, (second * z).sum(axis=1) / p
    a2zz = (second * z * z).sum(axis=1) / p
    x, w = data.x, data.w
    gradient = np.append(-k * (x.T @ (w * a1)), w @ a1z)
    hessian = np.empty((theta.size,) * 2)
    hessian[:-1, :-1] = k**2 * (x.T * (w * (a2 - a1**2))) @ x
    hessian[:-1, -1] = hessian[-1, :-1] = -k * (x.T @ (w * (a2z + a1 - a1 * a1z)))
    hessian[-1, -1] = w @ (a2zz + a1z - a1z**2)
    if prior is not None:
        gradient -= prior.precision() * (theta - prior.mean)
        hessian[np.diag_indices(theta.size)] -= prior.precision()
    return gradient, hessian


def _newton(data: _Data, prior: Prior | None, theta: Floats) -> tuple[Floats, Floats, bool]:
    """Damped Newton: steps that do not climb are taken shorter and nearer to the gradient."""
    value, damping = _objective(data, prior, theta), 0.0
    hessian: NDArray[np.float64] = np.full((theta.size,) * 2, np.nan)
    for _ in range(_MOST_STEPS):
        gradient, hessian = _derivatives(data, prior, theta)
        if not (np.isfinite(gradient).all() and np.isfinite(hessian).all()):
            return theta, hessian, False
        curve = np.linalg.eigvalsh(hessian)
        bend = max(damping, curve[-1] * 1.1 + 1e-6 * np.abs(curve).max() if curve[-1] >= 0 else 0.0)
        step = np.linalg.solve(bend * np.eye(theta.size) - hessian, gradient)
        if curve[-1] < 0 and gradient @ np.linalg.solve(-hessian, gradient) < _DONE:
            return theta, hessian, True
        step *= min(1.0, 2.0 / max(np.abs(step).max(), 1e-12))
        there = _objective(data, prior, theta + step)
        if there >= value - 1e-12 * abs(value):
            theta, value, damping = theta + step, there, damping / 10 if damping > 1e-6 else 0.0
        else:
            damping = max(10 * damping, 0.1 * float(np.abs(curve).max()))
    return theta, hessian, False
