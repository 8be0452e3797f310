"""Do the intervals hold on the nursery's own trees? If not, by how much are they to be widened.

====  =============================================================================================
r     ln of a reading less what the tree's other readings, its lot and its species let expect
s     spread of that expectation, the error of the reading included
====  =============================================================================================

The share of trees whose first reading lies in the interval of their lot, and whose last lies in that made
without their last one, two or three, is brought to ``HELD`` by a factor for each class of readings kept.
Before that, growth that came out other than forecast is learned for the whole nursery: old trunks slow down
more than a power law bends.
Source: the same idea as split conformal prediction (Lei et al. 2018, J. Am. Stat. Assoc. 113:1094-1111), with
a normal scale and pulled towards 1 while trees are few.
"""

from dataclasses import replace
from typing import NamedTuple

import numpy as np
from scipy.special import ndtri

from .growth_forecast import YEARS_SHARED, forecast
from .growth_model import CLASSES, GrowthModel, Readings, ask, clock, design, relearn, tau_of
from .levels import Read, mul
from .ragged import Bools, Floats, Ints, Ragged, ragged

#: Share of truths that the intervals are to hold.
HELD = 0.8
#: So many trees speak for the model as it is, and the least and greatest factor.
AS_MODELLED = 60.0
LEAST, MOST = 0.7, 1.6
#: A caliper's errors have long tails: of their variance so much counts at ``HELD``. That of Student's t with
#: 5 degrees of freedom, (1.476 / 1.291 / 1.282)^2; how long the tails are: common practice, no source.
ERROR_CORE = 0.8
#: How many of the last readings are left out to try the forecast.
BACK = (1, 2, 3)
#: How many readings before those are kept; ``MANY`` is all.
MANY = 1_000_000
KEEP = (1, 3, MANY)
#: Spread of ``ahead`` about 1 before any try, and how many years' luck the tries are worth. No source.
AHEAD_SPREAD, YEARS_SEEN = 0.15, 2.0
#: Share of trees that must keep two readings for lots to learn growth anew.
SEVERAL = 0.3


class Tries(NamedTuple):
    """Forecasts of readings, (t,) each: readings kept, how far off [1], spread of d* and of the error [1],
    growth of ln d expected since the last reading kept."""

    kept: Floats
    off: Floats
    spread: Floats
    error: Floats
    grown: Floats

    def of(self, rows: Bools) -> "Tries":
        return Tries(*(column[rows] for column in self))


def left_out(model: GrowthModel, readings: Readings) -> tuple[Floats, Floats]:
    """r and s of every reading, each from all others of its tree."""
    r, s = np.zeros(readings.d.size), np.ones(readings.d.size)
    mean, cov, tree = model.above(readings.lot, readings.species)
    for pack in ask(readings, model.eta, model.prior, tree):
        rows, there = pack.pack.tree, pack.pack.there
        inverse = _with_lot(pack, cov[rows])
        off = pack.y - mul(pack.z, mean[rows])
        gap = np.arange(there.shape[1])
        precision = inverse[:, gap, gap]
        entry = pack.pack.entry[there]
        r[entry] = (mul(inverse, off) / precision)[there]
        s[entry] = 1.0 / np.sqrt(precision[there])
    return r, s


def _with_lot(pack: Read, cov: Floats) -> Floats:
    """Inverse of V + Z cov Z', by Woodbury."""
    scaled = pack.inverse @ pack.z
    inner = np.eye(cov.shape[-1]) + cov @ (pack.z.swapaxes(1, 2) @ scaled)
    return np.asarray(pack.inverse - scaled @ np.linalg.solve(inner, cov) @ scaled.swapaxes(1, 2))


def kept_to_word(model: GrowthModel, readings: Readings) -> GrowthModel:
    """The model with ``ahead`` and ``width`` as the nursery's own readings ask for.

    ``width`` has the factors by number of readings, one for each of ``growth_model.CLASSES``.
    """
    order = ragged(readings.owner, readings.exposure.sum(axis=1), readings.n)
    tries = _tries(replace(model, width=(1.0,) * (len(CLASSES) + 1), ahead=1.0), readings, order)
    ahead = ahead_of(tries)
    off = tries.off - (ahead - 1.0) * tries.grown
    tries, which = tries._replace(off=off), np.digitize(tries.kept, CLASSES)
    width = tuple(_factor(tries.of(which == at)) for at in range(len(CLASSES) + 1))
    return replace(model, width=width, ahead=ahead)


