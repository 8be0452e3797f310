"""How thick, when: the diameter of every tree by date, and the day on which it reaches its target.

====  =======================================================================================
d*    diameter at a time asked for [unit of d]; ln d* is normal given all readings
q     quantile asked for; the 80% interval is q = 0.1 to 0.9
====  =======================================================================================

Given the theta of its lot, a tree's ln d* and its readings are jointly normal; what is not known of the lot
is added (``growth_model``). A tree without readings is as its lot, without a lot as its species. P(target
reached by t) is the greatest P(d* >= target) up to t, for trunks do not get thinner. Source: as ``levels``.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr, ndtri

from .growth_model import CLASSES, ERROR_SHARE, GrowthModel, Readings, ask, clock, design, tau_of
from .levels import Read
from .ragged import Floats, floats

#: Quantiles of the interval that is shown.
LOW, MIDDLE, HIGH = 0.1, 0.5, 0.9
#: What a year does to all trees alike beyond its degree-days, as a share of the year's growth. No source.
YEARS_SHARED = 0.1


def reading_error(model: GrowthModel, readings: Readings, mean: Floats) -> Floats:
    """Spread of a caliper's ln d about ln d* = ``mean``, same shape."""
    return np.asarray(np.hypot(readings.floor / np.exp(mean), ERROR_SHARE) * np.exp(model.eta[6]))


@dataclass(frozen=True)
class Forecast:
    """ln d* of n trees at k times each: ``mean`` and ``sd`` (n, k)."""

    mean: Floats
    sd: Floats

    def quantile(self, q: float) -> Floats:
        """(n, k) diameter [unit of d] below which d* lies with probability q."""
        return np.asarray(np.exp(self.mean + float(ndtri(q)) * self.sd))

    def p_reached(self, target: ArrayLike) -> Floats:
        """(n, k) P(target reached by then). target : (n,) [unit of d]; NaN gives NaN."""
        with np.errstate(divide="ignore"):
            goal = np.log(floats(target))[:, None]
        p = ndtr((self.mean - goal) / np.maximum(self.sd, 1e-12))
        return np.asarray(np.maximum.accumulate(p, axis=1))

    def arrival(self, target: ArrayLike, time: ArrayLike, q: float) -> Floats:
        """(n,) time by which the target is reached with probability q.

        Parameters
        ----------
        target : (n,) [unit of d]. time : (k,) the times asked for, ascending, in any unit.

        Returns
        -------
        The first of ``time`` where it is reached there already; infinity where it is not by the last.
        """
        when, p = floats(time), self.p_reached(target)
        late = p < q
        first = np.where(late.all(axis=1), when.size, late.argmin(axis=1))
        after, before = np.minimum(first, when.size - 1), np.clip(first - 1, 0, when.size - 1)
        rows = np.arange(p.shape[0])
        rise = np.maximum(p[rows, after] - p[rows, before], 1e-12)
        part = np.clip((q - p[rows, before]) / rise, 0.0, 1.0)
        out = when[before] + part * (when[after] - when[before])
        out = np.where(first == 0, when[0], out)
        out = np.where(first == when.size, np.inf, out)
        return np.asarray(np.where(np.isnan(floats(target)), np.nan, out))


def forecast(
    model: GrowthModel, readings: Readings, exposure: ArrayLike, *, years_shared: bool = True
) -> Forecast:
    """Diameters of all trees at the times asked for, in one call.

    Parameters
    ----------
    readings : of n trees; trees without any are forecast from their lot or species.
    exposure : (n, k, 3) growth-years up to each time asked for in each regime.
    years_shared : widen for years that are better or worse for all trees, which no fit to a few years knows.
    """
    given = _curves(model, readings, _and_last(readings, floats(exposure)), years_shared)
    then = given.mean[:, -1:]
    # Beyond its last reading a tree keeps to what forecasts of the nursery proved to be worth.
    ahead = np.bincount(readings.owner, minlength=readings.n)[:, None] > 0
    rest = np.where(ahead, (model.ahead - 1.0) * np.maximum(given.mean - then, 0.0), 0.0)
    return Forecast((given.mean + rest)[:, :-1], given.sd[:, :-1])


def _and_last(readings: Readings, exposure: Floats) -> Floats:
    """The times asked for, and that of each tree's last reading: (n, k + 1, 3)."""
    last = np.zeros((readings.n, 1, 3))
    np.maximum.at(last[:, 0], readings.owner, readings.exposure)
    return np.concatenate([exposure, last], axis=1)


def _curves(model: GrowthModel, readings: Readings, spent: Floats, years_shared: bool) -> Forecast:
    """Each tree along its own curve."""
    tau = tau_of(spent, model.eta)
    z, at = design(tau), clock(tau)
    wander = float(np.exp(2 * model.eta[5]))
    lot_mean, lot_cov, tree = model.above(readings.lot, readings.species)
    from_lot = z.copy()
    mean = (z * model.prior[readings.species][:, None, :]).sum(axis=2)
    var = np.einsum("nkp,npq,nkq->nk", z, tree, z) + wander * at
    when = clock(tau_of(readings.exposure, model.eta))
    for pack in ask(readings, model.eta, model.prior, tree):
        rows = pack.pack.tree
        gain, told, spare = _given(pack, z[rows], at[rows], when, tree[rows], wander)
        mean[rows] += told
        from_lot[rows] = z[rows] - gain @ pack.z
        var[rows] -= spare
    mean += np.einsum("nkp,np->nk", from_lot, lot_mean)
    var += np.einsum("nkp,npq,nkq->nk", from_lot, lot_cov, from_lot)
    which = np.digitize(np.bincount(readings.owner, minlength=readings.n), CLASSES)
    width = floats(model.width)[which][:, None]
    last = np.full(readings.n, np.inf)
    last[readings.owner] = -np.inf
    np.maximum.at(last, readings.owner, when)
    shared = (YEARS_SHARED**2 if years_shared else 0.0) * np.maximum(at - last[:, None], 0.0)
    return Forecast(mean, np.sqrt(np.maximum(width**2 * var, 1e-12) + shared))


def _given(
    pack: Read, z: Floats, at: Floats, when: Floats, tree: Floats, wander: float
) -> tuple[Floats, Floats, Floats]:
    """Regression of ln d* on a pack's readings: gain (k, t, w), its value and the variance gone (k, t)."""
    seen = when[pack.pack.entry]
    with_it = z @ tree @ pack.z.swapaxes(1, 2) + wander * np.minimum(at[:, :, None], seen[:, None, :])
    with_it = np.where(pack.pack.there[:, None, :], with_it, 0.0)
    gain = with_it @ pack.inverse
    return gain, np.einsum("ktw,kw->kt", gain, pack.y), np.einsum("ktw,ktw->kt", gain, with_it)
