"""What to look at: how much a look would tell of a gate, and which looks fit into a walk's minutes.

====  ==================================================================================
C     a criterion of a gate, met or not; p = P(C)
G     the gate: all of its criteria met; they are taken as independent, P(G) = prod p
Y     the answer of a look, yes or no for each criterion that it tells of
s, c  sensitivity P(yes | met) and specificity P(no | not met) of that answer
H     entropy of a yes/no thing, -q log2 q - (1 - q) log2 (1 - q) [bit]
I     what a look is worth: the expected drop of entropy, H(G) - sum over y of P(y) H(G | y) [bit]
====  ==================================================================================

I is the mutual information of gate and answer. Source: Shannon 1948, A Mathematical Theory of Communication,
Bell System Tech. J. 27, sections 6 and 12, doi:10.1002/j.1538-7305.1948.tb01338.x; Cover & Thomas 2006,
Elements of Information Theory, 2.3-2.5, doi:10.1002/047174882X. A look that can't change what is believed of
the gate is worth nothing, however unsure the criterion itself is: a tree with roots on one side needs no
second look at their level.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import entr

from .ragged import Bools, Floats, Ints, floats


@dataclass(frozen=True)
class Check:
    """One kind of look.

    Attributes
    ----------
    name : its word. seconds : what it takes at the tree [s].
    tells : the criteria it answers, each with sensitivity and specificity; the first is what it is made for.
    again : looked at within so many days, it is not asked for again: the same eye errs the same way twice.
    """

    name: str
    seconds: float
    tells: dict[str, tuple[float, float]] = field(default_factory=dict)
    again: int = 0


#: Seconds, errors and days are assumed: common practice, no source. Errors of buds and firmness are those
#: that the filters reckon with; ``Check.again`` is about when a tree may have changed.
CHECKS: dict[str, Check] = {
    check.name: check
    for check in (
        Check("wire", 6.0),
        Check("soil", 3.0, {"alive": (0.995, 0.9)}, 30),
        Check("firm", 10.0, {"firm": (0.92, 0.9), "alive": (0.995, 0.9)}, 60),
        Check("buds", 5.0, {"low_buds": (0.83, 0.85)}, 21),
        Check("caliper", 20.0, {"at_target": (0.93, 0.93)}, 90),
        Check("taper", 20.0, {"taper": (0.85, 0.85)}, 180),
        Check(
            "roots",
            120.0,
            {"roots_spread": (0.9, 0.9), "roots_level": (0.9, 0.9), "no_defect": (0.95, 0.9)},
            270,
        ),
        Check(
            "branches",
            60.0,
            {"primaries": (0.9, 0.9), "internodes": (0.85, 0.85), "order": (0.85, 0.85)},
            180,
        ),
    )
}


@dataclass(frozen=True)
class Costs:
    """What a walk takes besides its looks. Assumed: common practice, no source.

    Attributes
    ----------
    place, row : from a place to the next one along a row, from a row to the next [s].
    bench : to a bench, and to the first stop there [s]. stop : to find the tag, and the tree in the app [s].
    least_gain : a look worth less is not worth the stop, however many minutes are left [bit].
    """

    place: float = 1.0
    row: float = 3.0
    bench: float = 45.0
    stop: float = 3.0
    least_gain: float = 0.02


USUAL = Costs()
#: A walk without a must-see is begun on each of so many benches, and the best walk is taken.
BEST_BENCHES = 6


def entropy(q: ArrayLike) -> Floats:
    """H of a thing that is so with probability q [bit], same shape; 0 at 0 and 1, 1 at one half."""
    at = floats(q)
    return np.asarray((entr(at) + entr(1.0 - at)) / np.log(2.0))


def gain(p: ArrayLike, sensitivity: ArrayLike, specificity: ArrayLike) -> Floats:
    """Expected drop of entropy of one criterion by one look at it [bit].

    I(C; Y) = H(P(yes)) - p H(s) - (1 - p) H(c), with P(yes) = p s + (1 - p) (1 - c).

    Parameters
    ----------
    p, sensitivity, specificity : in [0, 1], any shapes that broadcast: a pair of tree and check each.
    """
    at, s, c = floats(p), floats(sensitivity), floats(specificity)
    yes = at * s + (1.0 - at) * (1.0 - c)
    told = entropy(yes) - at * entropy(s) - (1.0 - at) * entropy(c)
    return np.clip(told, 0.0, entropy(at))


def gate_gain(p: ArrayLike, sensitivity: ArrayLike, specificity: ArrayLike) -> Floats:
    """Expected drop of entropy of a gate by looks at some of its criteria [bit], for all pairs at once.

    Parameters
    ----------
    p : (n, k) P(criterion met), in [0, 1].
    sensitivity, specificity : broadcast to (n, k); one half both for a criterion that is not looked at.

    Returns
    -------
    (n,). All 2^k answers are gone through; k is at most four.
    """
    at = floats(p)
    s, c = (np.broadcast_to(floats(error), at.shape) for error in (sensitivity, specificity))
    before = entropy(at.prod(axis=1))
    after = np.zeros(at.shape[0])
    for answer in product((True, False), repeat=at.shape[1]):
        yes = np.array(answer, dtype=bool)
        met = at * np.where(yes, s, 1.0 - s)
        total = (met + (1.0 - at) * np.where(yes, 1.0 - c, c)).prod(axis=1)
        share = np.divide(met.prod(axis=1), total, out=np.zeros_like(total), where=total > 0)
        after += total * entropy(np.clip(share, 0.0, 1.0))
    return np.clip(before - after, 0.0, before)


def if_good(p: ArrayLike, sensitivity: ArrayLike, specificity: ArrayLike) -> Floats:
    """P(gate met | every answer is yes), (n,); shapes as for ``gate_gain``."""
    at, s, c = floats(p), floats(sensitivity), floats(specificity)
    met = at * s
    total = met + (1.0 - at) * (1.0 - c)
    return np.asarray(np.divide(met, total, out=at * 1.0, where=total > 0).prod(axis=1))


class Ladder(NamedTuple):
    """The looks worth having at each of n trees, in the order in which to take them; m is the most at a tree.

    Attributes
    ----------
    check : (n, m) index of the check; -1 where none is left.
    value : (n, m) what it adds to those before it [bit]; 0 where none is left.
    seconds : (n, m) [s].
    """

    check: Ints
    value: Floats
    seconds: Floats


def ladder(p: ArrayLike, gate: Sequence[str], checks: Sequence[Check], ask: ArrayLike) -> Ladder:
    """Order the checks of each tree by what each adds per second, given those taken before it.

    Looks at one gate are worth more or less together than apart, so each is weighed after the ones before.

    Parameters
    ----------
    p : (n, k) P(criterion met). gate : the k criteria, by name.
    checks : m checks. ask : (n, m) bool, whether the check may be asked of the tree.
    """
    at, free = floats(p), np.array(ask, dtype=bool)
    n, m = free.shape
    errors = np.array([[check.tells.get(name, (0.5, 0.5)) for name in gate] for check in checks])
    cost = floats([check.seconds for check in checks])
    known = np.full((n, len(gate), 2), 0.5)
    had = np.zeros(n)
    out = Ladder(np.full((n, m), -1, dtype=np.intp), np.zeros((n, m)), np.zeros((n, m)))
    for rung in range(m):
        with_it = np.stack([_sharper(known, errors[j]) for j in range(m)])
        told = np.stack([gate_gain(at, both[..., 0], both[..., 1]) for both in with_it]).T
        rate = np.where(free, (told - had[:, None]) / cost, -1.0)
        best = rate.argmax(axis=1)
        some = np.flatnonzero(rate[np.arange(n), best] >= 0)
        pick = best[some]
        out.check[some, rung], out.seconds[some, rung] = pick, cost[pick]
        out.value[some, rung] = np.maximum(told[some, pick] - had[some], 0.0)
        known[some], had[some], free[some, pick] = with_it[pick, some], told[some, pick], False
    return out


def _sharper(known: Floats, errors: Floats) -> Floats:
    """(n, k, 2) errors of what is asked of each criterion when a check is added: those of the better look."""
    better = errors.sum(axis=-1) > known.sum(axis=-1)
    return np.where(better[..., None], errors, known)


@dataclass(frozen=True)
class Ground:
    """Where n trees stand, given in walking order: benches one after the other, each as a serpentine.

    Attributes
    ----------
    bench : (n,) rank of the bench. row, place : (n,) on it, from 1; 0 for a tree without a place.
    """

    bench: Ints
    row: Ints
    place: Ints


@dataclass(frozen=True)
class Choice:
    """What fits into the time.

    Attributes
    ----------
    must : (n,) bool, must-sees that are in.
    rungs : (n,) how many looks of the tree's ladder are in.
    seconds : all looks and all ways [s], at most the budget. needed : the same for all must-sees alone.
    """

    must: Bools
    rungs: Ints
    seconds: float
    needed: float


class _Route:
    """The stops so far, and what one more stop would cost."""

    def __init__(self, ground: Ground, at_stop: Floats, costs: Costs) -> None:
        n = ground.bench.size
        self.ground, self.at_stop, self.costs = ground, at_stop + costs.stop, costs
        self.stop = np.zeros(n, dtype=bool)
        self.before, self.after = np.full(n, -1, dtype=np.intp), np.full(n, -1, dtype=np.intp)
        self.start = np.searchsorted(ground.bench, ground.bench, side="left")
        self.end = np.searchsorted(ground.bench, ground.bench, side="right")
        self.extra = self.at_stop + costs.bench

    def way(self, a: Ints, b: Ints) -> Floats:
        """Seconds from tree a to tree b on one bench; 0 where either is -1 (none) [s]."""
        row, place = self.ground.row, self.ground.place
        far = self.costs.row * np.abs(row[a] - row[b]) + self.costs.place * np.abs(place[a] - place[b])
        return np.where((a < 0) | (b < 0), 0.0, far)

    def add(self, i: int) -> None:
        """Make tree i a stop; only those between its neighbours on the bench cost something else now."""
        if self.stop[i]:
            return
        self.stop[i] = True
        low = self.before[i] if self.before[i] >= 0 else self.start[i]
        high = self.after[i] + 1 if self.after[i] >= 0 else self.end[i]
        self.after[low:i], self.before[i + 1 : high] = i, i
        at = np.arange(low, high)
        a, b = self.before[at], self.after[at]
        detour = self.way(a, at) + self.way(at, b) - self.way(a, b)
        self.extra[at] = np.where(self.stop[at], 0.0, self.at_stop[at] + detour)


def choose(
    ground: Ground,
    must: ArrayLike,
    must_seconds: ArrayLike,
    looks: Ladder,
    budget: float,
    at_stop: ArrayLike = 0.0,
    costs: Costs = USUAL,
) -> Choice:
    """Must-sees first, then the look with the most value per second of looking and walking, while it fits.

    A greedy knapsack: quick, explainable, and near the best where each look is small against the walk
    (Dantzig 1957, Operations Research 5(2):266-288, doi:10.1287/opre.5.2.266).

    Parameters
    ----------
    ground : n trees. must : trees that must be seen, by index, the most pressing first; each once.
    must_seconds : (n,) what they take there [s]. looks : from ``ladder``, of all n trees.
    budget : time for the walk [s]. at_stop : what a stop takes besides its looks and ``costs``, (n,) [s].
    """
    n, order = ground.bench.size, np.asarray(must, dtype=np.intp)
    cost = floats(must_seconds)
    extra = np.broadcast_to(floats(at_stop), (n,))
    route, whole = _Route(ground, extra, costs), _Route(ground, extra, costs)
    needed = sum(_price(whole, i, cost) for i in order.tolist())
    taken, left = np.zeros(n, dtype=bool), float(budget)
    waiting, before = order.tolist(), -1
    while len(waiting) != before:  # what was too far off may lie beside a later stop
        before, still = len(waiting), []
        for i in waiting:
            if route.extra[i] + cost[i] > left + 1e-9:
                still.append(i)
                continue
            left -= _price(route, i, cost)
            taken[i] = True
        waiting = still
    value = looks.value.copy()
    value[waiting] = 0.0  # nobody stops at a tree for its buds and passes over its wire
    if not n:
        return Choice(taken, np.zeros(0, dtype=np.intp), 0.0, needed)
    filled = [_fill(route, value, looks.seconds, left)]
    if not taken.any():
        # Nothing binds the walk to a bench yet, and the best tree need not stand on the best bench.
        for bench in _best_benches(route, value, looks.seconds, left):
            anew = _Route(ground, extra, costs)
            filled.append(_fill(anew, value, looks.seconds, left, start=ground.bench == bench))
    best = max(filled, key=lambda one: one.value)
    return Choice(taken, best.rungs, float(budget) - best.left, needed)


def _price(route: _Route, i: int, cost: Floats) -> float:
    """Make tree i a stop; what that and its must-see take [s]."""
    price = float(route.extra[i] + cost[i])
    route.add(i)
    return price


class _Filled(NamedTuple):
    """How many looks of each tree's are taken, what they are worth [bit], and the time that is left [s]."""

    rungs: Ints
    value: float
    left: float


