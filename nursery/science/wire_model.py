"""Wire: two durations learned from the nursery's own looks, on a prior from practice.

====  ==============================================================================
B     growing time from wiring to biting, in bite times of the species [1]
D     growing time from biting to sunk in, in the same [1]
x     covariates (``design``), (n, p)
v     a tree's own shift of ln B, the same for all its wires, beyond its covariates
rho   how far a wire that bit sooner than expected also sinks in sooner [1]
G     map of the fitted distribution of B onto the nursery's own
====  ==============================================================================

B and D are Weibull with covariates (``censored``): P(looks) is linear in both survival functions. What no
Weibull fits (wire put on with two kinds of slack, say) goes into G: shares of wires in bins of the fitted
distribution, by expectation and maximisation with a Dirichlet prior at the fitted shares, half of which stay
whatever is seen. Sources: ``censored``; Turnbull 1976, J. R. Stat. Soc. B 38:290-295 (the shares);
Ferguson 1973, Annals of Statistics 1:209-230 (their prior). All numbers of the prior: common practice, no
source.
"""

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike

from .censored import Prior, WeibullFit, fit_terms, nodes, normal_nodes
from .ragged import Bools, Floats, Ints, floats, ints
from .wire_looks import BITING, EDGES, MIDDLE, SUNK_IN, Judging, Looks, likelihood

COVARIATES = ("intercept", "ln growth", "ln caliper", "ln wire/caliper", "trunk")
#: Where the logarithms of caliper [mm] and wire/caliper [1] are 0.
CALIPER_MM, WIRE_SHARE = 20.0, 1.0 / 3.0
BITE_PRIOR = Prior(np.array([0.12, -0.8, 0.0, 0.0, 0.0, 1.1]), np.array([0.4, 0.3, 0.3, 0.3, 0.3, 0.25]))
SINK_PRIOR = Prior(np.array([-0.55, -0.8, 0.0, 0.0, 0.0, 0.95]), np.array([0.4, 0.3, 0.3, 0.3, 0.3, 0.25]))
#: Spread of the logarithm of a tree's growth against its species' where it was not measured.
GROWTH_SPREAD = 0.3
RHO = 0.4
RHOS = (0.0, 0.2, 0.4, 0.6, 0.8)
#: Chance that wire is written down as sunk in that is not, or the reverse: small, for harm once told must
#: count. No source.
SUNK_MISTAKEN = 0.001
#: Bins of the fitted distribution, close where early wires lie; how many wires the prior of G counts for.
BINS: Floats = np.array([0, 0.002, 0.01, 0.03, 0.08, 0.16, 0.28, 0.42, 0.58, 0.74, 0.88, 0.96, 1.0])
PRIOR_WIRES = 20.0
#: Spread of v, and for how many pairs of wires that guess counts.
OWN_SPREAD = 0.12
OWN_PAIRS = 20.0
KEPT = 0.5
#: How many wires are enough to learn how looks are judged.
JUDGED_FROM = 200
#: Chances of sinking in that looks may leave, and what they come to over a wire's life (``wire_spending``) by
#: practice alone: black pines wired from November to March.
SPENT_AT: Floats = np.array([0.0003, 0.003, 0.03])
PRACTICE_SPENT: Floats = np.array([0.0055, 0.0148, 0.0687])
#: Values tried, and the spread of the logarithm of each about that of practice.
_JUDGING = {
    "misjudged": (0.01, 0.03, 0.05, 0.1, 0.15, 0.2, 0.3),
    "marking": (0.55, 0.6, 0.65, 0.7, 0.75, 0.8, 0.85),
    "snug": (0.25, 0.3, 0.35, 0.4, 0.45, 0.5),
    "spread": (0.07, 0.1, 0.14, 0.2, 0.28),
}
_JUDGING_SD = {"misjudged": 1.0, "marking": 0.15, "snug": 0.3, "spread": 0.5}


@dataclass(frozen=True)
class WireModel:
    """What the nursery knows about its wires.

    Attributes
    ----------
    bite, sink : fits of B and D; the prior's until there are looks.
    bite_nodes, sink_nodes : (q, 3) what is not known of intercept and shape, see ``censored.nodes``.
    shares : (bins,) share of wires in each of ``BINS``; their widths until there are looks.
    judging, rho : see the modules.
    n : wires learned from. bitten, sunk : of them, how many were seen biting or worse, and sunk in.
    looks : at them.
    own : (trees,) v of each tree, shrunk towards 0; empty where trees were not told apart.
    spent : (k,) chance of sinking in over a wire's life when each look leaves the one of ``SPENT_AT``.
    converged : False where a fit fell back to the prior.
    """

    bite: WeibullFit
    sink: WeibullFit
    bite_nodes: Floats
    sink_nodes: Floats
    shares: Floats = field(default_factory=lambda: np.diff(BINS))
    judging: Judging = field(default_factory=Judging)
    rho: float = RHO
    n: int = 0
    bitten: int = 0
    sunk: int = 0
    looks: int = 0
    own: Floats = field(default_factory=lambda: np.zeros(0))
    spent: Floats = field(default_factory=lambda: PRACTICE_SPENT)
    converged: bool = True


