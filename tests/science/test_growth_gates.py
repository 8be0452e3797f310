"""Thickness by filter against regression, taper, branches, and readiness."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nursery.science import branches, gates, growth


def test_one_measurement_borrows_the_rate_of_the_species():
    out = growth.thickness_now([0], [2.0], [20.0], [0.5], rate=[4.0, 4.0], rate_sd=[2.0, 2.0], now=2.5)
    assert out.mean[0] == pytest.approx(22.0)
    # Variance by hand: 0.5^2 + (0.5 * 2)^2 + (0.35 * 4)^2 * 0.5.
    assert out.sd[0] == pytest.approx(np.sqrt(0.25 + 1.0 + 0.98))
    assert out.rate[0] == 4.0
    assert np.isnan(out.mean[1])
    assert np.isnan(out.rate[1])


def test_without_a_prior_and_a_walk_the_filter_is_the_regression_line():
    # numpy.polyfit: with a nearly flat prior of the rate and almost no walk both are least squares.
    at, d = np.array([0.0, 1.0, 2.5, 4.0]), np.array([10.0, 14.5, 19.0, 27.0])
    slope, base = np.polyfit(at, d, 1)
    out = growth.thickness_now([0] * 4, at, d, np.full(4, 0.5), rate=[1e-6], rate_sd=[1e4], now=5.0)
    assert out.rate[0] == pytest.approx(slope, rel=1e-4)
    assert out.mean[0] == pytest.approx(base + 5.0 * slope, rel=1e-4)


def test_a_trees_own_rate_shows_after_some_measurements():
    at = np.arange(6.0)
    out = growth.thickness_now([0] * 6, at, 10 + 2 * at, np.full(6, 0.5), rate=[5.0], rate_sd=[2.0], now=5.0)
    assert 1.5 < out.rate[0] < 3.0


def test_p_reached_at_the_target_is_a_half():
    p = growth.p_reached([30.0, 30.0, 30.0], [2.0, 2.0, 2.0], [30.0, 26.08, np.nan])
    assert p[0] == 0.5
    assert p[1] == pytest.approx(0.975, abs=1e-4)
    assert np.isnan(p[2])


def test_the_80_percent_interval_holds_four_trees_in_five():
    # Simulated from the model itself: four yearly measurements, asked two years after the last.
    rng = np.random.default_rng(2)
    n = 4000
    rate = rng.normal(6.0, 1.5, n)
    steps = rate[:, None] * [1, 1, 1, 2] + 0.35 * 6.0 * np.sqrt([1, 1, 1, 2]) * rng.standard_normal((n, 4))
    true = 12.0 + np.concatenate([np.zeros((n, 1)), np.cumsum(steps, axis=1)], axis=1)
    seen = true[:, :4] + 0.6 * rng.standard_normal((n, 4))
    out = growth.thickness_now(
        np.repeat(np.arange(n), 4),
        np.tile(np.arange(4.0), n),
        seen.ravel(),
        np.full(4 * n, 0.6),
        rate=np.full(n, 6.0),
        rate_sd=np.full(n, 1.5),
        now=5.0,
    )
    held = np.abs(true[:, 4] - out.mean) < 1.2815516 * out.sd
    assert 0.77 < held.mean() < 0.83


def test_taper():
    # 50 mm at the base and 20 mm at 400 mm: 0.075 a mm, under the 1/12 that is needed.
    p = growth.p_taper([50.0, 50.0], [20.0, 10.0], [400.0, 400.0], [1.0, 1.0], [1.0, 1.0])
    assert p[0] < 0.02
    assert p[1] > 0.98


measured = st.lists(
    st.tuples(st.integers(0, 3), st.floats(0, 10), st.floats(1, 120)), min_size=1, max_size=20
)


def _now(entries, scale=1.0, trees=4):
    owner, at, d = (np.array(column) for column in zip(*entries, strict=True))
    d = d * scale
    out = growth.thickness_now(
        owner,
        at,
        d,
        0.05 * d,
        rate=np.full(trees, 4.0 * scale),
        rate_sd=np.full(trees, 2.0 * scale),
        now=11.0,
    )
    return growth.p_reached(out.mean, out.sd, np.full(trees, 30.0 * scale))


@settings(deadline=None)  # a busy machine is no fault
@given(measured, st.floats(0.01, 100))
def test_units_do_not_matter(entries, scale):
    np.testing.assert_allclose(_now(entries, scale), _now(entries), atol=1e-9)


@settings(deadline=None)  # a busy machine is no fault
@given(measured, st.randoms())
def test_order_of_arrival_does_not_matter(entries, random):
    whole = [(owner, round(at), d) for owner, at, d in entries]
    shuffled = list(whole)
    random.shuffle(shuffled)
    np.testing.assert_allclose(_now(shuffled), _now(whole), atol=1e-9)


@settings(deadline=None)  # a busy machine is no fault
@given(measured)
def test_another_tree_changes_no_other(entries):
    p = _now(entries)
    assert ((p >= 0) & (p <= 1) | np.isnan(p)).all()
    without = [entry for entry in entries if entry[0] != 3]
    if without:
        np.testing.assert_array_equal(p[:3], _now(without, trees=3))


def test_branches():
    p = branches.p_set([3, 5, 8], [2, 10, 24])
    assert p[0] < 0.02 < 0.4 < p[1] < 0.6 < 0.95 < p[2]
    assert branches.internode_limit([300.0, np.nan]).tolist() == [12.0, 12.0]
    assert branches.p_short([5.0, 12.0, 20.0], [12.0, 12.0, 12.0]).tolist() == pytest.approx(
        [1.0, 0.5, 0.02275], abs=1e-5
    )
    assert (np.diff(branches.p_order([1, 2, 3, 4])) > 0).all()


def test_readiness_is_the_product_and_the_smallest_holds():
    out = gates.readiness([[0.9, 0.5, 0.8], [1.0, 1.0, 1.0], [0.3, 0.3, 0.9]])
    assert out.p.tolist() == pytest.approx([0.36, 1.0, 0.081])
    assert out.held_by.tolist() == [1, 0, 0]
    assert gates.readiness(np.zeros((0, 3))).p.shape == (0,)


@pytest.mark.parametrize("bad", [1.2, -0.1, np.nan])
def test_what_is_no_probability_is_refused(bad):
    with pytest.raises(ValueError, match="must lie in"):
        gates.readiness([[0.5, bad]])


def test_not_looked_at_is_neither_a_pass_nor_a_zero():
    assert all(0.1 < p < 0.9 for p in gates.PRIORS.values())
    assert set(gates.PRIORS) | {"low_buds"} == {name for names in gates.GATES.values() for name in names}