def _fill(route: _Route, value: Floats, seconds: Floats, left: float, start: Bools | None = None) -> _Filled:
    """Take the best look that fits, again and again; the first one among the trees of ``start``."""
    n = value.shape[0]
    value, seconds = (np.column_stack([table, np.zeros(n)]) for table in (value, seconds))
    rungs, head, cost = np.zeros(n, dtype=np.intp), value[:, 0].copy(), seconds[:, 0].copy()
    total = 0.0
    while True:
        price = cost + route.extra
        fits = (head >= route.costs.least_gain) & (price <= left + 1e-9)
        if start is not None:
            fits, start = fits & start, None
        rate = np.where(fits, head / np.maximum(price, 1e-9), 0.0)
        i = int(rate.argmax())
        if rate[i] <= 0:
            return _Filled(rungs, total, left)
        left, total = left - float(price[i]), total + float(head[i])
        rungs[i] += 1
        head[i], cost[i] = value[i, rungs[i]], seconds[i, rungs[i]]
        route.add(i)


def _best_benches(route: _Route, value: Floats, seconds: Floats, left: float) -> list[int]:
    """The benches where the walk's time would be worth most, were the way along them nothing."""
    bench, room = route.ground.bench, left - route.costs.bench
    cost = np.where(value > 0, seconds, 0.0)
    cost[:, 0] += route.at_stop
    tree, rung = np.nonzero(value >= route.costs.least_gain)
    worth, price, at = value[tree, rung], cost[tree, rung], bench[tree]
    order = np.lexsort((-worth / price, at))
    spent = np.cumsum(price[order])
    before = np.concatenate(([0.0], spent))[np.searchsorted(at[order], at[order], side="left")]
    fits = spent - before <= room
    total = np.bincount(at[order][fits], worth[order][fits], minlength=int(bench.max()) + 1)
    best = np.argsort(-total, kind="stable")[:BEST_BENCHES]
    return [int(rank) for rank in best if total[rank] > 0]