def design(
    growth: ArrayLike,
    caliper: ArrayLike,
    wire: ArrayLike,
    trunk: ArrayLike,
    *,
    reference: float = CALIPER_MM,
) -> Floats:
    """Covariates, (n, p); what is unknown (NaN) counts as usual.

    Parameters
    ----------
    growth : (n,) the tree's own thickening over that of its species [1].
    caliper, wire : (n,) diameters [mm, or any unit shared with ``reference``].
    trunk : (n,) 1 on the trunk, 0 elsewhere.
    """
    ratio = np.log(floats(wire) / floats(caliper) / WIRE_SHARE)
    columns = [np.log(floats(growth)), np.log(floats(caliper) / reference), ratio, floats(trunk) - 0.5]
    known = [np.clip(np.nan_to_num(column), -2.0, 2.0) for column in columns]
    return np.column_stack([np.ones(known[0].size), *known])


def from_practice() -> WireModel:
    """The model of the first day: nothing but the prior."""
    bite, sink = fit_terms(*_nothing(), prior=BITE_PRIOR), fit_terms(*_nothing(), prior=SINK_PRIOR)
    return WireModel(bite, sink, normal_nodes(bite), normal_nodes(sink))


def _nothing() -> tuple[Floats, Floats, Floats]:
    return np.zeros((0, 2)), np.zeros((0, 2)), np.zeros((0, len(COVARIATES)))


def learn(looks: Looks, x: ArrayLike, tree: ArrayLike | None = None) -> WireModel:
    """Fit to all wires that were ever looked at, n of them.

    Parameters
    ----------
    looks : of all wires. x : (n, p) from ``design``. tree : (n,) whose wire each is, from 0 on.
    """
    design_x = floats(x)
    flagged = looks.contradict()
    judging, bite = Judging(), from_practice().bite
    if looks.n:
        bite = _fit_bite(likelihood(looks, judging, flagged)[0], design_x, bite)
        some, rows = looks.some(JUDGED_FROM)
        judging = _learn_judging(some, flagged[rows], judging, cell_masses(bite, design_x[rows]))
    given = likelihood(looks, judging, flagged)[0]
    bite = _fit_bite(given, design_x, bite)
    masses = cell_masses(bite, design_x)
    shares = _learn_shares(given, bite, design_x)
    sink, sink_nodes, rho = _learn_sink(looks, given * masses, bite, design_x)
    worst = np.zeros(looks.n, dtype=np.intp)
    np.maximum.at(worst, looks.owner, looks.state)
    return WireModel(
        bite,
        sink,
        normal_nodes(bite),
        sink_nodes,
        shares,
        judging,
        rho,
        n=looks.n,
        bitten=int((worst >= BITING).sum()),
        sunk=int((worst == SUNK_IN).sum()),
        looks=int(looks.owner.size),
        own=np.zeros(0) if tree is None else _own_shift(given * masses, bite, design_x, ints(tree)),
        converged=bite.converged and sink.converged,
    )


def _fit_bite(given: Floats, x: Floats, start: WeibullFit | None) -> WeibullFit:
    """P(looks) = sum_k given_k (S(e_k) - S(e_k+1)), put as weights of S at the edges."""
    a = np.diff(given, axis=1, prepend=0.0)
    t = np.broadcast_to(EDGES[:-1], a.shape)
    return fit_terms(t, a, x, prior=BITE_PRIOR, start=None if start is None else start.theta)


def cell_masses(fit: WeibullFit, x: Floats) -> Floats:
    """P(B in cell) by the fit itself, (n, K)."""
    z = (np.log(np.maximum(EDGES[1:-1], 1e-9)) - (x @ fit.theta[:-1])[:, None]) * fit.shape
    s = np.exp(-np.exp(np.minimum(z, 50.0)))
    ends = np.ones((x.shape[0], 1))
    return np.asarray(-np.diff(np.concatenate([ends, s, 0 * ends], axis=1), axis=1))


def _learn_judging(looks: Looks, flagged: Bools, now: Judging, masses: Floats) -> Judging:
    """Coordinate ascent over a few values each, with a weak prior towards practice."""
    base = Judging()

    def score(**changes: float) -> float:
        trial = replace(now, **changes)
        value, top = likelihood(looks, trial, flagged)
        fit = float((np.log(np.maximum((value * masses).sum(axis=1), 1e-300)) + top).sum())
        pull = [np.log(getattr(trial, name) / getattr(base, name)) / sd for name, sd in _JUDGING_SD.items()]
        return fit - 0.5 * float(np.sum(np.square(pull)))

    for name, values in _JUDGING.items():
        scores = [score(**{name: value}) for value in values]
        now = replace(now, **{name: values[int(np.argmax(scores))]})
    return now


def _overlap(fit: WeibullFit, x: Floats) -> Floats:
    """Share of each bin's width that lies in each cell, (n, K, bins)."""
    cdf = np.concatenate([np.zeros((x.shape[0], 1)), np.cumsum(cell_masses(fit, x), axis=1)], axis=1)
    low = np.maximum(cdf[:, :-1, None], BINS[:-1])
    high = np.minimum(cdf[:, 1:, None], BINS[1:])
    return np.asarray(np.maximum(high - low, 0.0) / np.diff(BINS))


