"""How trees thicken: a mixed model of base diameter against growing time, for all trees of a nursery at once.

=====  ================================================================================================
d      base diameter [mm, or any one unit]
tau    growing time that counts: sum over regimes of share_r times growth-years in r, free growth being 1
x      ln((tau + TAU_0) / TAU_REF)
theta  level, slope and bend of ln d in x, (3,), of a tree ~ its lot ~ its species ~ the prior
w      a tree's wandering about its own curve: years are better or worse for it
e      error of a caliper reading, of ln d
=====  ================================================================================================

ln d = theta_1 + theta_2 x + theta_3 x^2 + w(tau) + e: a power law of growing time (theta_2 = 1 thickens by
the same each year, below 1 ever slower) that may bend as trees get old. w is a Brownian motion in the clock
1/TAU_0 - 1/(tau + TAU_0), so that a year off by a share moves ln d by that share of the year's own growth.
Spreads and the shares of the regimes are those of the greatest marginal likelihood (``levels``) times a weak
prior from practice: empirical Bayes. All numbers of the prior: common practice, no source. Sources: Pinheiro
& Bates 2000, Mixed-Effects Models in S and S-PLUS, chapters 2 and 8; Robbins 1956 (empirical Bayes).
"""

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import minimize

from .levels import Groups, Read, Says, packs, read, said
from .ragged import Bools, Floats, Ints, floats, ints, ragged

REGIMES = ("small", "free", "held")
#: Growing time of a seedling when it comes up, and where the level is told [growth-years].
TAU_0, TAU_REF = 1.0, 6.0
#: Names of eta, with mean and spread of the prior of each (logarithms, but for the correlation: atanh).
ETA = (
    ("tree level", np.log(0.2), 0.5),
    ("tree slope", np.log(0.12), 1.2),
    ("correlation", 0.0, 1.0),
    ("lot level", np.log(0.12), 0.6),
    ("lot slope", np.log(0.06), 0.6),
    ("wandering", np.log(0.3), 0.5),
    ("error", 0.0, 0.5),
    ("share small", np.log(0.55), 0.35),
    ("share held", np.log(0.3), 0.4),
    ("tree bend", np.log(0.06), 0.6),
)
ETA_MEAN: Floats = np.array([mean for _, mean, _ in ETA])
ETA_SD: Floats = np.array([sd for _, _, sd in ETA])
#: Spread of a species' level, slope and bend about what is expected of it, and the slope expected.
SPECIES_SD = (0.4, 0.2, 0.15)
SLOPE = 0.95
#: Spread of the bend between lots, as a share of that between trees.
LOT_BEND = 0.5
#: A caliper reading errs by a floor [mm] and a share of the diameter.
ERROR_MM, ERROR_SHARE = 0.4, 0.03
#: Trees with fewer readings than each of these are a class of their own.
CLASSES = (1, 2, 5)
#: Trees and readings from which the spreads are learned; whole lots are taken until there are so many.
ENOUGH, ENOUGH_READINGS = 1200, 6000
#: Of a tree with more readings than this only every second, third, ... teaches the spreads.
THIN = 12


@dataclass(frozen=True)
class Readings:
    """Caliper readings of n trees, m in all.

    Attributes
    ----------
    owner : (m,) tree of each reading. exposure : (m, 3) growth-years up to it in each of ``REGIMES``.
    d : (m,) diameter. floor : (m,) or a number, least error in the unit of d.
    odd : (m,) how many times wider than usual a reading errs; 1 where nothing is odd (``odd_readings``).
    lot : (n,) lot of each tree, -1 without. species : (n,) species of each tree.
    """

    owner: Ints
    exposure: Floats
    d: Floats
    lot: Ints
    species: Ints
    odd: Floats
    floor: float = ERROR_MM

    @staticmethod
    def of(
        owner: ArrayLike,
        exposure: ArrayLike,
        d: ArrayLike,
        *,
        lot: ArrayLike,
        species: ArrayLike,
        odd: ArrayLike | None = None,
        floor: float = ERROR_MM,
    ) -> "Readings":
        mm = floats(d)
        wide = np.ones(mm.size) if odd is None else floats(odd)
        spent = floats(exposure).reshape(mm.size, 3)
        return Readings(ints(owner), spent, mm, ints(lot), ints(species), wide, floor)

    @property
    def n(self) -> int:
        return int(self.lot.size)

    def error(self) -> Floats:
        """(m,) spread of e as practice has it."""
        return np.asarray(np.hypot(self.floor / self.d, ERROR_SHARE) * self.odd)

    def kept(self, tree: Bools) -> "Readings":
        """Those of some trees, which are numbered anew in their order."""
        place = np.cumsum(tree) - 1
        mine = tree[self.owner]
        return Readings(
            place[self.owner[mine]],
            self.exposure[mine],
            self.d[mine],
            self.lot[tree],
            self.species[tree],
            self.odd[mine],
            self.floor,
        )


