"""Growth curves with an asymptote: one fit to all, one to each tree, one with asymptotes drawn.

====  ============================================================================================
t     age, in any unit
y     size, in any unit
phi   parameters of a curve: the asymptote first
u     a tree's asymptote less the mean of all; normal, spread ``sd``
====  ============================================================================================

Both curves are linear in their asymptote: y = Asym z(t) + o(t) + error. So the likelihood with random
asymptotes is a normal one in closed form (``levels``): it is the exact marginal likelihood, not that of a
linearised model, whose maximum lies elsewhere. Sources: Pinheiro & Bates 2000, Mixed-Effects Models in S and
S-PLUS, chapter 8 and appendix C (the curves SSlogis and SSasymp).
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import least_squares, minimize

from .levels import packs, read, said
from .ragged import Bools, Floats, Ints, floats, ints


@dataclass(frozen=True)
class Curve:
    """``parts(t, phi)``: z and o, both as t. ``start(t, y)``: a first guess of phi."""

    parts: Callable[[Floats, Floats], tuple[Floats, Floats]]
    start: Callable[[Floats, Floats], Floats]

    def __call__(self, t: ArrayLike, phi: ArrayLike) -> Floats:
        """Size at t, same shape as t."""
        values = floats(phi)
        z, o = self.parts(floats(t), values)
        return np.asarray(values[0] * z + o)


def _logistic(t: Floats, phi: Floats) -> tuple[Floats, Floats]:
    return 1.0 / (1.0 + np.exp(-(t - phi[1]) / phi[2])), np.zeros_like(t)


def _logistic_start(t: Floats, y: Floats) -> Floats:
    top = 1.1 * y.max()
    slope, base = np.polyfit(t, np.log(np.maximum(y, 1e-3 * top) / (top - y)), 1)
    return np.array([top, -base / slope, 1.0 / slope])


def _rising(t: Floats, phi: Floats) -> tuple[Floats, Floats]:
    left = np.exp(-np.exp(phi[2]) * t)
    return 1.0 - left, phi[1] * left


def _rising_start(t: Floats, y: Floats) -> Floats:
    top = 1.1 * y.max()
    slope, base = np.polyfit(t, np.log(top - y), 1)
    return np.array([top, top - np.exp(base), np.log(max(-slope, 1e-9))])


#: Asym / (1 + exp(-(t - xmid) / scal)); phi = (Asym, xmid, scal).
LOGISTIC = Curve(_logistic, _logistic_start)
#: Asym + (R0 - Asym) exp(-exp(lrc) t); phi = (Asym, R0, lrc).
RISING = Curve(_rising, _rising_start)


@dataclass(frozen=True)
class CurveFit:
    """A fit.

    Attributes
    ----------
    phi : (3,). se : (3,) standard errors; NaN where there is no degree of freedom.
    residual : standard deviation about the curve: by degrees of freedom for one series, of greatest
        likelihood with random asymptotes.
    rss : sum of squares about the curve (of phi alone).
    log_likelihood : at its maximum, marginal where asymptotes are random.
    sd : spread of the asymptotes; 0 where they are not random.
    converged : False: phi is the last try, and whoever shows it must say so.
    """

    phi: Floats
    se: Floats
    residual: float
    rss: float
    log_likelihood: float
    converged: bool
    sd: float = 0.0


def fit_curve(curve: Curve, t: ArrayLike, y: ArrayLike) -> CurveFit:
    """Least squares to one series, (w,) each; the log-likelihood is the normal one at its maximum."""
    age, size = floats(t), floats(y)

    def off(phi: Floats) -> Floats:
        return curve(age, phi) - size

    found = least_squares(
        off, curve.start(age, size), jac="3-point", x_scale="jac", xtol=1e-14, ftol=1e-14, gtol=1e-14
    )
    rss, n = float(2 * found.cost), age.size
    free = n - found.x.size
    s2 = rss / free if free > 0 else np.nan
    jac = np.asarray(found.jac)
    cov = s2 * np.linalg.pinv(jac.T @ jac)
    log_likelihood = -0.5 * n * (np.log(2 * np.pi * max(rss, 1e-300) / n) + 1.0)
    return CurveFit(
        found.x, np.sqrt(np.diag(cov)), float(np.sqrt(s2)), rss, log_likelihood, bool(found.success)
    )


def fit_each(curve: Curve, owner: ArrayLike, t: ArrayLike, y: ArrayLike) -> dict[int, CurveFit]:
    """A fit to each tree's own series."""
    own, age, size = ints(owner), floats(t), floats(y)
    return {int(tree): fit_curve(curve, age[own == tree], size[own == tree]) for tree in np.unique(own)}


def fit_random_asymptotes(curve: Curve, owner: ArrayLike, t: ArrayLike, y: ArrayLike) -> CurveFit:
    """Greatest exact marginal likelihood with a normal asymptote for each tree, all trees at once.

    Parameters
    ----------
    owner : (m,) tree of each measurement, 0..n-1. t, y : (m,).
    """
    own, age, size = ints(owner), floats(t), floats(y)
    pooled = fit_curve(curve, age, size)
    trees = packs(own, age, int(own.max()) + 1)
    scale = np.maximum(np.abs(pooled.phi), 1e-6)

    def minus_log(x: Floats) -> float:
        phi, error = x[:3] * scale, np.exp(2 * x[4])
        z = curve.parts(age, phi)[0]
        off = size - curve(age, phi)
        spread = np.array([[np.exp(2 * x[3])]])

        def noise(entry: Ints, there: Bools) -> Floats:
            return np.asarray(error * np.broadcast_to(np.eye(entry.shape[1]), (*entry.shape, entry.shape[1])))

        reads = [read(pack, z[:, None], off, noise, spread) for pack in trees]
        return 0.5 * said(reads, int(own.max()) + 1, 1).minus_two_log()

    half = np.log(pooled.residual / np.sqrt(2.0))
    first = np.concatenate([pooled.phi / scale, [half, half]])
    rough = minimize(minus_log, first, method="L-BFGS-B", options={"maxiter": 500})
    found = minimize(
        minus_log, rough.x, method="Nelder-Mead", options={"xatol": 1e-7, "fatol": 1e-10, "maxiter": 4000}
    )
    phi = found.x[:3] * scale
    rss = float(np.sum((size - curve(age, phi)) ** 2))
    return CurveFit(
        phi,
        np.full(3, np.nan),
        float(np.exp(found.x[4])),
        rss,
        -float(found.fun),
        bool(found.success),
        float(np.exp(found.x[3])),
    )