def _tries(fair: GrowthModel, readings: Readings, order: Ragged) -> Tries:
    found = [_from_lot(fair, readings, order.order[_left(order) == 1])]
    for back in BACK:
        past = _part(readings, np.sort(order.order[_left(order) > back]))
        # The lots must not know what is left out either: all trees of a nursery share its good and bad years.
        # But where what is left tells nothing of growth, they keep what they know.
        several = (np.bincount(past.owner, minlength=readings.n) > 1).sum()
        then = relearn(fair, past) if several >= SEVERAL * np.unique(past.owner).size else fair
        found += [_backtest(then, readings, order, back, keep) for keep in KEEP]
    return Tries(*(np.concatenate(column) for column in zip(*found, strict=True)))


def _left(order: Ragged) -> Ints:
    """(m,) of each sorted entry: 1 for its owner's last, 2 for the one before, ..."""
    return np.asarray(order.count[order.owner] - order.rank)


def _part(readings: Readings, entry: Ints) -> Readings:
    return replace(
        readings,
        owner=readings.owner[entry],
        exposure=readings.exposure[entry],
        d=readings.d[entry],
        odd=readings.odd[entry],
    )


def _backtest(model: GrowthModel, readings: Readings, order: Ragged, back: int, keep: int) -> Tries:
    """Forecast each tree's last reading from the ``keep`` before its last ``back``, if it has so many."""
    left, enough = _left(order), order.count > back + (keep if keep < MANY else 0)
    last = order.order[(left == 1) & enough[order.owner]]
    window = (left > back) & (left <= back + keep) & enough[order.owner]
    tree = readings.owner[last]
    spent = np.zeros((readings.n, 2, 3))
    spent[tree, 0] = readings.exposure[last]
    before = order.order[(left == back + 1) & enough[order.owner]]
    spent[tree, 1] = readings.exposure[before]
    given = forecast(model, _part(readings, np.sort(order.order[window])), spent, years_shared=False)
    kept = np.minimum(order.count[tree] - back, keep).astype(np.float64)
    off, grown = np.log(readings.d[last]) - given.mean[tree, 0], given.mean[tree, 0] - given.mean[tree, 1]
    return Tries(kept, off, given.sd[tree, 0], _usual(model, readings, last), grown)


def _usual(model: GrowthModel, readings: Readings, entry: Ints) -> Floats:
    return np.asarray((readings.error() / readings.odd * np.exp(model.eta[6]))[entry])


def _from_lot(model: GrowthModel, readings: Readings, entry: Ints) -> Tries:
    """Forecast some readings as expected of their trees' lots alone."""
    tree = readings.owner[entry]
    tau = tau_of(readings.exposure[entry], model.eta)
    z = design(tau)
    mean, cov, spread = model.above(readings.lot[tree], readings.species[tree])
    var = np.einsum("np,npq,nq->n", z, cov + spread, z)
    var += np.exp(2 * model.eta[5]) * clock(tau)
    off = np.log(readings.d[entry]) - (z * (mean + model.prior[readings.species[tree]])).sum(axis=1)
    none = np.zeros(entry.size)
    return Tries(none, off, np.sqrt(var), _usual(model, readings, entry), none)


def ahead_of(tries: Tries) -> float:
    """Growth seen over growth forecast, by weighted least squares, pulled to 1 by ``AHEAD_SPREAD``.

    That the years of the tries were good or bad for all trees together weighs as ``YEARS_SEEN`` of them.
    """
    some = tries.grown > 0
    off, grown = tries.off[some], tries.grown[some]
    weight = 1.0 / (np.square(tries.spread[some]) + np.square(tries.error[some]))
    # Beyond two and a half spreads a forecast counts as that far off: slips must not steer.
    reach = 2.5 / np.sqrt(weight)
    told = float((weight * np.square(grown)).sum())
    if told == 0:
        return 1.0
    seen = float((weight * grown * np.clip(off, -reach, reach)).sum()) / told
    var = YEARS_SHARED**2 / YEARS_SEEN + 1.0 / told
    return 1.0 + seen * AHEAD_SPREAD**2 / (AHEAD_SPREAD**2 + var)


def _factor(tries: Tries) -> float:
    """The factor of the spread at which ``HELD`` of the readings lie in their intervals."""
    if not tries.off.size:
        return 1.0
    asked = float(ndtri((1 + HELD) / 2))
    # By how much each spread would have to be wider for its interval just to hold.
    spare = np.square(tries.off / asked) - ERROR_CORE * np.square(tries.error)
    seen = float(np.quantile(np.sqrt(np.maximum(spare, 0.0)) / tries.spread, HELD))
    weight = tries.off.size / (tries.off.size + AS_MODELLED)
    return float(np.clip(max(seen, LEAST) ** weight, LEAST, MOST))