def expected(growth: ArrayLike) -> Floats:
    """Prior mean of each species' theta, (species, 3), from its free thickening [unit of d / year].

    The prior is a tree that in ``TAU_REF`` growth-years made six tenths of that rate a year.
    """
    level = np.log(0.6 * floats(growth) * TAU_REF)
    return np.column_stack([level, np.full(level.size, SLOPE), np.zeros(level.size)])


def tau_of(exposure: Floats, eta: Floats) -> Floats:
    """Growing time that counts, of exposures (..., 3): (...)."""
    return np.asarray(exposure @ np.array([np.exp(eta[7]), 1.0, np.exp(eta[8])]))


def design(tau: Floats) -> Floats:
    """(..., 3): 1, x and x^2."""
    x = np.log((np.maximum(tau, 0.0) + TAU_0) / TAU_REF)
    return np.stack([np.ones_like(x), x, x**2], axis=-1)


def clock(tau: Floats) -> Floats:
    """Clock of w, same shape as tau."""
    return np.asarray(1.0 / TAU_0 - 1.0 / (np.maximum(tau, 0.0) + TAU_0))


def spreads(eta: Floats) -> tuple[Floats, Floats]:
    """T and L, (3, 3) each."""
    level, slope, both, bend = np.exp(eta[0]), np.exp(eta[1]), np.tanh(eta[2]), np.exp(eta[9])
    tree = np.diag([level**2, slope**2, bend**2])
    tree[0, 1] = tree[1, 0] = both * level * slope
    return tree, np.diag([np.exp(2 * eta[3]), np.exp(2 * eta[4]), (LOT_BEND * bend) ** 2])


def ask(readings: Readings, eta: Floats, prior: Floats, spread: Floats | None = None) -> list[Read]:
    """Readings against what is expected of their species, pack by pack.

    spread : (n, 3, 3) covariance of each tree's theta about the level above; T if left out.
    """
    tau = tau_of(readings.exposure, eta)
    z, at = design(tau), clock(tau)
    y = np.log(readings.d) - (z * prior[readings.species[readings.owner]]).sum(axis=1)
    error = (readings.error() * np.exp(eta[6])) ** 2
    wander, usual = np.exp(2 * eta[5]), spreads(eta)[0]

    def noise(entry: Ints, there: Bools) -> Floats:
        when = at[entry]
        r = wander * np.minimum(when[:, :, None], when[:, None, :])
        gap = np.arange(entry.shape[1])
        r[:, gap, gap] += error[entry]
        return np.asarray(r)

    return [
        read(pack, z, y, noise, usual if spread is None else spread[pack.tree])
        for pack in packs(readings.owner, tau, readings.n)
    ]


def _up(readings: Readings, eta: Floats, prior: Floats, groups: Groups) -> tuple[Says, Says]:
    """What is said of each lot's theta, and of each species'."""
    trees = said(ask(readings, eta, prior), readings.n, 3)
    lots = trees.by(groups.lot, groups.species.size)
    return lots, lots.through(spreads(eta)[1]).by(groups.species, prior.shape[0])


def log_posterior(eta: Floats, readings: Readings, prior: Floats, groups: Groups) -> float:
    """ln marginal likelihood of all readings, plus ln of the prior of eta (less a constant)."""
    species = _up(readings, eta, prior, groups)[1]
    value = species.through(np.diag(np.square(SPECIES_SD))).minus_two_log()
    return -0.5 * (value + float((((eta - ETA_MEAN) / ETA_SD) ** 2).sum()))


@dataclass(frozen=True)
class GrowthModel:
    """What a nursery knows of how its trees thicken.

    Attributes
    ----------
    prior : (species, 3) theta expected before any reading.
    eta : (10,) as ``ETA`` names them.
    species_mean, species_cov, lot_mean, lot_cov : theta of each species and lot given all readings, as a
        difference from ``prior``; (., 3) and (., 3, 3). A lot that is not among them is as its species.
    n, m : trees and readings learned from.
    width : how much wider than modelled intervals must be to hold, by number of readings (``growth_widths``).
    ahead : growth after a tree's last reading over that which its curve expects (``growth_widths``).
    converged : False: eta is the prior's, and whoever shows a forecast must say so.
    """

    prior: Floats
    eta: Floats
    species_mean: Floats
    species_cov: Floats
    lot_mean: Floats = field(default_factory=lambda: np.zeros((0, 3)))
    lot_cov: Floats = field(default_factory=lambda: np.zeros((0, 3, 3)))
    n: int = 0
    m: int = 0
    width: tuple[float, ...] = (1.0,) * (len(CLASSES) + 1)
    ahead: float = 1.0
    converged: bool = True

    def above(self, lot: Ints, species: Ints) -> tuple[Floats, Floats, Floats]:
        """What each tree borrows from: its lot, or its species where the lot is not known.

        Returns
        -------
        Mean (n, 3) and covariance (n, 3, 3) of theta up there, and covariance (n, 3, 3) of a tree's about it.
        """
        tree, of_lot = spreads(self.eta)
        known = (lot >= 0) & (lot < self.lot_mean.shape[0])
        mean, cov = self.species_mean[species].copy(), self.species_cov[species].copy()
        mean[known], cov[known] = self.lot_mean[lot[known]], self.lot_cov[lot[known]]
        return mean, cov, tree + of_lot * ~known[:, None, None]