def _learn_shares(given: Floats, fit: WeibullFit, x: Floats) -> Floats:
    """Shares of wires by bin, half kept at what the fit says."""
    width = np.diff(BINS)
    if not given.size:
        return width
    by_bin = np.einsum("nk,nkb->nb", given, _overlap(fit, x))
    shares = width.copy()
    for _ in range(100):
        mine = by_bin * shares
        mine /= np.maximum(mine.sum(axis=1, keepdims=True), 1e-300)
        shares = (PRIOR_WIRES * width + mine.sum(axis=0)) / (PRIOR_WIRES + given.shape[0])
    return np.asarray(KEPT * width + (1.0 - KEPT) * shares)


def _own_shift(joint: Floats, bite: WeibullFit, x: Floats, tree: Ints) -> Floats:
    """v of each tree by its wires' residuals of ln B, (trees,), normal with the variance that pairs show.

    Two wires of one tree share v and nothing else, so the mean product of their residuals is its variance;
    ``OWN_PAIRS`` pairs of ``OWN_SPREAD`` stand for what practice expects.
    """
    if not tree.size:
        return np.zeros(0)
    weight = joint / np.maximum(joint.sum(axis=1, keepdims=True), 1e-300)
    residual = weight @ np.log(MIDDLE) - x @ bite.theta[:-1]
    residual = np.nan_to_num(residual - residual.mean())
    count = np.bincount(tree).astype(np.float64)
    total, square = np.bincount(tree, residual), np.bincount(tree, residual**2)
    pairs = float((count * (count - 1)).sum()) / 2
    product = float((total**2 - square).sum()) / 2
    var = max((product + OWN_PAIRS * OWN_SPREAD**2) / (pairs + OWN_PAIRS), 1e-4)
    noise = np.pi**2 / 6 / bite.shape**2
    return np.asarray(total * var / (count * var + noise))


def _learn_sink(looks: Looks, joint: Floats, bite: WeibullFit, x: Floats) -> tuple[WeibullFit, Floats, float]:
    """Fit D to the wires seen biting or worse, over what is known of when they bit."""
    at_worst = looks.state >= BITING
    rows = np.unique(looks.owner[at_worst])
    if not rows.size:
        practice = from_practice()
        return practice.sink, practice.sink_nodes, RHO
    alive, dead = sink_times(looks)
    weight = joint[rows] / joint[rows].sum(axis=1, keepdims=True)
    weight, middle = _coarse(weight)
    expected = bite.median(x[rows])[:, None]
    found = []
    for rho in RHOS:
        pace = (middle / expected) ** -rho
        t, a = _sink_terms(weight, middle, pace, alive[rows], dead[rows])
        fit = fit_terms(t, a, x[rows], prior=SINK_PRIOR)
        found.append((fit.log_likelihood - 0.5 * ((rho - RHO) / 0.25) ** 2, rho, fit, t, a))
    _, rho, fit, t, a = max(found, key=lambda each: each[0])
    spread = nodes(t, a, x[rows], SINK_PRIOR, fit) if fit.converged else normal_nodes(fit)
    return fit, spread, rho


def _coarse(weight: Floats) -> tuple[Floats, Floats]:
    """Every three cells as one, to bound the work: (n, K / 3) weights and times."""
    k = weight.shape[1] // 3 * 3
    grouped = weight[:, :k].reshape(weight.shape[0], -1, 3)
    total = grouped.sum(axis=2)
    times = (grouped * MIDDLE[:k].reshape(-1, 3)).sum(axis=2)
    return total, np.where(total > 0, times / np.maximum(total, 1e-300), MIDDLE[1:k:3])


def sink_times(looks: Looks) -> tuple[Floats, Floats]:
    """(n,) last time seen not sunk in (0: none), and first time seen sunk in (infinity: never) after it."""
    alive, dead = np.zeros(looks.n), np.full(looks.n, np.inf)
    sunk = looks.state == SUNK_IN
    np.minimum.at(dead, looks.owner[sunk], looks.u[sunk])
    before = ~sunk & (looks.u < dead[looks.owner])
    np.maximum.at(alive, looks.owner[before], looks.u[before])
    return alive, dead


def _sink_terms(
    weight: Floats, middle: Floats, pace: Floats, alive: Floats, dead: Floats
) -> tuple[Floats, Floats]:
    """P = sum_k weight_k [e + (1 - 2e) (S(alive - b_k) - S(dead - b_k))], e the chance of a mistake."""
    e = SUNK_MISTAKEN
    since_alive = np.maximum(alive[:, None] - middle, 0.0) * pace
    with np.errstate(invalid="ignore"):
        until_dead = np.maximum(dead[:, None] - middle, 0.0) * pace
    t = np.concatenate([np.zeros((weight.shape[0], 1)), since_alive, until_dead], axis=1)
    a = np.concatenate(
        [e * weight.sum(axis=1, keepdims=True), (1 - 2 * e) * weight, -(1 - 2 * e) * weight], axis=1
    )
    return t, a
