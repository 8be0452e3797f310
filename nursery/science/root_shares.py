"""What the nursery's own root surveys teach: shares of level roots and of clean trees, how even roots stand.

====  ====================================================================================
f     share of answers of one kind among all looks
s, c  sensitivity and specificity of a look
rho   correlation between two roots of one tree, level or not
pi    share of things that are so, (f - (1 - c)) / (s + c - 1), held inside 0..1
k     concentration of the gaps between neighbouring roots, as of a Dirichlet distribution
====  ====================================================================================

pi: Rogan & Gladen 1978, Am. J. Epidemiol. 107:71-76, doi:10.1093/oxfordjournals.aje.a112510. k: of n gaps
each is a share with variance (1/n)(1 - 1/n) / (n k + 1) (Johnson & Kotz 1972, Continuous Multivariate
Distributions, ch. 40), to which an error of each angle adds. rho: two roots of one tree are level with
covariance rho pi (1 - pi), and called so with (s + c - 1)^2 of that, for each look errs by itself. Each is
drawn to what practice assumes, as if that were seen on some surveys.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from . import roots
from .ragged import Floats, Ints, floats, ints

#: Practice counts as so many surveys, or roots. No source.
AS_SURVEYS = 20.0
AS_ROOTS = 100.0


class Learned(NamedTuple):
    """A number, and how many looks it rests on."""

    value: float
    looks: int


@dataclass(frozen=True)
class Surveys:
    """The newest survey of each of n trees.

    Attributes
    ----------
    owner, angle, level : (m,) of each root: its survey, angle [degree], whether it was called level.
    defects : (n,) number of defects noted.
    """

    owner: Ints
    angle: Floats
    level: Ints
    defects: Ints

    @staticmethod
    def of(owner: ArrayLike, angle: ArrayLike, level: ArrayLike, defects: ArrayLike) -> "Surveys":
        return Surveys(ints(owner), floats(angle), ints(level), ints(defects))


def share(found: float, looks: int, seen: float, not_seen: float) -> float:
    """Share of things that are so, from the share of looks that say so, within 0.02..0.98."""
    if not looks:
        return 0.5
    return float(np.clip((found - (1 - not_seen)) / (seen + not_seen - 1), 0.02, 0.98))


def pulled(value: float, looks: int, assumed: float, weight: float) -> float:
    """Between what was seen and what is assumed."""
    return (value * looks + assumed * weight) / (looks + weight)


def level_share(surveys: Surveys, error: float, assumed: float) -> Learned:
    """Share of roots that are level."""
    m = surveys.level.size
    found = share(float(surveys.level.mean()) if m else 0.0, m, 1 - error, 1 - error)
    return Learned(pulled(found, m, assumed, AS_ROOTS), m)


def level_alike(surveys: Surveys, error: float, share_level: float, assumed: float) -> Learned:
    """rho, within 0..0.9, from surveys with two roots or more; ``share_level`` is pi."""
    n = surveys.defects.size
    count = np.bincount(surveys.owner, minlength=n)
    told = int((count > 1).sum())
    if not told:
        return Learned(assumed, 0)
    off = surveys.level - surveys.level.mean()
    pairs = np.square(np.bincount(surveys.owner, off, n)) - np.bincount(surveys.owner, np.square(off), n)
    together = float(pairs.sum() / (count * (count - 1)).sum())
    found = together / ((1 - 2 * error) ** 2 * share_level * (1 - share_level))
    return Learned(pulled(float(np.clip(found, 0.0, 0.9)), told, assumed, AS_SURVEYS), told)


def clean_share(surveys: Surveys, seen: float, not_invented: float, assumed: float) -> Learned:
    """Share of trees without a defect of the roots."""
    n = surveys.defects.size
    noted = float((surveys.defects > 0).mean()) if n else 0.0
    return Learned(pulled(1 - share(noted, n, seen, not_invented), n, assumed, AS_SURVEYS), n)


def evenness(surveys: Surveys, error: float, assumed: float) -> Learned:
    """k, within 1..10, from surveys with three roots or more."""
    n = surveys.defects.size
    count = np.bincount(surveys.owner, minlength=n)
    gaps_of, _, width = roots.gaps(surveys.owner, np.mod(surveys.angle, 360.0), n)
    some = count[gaps_of] >= 3
    each = count[gaps_of][some].astype(np.float64)
    told = int((count >= 3).sum())
    if not told:
        return Learned(assumed, 0)
    off = np.square(width[some] / 360.0 - 1 / each) - 2 * (error / 360.0) ** 2
    spread = max(float(off.mean()), 1e-6)
    # k at which the variances expected of all gaps sum to those seen, to first order in 1/k.
    k = float(np.mean((1 - 1 / each) / each**2) / spread - np.mean(1 / each))
    return Learned(pulled(float(np.clip(k, 1.0, 10.0)), told, assumed, AS_SURVEYS), told)