def from_practice(growth: ArrayLike) -> GrowthModel:
    """The model of the first day. growth : (species,) free thickening [unit of d / year]."""
    prior = expected(growth)
    cov = np.broadcast_to(np.diag(np.square(SPECIES_SD)), (prior.shape[0], 3, 3)).copy()
    return GrowthModel(prior, ETA_MEAN.copy(), np.zeros_like(prior), cov)


def learn(
    readings: Readings, growth: ArrayLike, *, steps: int = 60, start: Floats | None = None
) -> GrowthModel:
    """Fit to all readings of a nursery.

    Parameters
    ----------
    readings : of n trees, d > 0. growth : (species,) free thickening [unit of d / year].
    steps : at most so many steps uphill. start : (10,) eta to begin from; the mean of its prior if left out.
    """
    prior = expected(growth)
    if not readings.d.size:
        return from_practice(growth)
    some = _thinned(readings.kept(sample(readings)))
    eta, converged = _climb(some, prior, steps, ETA_MEAN if start is None else start)
    return _settle(readings, prior, eta, converged)


def relearn(model: GrowthModel, readings: Readings) -> GrowthModel:
    """Lots and species anew from the readings, the spreads as they are: no climb."""
    anew = _settle(readings, model.prior, model.eta, model.converged)
    return replace(anew, width=model.width, ahead=model.ahead)


def sample(readings: Readings) -> Bools:
    """Trees that carry readings, whole lots spread over the nursery, about ``ENOUGH`` of them."""
    count = np.bincount(readings.owner, minlength=readings.n)
    has = count > 0
    lot = Groups.of(readings.lot, readings.species).lot
    size = np.bincount(lot[has], minlength=int(lot.max()) + 1)
    load = np.bincount(lot, weights=np.minimum(count, THIN), minlength=size.size)
    # A fixed shuffle, so that equal readings give equal models.
    order = np.random.default_rng(0).permutation(size.size)
    taken = np.zeros(size.size, dtype=bool)
    few = np.cumsum(size[order]) - size[order] < ENOUGH
    few &= np.cumsum(load[order]) - load[order] < ENOUGH_READINGS
    taken[order[few]] = True
    return np.asarray(has & taken[lot])


def _thinned(readings: Readings) -> Readings:
    order = ragged(readings.owner, readings.exposure.sum(axis=1), readings.n)
    count = order.count[order.owner]
    stride = np.ceil(count / THIN).astype(np.intp)
    mine = np.sort(order.order[(count - 1 - order.rank) % stride == 0])
    return replace(
        readings,
        owner=readings.owner[mine],
        exposure=readings.exposure[mine],
        d=readings.d[mine],
        odd=readings.odd[mine],
    )


def _climb(readings: Readings, prior: Floats, steps: int, start: Floats) -> tuple[Floats, bool]:
    groups = Groups.of(readings.lot, readings.species)

    def downhill(scaled: Floats) -> float:
        return -log_posterior(ETA_MEAN + ETA_SD * scaled, readings, prior, groups)

    try:
        found = minimize(
            downhill,
            (start - ETA_MEAN) / ETA_SD,
            method="L-BFGS-B",
            bounds=[(-6.0, 6.0)] * ETA_MEAN.size,
            options={"maxiter": steps, "ftol": 1e-7, "gtol": 1e-2},
        )
    except np.linalg.LinAlgError:
        return ETA_MEAN.copy(), False
    if not found.success or not np.isfinite(found.fun):
        return ETA_MEAN.copy(), False
    return np.asarray(ETA_MEAN + ETA_SD * found.x), True


def _settle(readings: Readings, prior: Floats, eta: Floats, converged: bool) -> GrowthModel:
    """Theta of every species and lot, given eta."""
    groups = Groups.of(readings.lot, readings.species)
    lots, species = _up(readings, eta, prior, groups)
    top = np.broadcast_to(np.diag(np.square(SPECIES_SD)), species.a.shape)
    mean, _, cov = species.posterior(top)
    known = int(readings.lot.max(initial=-1)) + 1
    own, gain, lot_cov = lots.posterior(spreads(eta)[1])
    whose = groups.species
    lot_mean = own + np.einsum("lpq,lq->lp", gain, mean[whose])
    lot_cov = lot_cov + gain @ cov[whose] @ gain.swapaxes(1, 2)
    return GrowthModel(
        prior,
        eta,
        mean,
        cov,
        lot_mean[:known],
        lot_cov[:known],
        n=int(np.unique(readings.owner).size),
        m=int(readings.d.size),
        converged=converged,
    )
