"""How thick a trunk is now: its measurements, their error, and growth since.

====  =====================================================
d     diameter just above the roots [mm]
g     thickening in a year of growth [mm/year]
s     standard deviation of one measurement [mm]
====  =====================================================

A Kalman filter over (d, g): g is constant for a tree but for a random walk of d, and starts at its species'
prior; so one measurement borrows from the species, and several show the tree's own rate. Source: Kalman 1960,
J. Basic Eng. 82:35-45, doi:10.1115/1.3662552.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr

from .ragged import Floats, floats, ints, ragged

#: Error of a caliper across an uneven trunk: a floor [mm] and a share of the diameter. No source.
ERROR_MM = 0.4
ERROR_SHARE = 0.03
#: Spread of one year's growth about the tree's own rate, as a share of the prior rate. No source.
YEAR_SPREAD = 0.35
#: Taper that a finished trunk shows between two heights [mm/mm]: half that of a cone six bases high.
#: No source.
TAPER_NEEDED = 1.0 / 12.0


@dataclass(frozen=True)
class Thickness:
    """All of shape (n,); NaN where there was no measurement.

    Attributes
    ----------
    mean, sd : of d now [mm].
    rate : mean of g [mm/year].
    """

    mean: Floats
    sd: Floats
    rate: Floats


def measurement_sd(mm: ArrayLike) -> Floats:
    """Standard deviation of one measurement [mm], same shape as ``mm``."""
    return np.hypot(ERROR_MM, ERROR_SHARE * floats(mm))


def thickness_now(
    owner: ArrayLike,
    at: ArrayLike,
    d: ArrayLike,
    sd: ArrayLike,
    *,
    rate: ArrayLike,
    rate_sd: ArrayLike,
    now: ArrayLike,
) -> Thickness:
    """Filter the measurements of all trees in one call.

    Parameters
    ----------
    owner : (m,) index of the tree of each measurement, 0..n-1.
    at : (m,) growth-years on one clock [year]. now : when to answer [year], (n,) or one for all;
        later entries count as made then.
    d, sd : (m,) measured diameter and its error [mm], sd > 0. rate, rate_sd : (n,) prior of g [mm/year].
    """
    prior, prior_sd = floats(rate), floats(rate_sd)
    n, walk = prior.size, (YEAR_SPREAD * prior) ** 2
    then = np.broadcast_to(floats(now), (n,))
    times, seen, error = np.minimum(floats(at), then[ints(owner)]), floats(d), floats(sd)
    mean, last, g = np.full(n, np.nan), np.full(n, np.nan), prior.copy()
    vdd, vdg, vgg = np.zeros(n), np.zeros(n), prior_sd**2
    for tree, entry in ragged(owner, times, n).steps():
        var = error[entry] ** 2
        fresh = np.isnan(last[tree])
        gap = np.nan_to_num(times[entry] - last[tree])
        pdd = vdd[tree] + 2 * gap * vdg[tree] + gap**2 * vgg[tree] + walk[tree] * gap
        pdg = vdg[tree] + gap * vgg[tree]
        # A first measurement is taken as it is: nothing was known of d before.
        gain_d, gain_g = np.where(fresh, 1.0, pdd / (pdd + var)), pdg / (pdd + var)
        off = seen[entry] - np.where(fresh, 0.0, mean[tree] + g[tree] * gap)
        mean[tree], g[tree] = seen[entry] - (1 - gain_d) * off, g[tree] + gain_g * off
        vdd[tree], vdg[tree] = gain_d * var, (1 - gain_d) * pdg
        vgg[tree] -= gain_g * pdg
        last[tree] = times[entry]
    idle = then - last
    spread = vdd + 2 * idle * vdg + idle**2 * vgg + walk * idle
    return Thickness(mean + np.maximum(g, 0.0) * idle, np.sqrt(spread), np.where(np.isnan(last), np.nan, g))


def p_reached(mean: ArrayLike, sd: ArrayLike, target: ArrayLike) -> Floats:
    """P(d >= target), normal, same shape as the inputs; NaN where the target is NaN."""
    return ndtr((floats(mean) - floats(target)) / floats(sd))


def p_taper(
    base: ArrayLike,
    upper: ArrayLike,
    height: ArrayLike,
    base_sd: ArrayLike,
    upper_sd: ArrayLike,
    needed: float = TAPER_NEEDED,
) -> Floats:
    """P((base - upper) / height >= needed), normal errors of both; all [mm], (n,), height > 0."""
    h = floats(height)
    taper = (floats(base) - floats(upper)) / h
    return ndtr((taper - needed) * h / np.hypot(floats(base_sd), floats(upper_sd)))
