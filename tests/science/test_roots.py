"""Circular statistics against printed and computed values, and P(roots on all sides) against simulation."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from nursery.science import root_sides, roots

# Data and values: Zar 2010 ex. 26.2 and 27.1 (eight leaning trees: mean 99, r .82522, z 5.448), Batschelet's
# pigeons; computed alike by scipy, astropy, pycircstat2 and R circular.
# (angles, mean, R, z, p Zar, p series, Rao U, largest gap)
PUBLISHED = [
    ([45, 55, 81, 96, 110, 117, 132, 154], 98.9878, 0.825218, 5.44787, 0.001852, 0.001644, 206, 251),
    ([0, 60, 120, 180, 240, 300], np.nan, 0, 0, 1, 1, 0, 60),
    ([10, 35, 80, 140, 200, 215, 330], 71.6187, 0.144399, 0.145958, 0.872099, 0.872489, 80.714286, 115),
    (
        [20, 135, 145, 165, 170, 200, 300, 325, 335, 350, 350, 350, 355],
        344.3297,
        0.215637,
        0.604490,
        0.555151,
        0.555420,
        161.923077,
        115,
    ),
]


def _flat(surveys):
    owner = [at for at, angles in enumerate(surveys) for _ in angles]
    return owner, [angle for angles in surveys for angle in angles], len(surveys)


def test_published_values_in_one_call():
    out = roots.spread(*_flat([case[0] for case in PUBLISHED]))
    columns = np.array([case[1:] for case in PUBLISHED], dtype=float).T
    np.testing.assert_allclose(out.mean, columns[0], atol=6e-5)
    np.testing.assert_allclose(out.resultant, columns[1], atol=6e-7)
    np.testing.assert_allclose(out.z, columns[2], atol=6e-6)
    np.testing.assert_allclose(out.p_zar, columns[3], atol=6e-7)
    np.testing.assert_allclose(out.p_series, columns[4], atol=6e-7)
    np.testing.assert_allclose(out.rao, columns[5], atol=6e-7)
    np.testing.assert_allclose(out.gap, columns[6], atol=1e-9)


def test_scipy_agrees_on_random_surveys():
    rng = np.random.default_rng(3)
    surveys = [rng.uniform(0, 360, rng.integers(1, 20)) for _ in range(50)]
    out = roots.spread(*_flat(surveys))
    for at, angles in enumerate(surveys):
        assert out.mean[at] == pytest.approx(stats.circmean(angles, high=360), abs=1e-6)
        assert 1 - out.resultant[at] == pytest.approx(stats.circvar(angles, high=360), abs=1e-9)


def test_two_opposite_roots_fool_the_resultant_but_not_the_gate():
    out = roots.spread([0, 0], [90, 270], 1)
    assert (out.resultant[0], out.rao[0], out.gap[0], out.sectors[0]) == (0.0, 0.0, 180.0, 2)
    assert root_sides.p_all_sides([0, 0], [90, 270], 1)[0] < 0.003


def test_empty_and_single_surveys_have_no_direction_to_speak_of():
    out = roots.spread([1], [30], 2)
    assert out.count.tolist() == [0, 1]
    assert out.gap.tolist() == [360.0, 360.0]
    assert np.isnan(out.resultant[0])
    assert np.isnan(out.gap_middle[0])
    assert (root_sides.p_all_sides([1], [30], 2) < 0.003).all()


def test_the_gap_has_a_middle():
    out = roots.spread([0, 0, 0], [10, 150, 250], 1)
    assert (out.gap[0], out.gap_middle[0]) == (140.0, 80.0)
    assert roots.spread([0, 0], [290, 110], 1).gap[0] == 180.0
    assert roots.spread([0, 0], [300, 100], 1).gap_middle[0] == 200.0


def test_weights_turn_the_mean_but_not_the_tests():
    plain = roots.spread([0, 0], [0, 90], 1)
    heavy = roots.spread([0, 0], [0, 90], 1, weight=[3, 1])
    assert plain.mean[0] == pytest.approx(45)
    assert heavy.mean[0] == pytest.approx(np.rad2deg(np.arctan(1 / 3)))
    assert heavy.p_zar[0] == plain.p_zar[0]


@pytest.mark.parametrize(
    ("angles", "low", "high"),
    [
        ([0, 60, 120, 180, 240, 300], 0.95, 1.0),
        ([0, 90, 180, 270], 0.6, 1.0),
        # By rejection, as below: 1,480 of the 11,394 simulated trees whose survey looked so were met, 0.130.
        ([0, 140, 200, 250, 310], 0.115, 0.145),
        ([0, 40, 80, 120, 160], 0.0, 0.05),
        ([0, 110, 170, 240, 300], 0.45, 0.65),
    ],
)
def test_p_all_sides_at_known_surveys(angles, low, high):
    assert low <= root_sides.p_all_sides([0] * len(angles), angles, 1)[0] <= high


def test_p_all_sides_is_near_a_simulation_of_the_angle_error():
    rng = np.random.default_rng(11)
    for angles in ([0, 100, 180, 260], [0, 72, 144, 216, 288], [10, 105, 170, 250, 330], [0, 125, 190, 260]):
        true = np.array(angles) + rng.normal(0, root_sides.ANGLE_ERROR, (4000, len(angles)))
        out = roots.spread(np.repeat(np.arange(4000), len(angles)), true.ravel(), 4000)
        met = ((out.gap <= root_sides.GAP_LIMIT) & (out.sectors >= root_sides.SECTORS_NEEDED)).mean()
        plain = root_sides.p_all_sides([0] * len(angles), angles, 1, even=1, missed=0)[0]
        assert plain == pytest.approx(met, abs=0.035)


def test_a_root_overlooked_anywhere_by_hand():
    """Thrown at random, four for three noted are 0.4 * 4 to 1, and one helps in 140 of 360 degrees."""
    at_random = {"error": 1e-6, "limit": 150, "needed": 1, "even": 1, "missed": 0.4}
    p = root_sides.p_all_sides([0] * 3, [0, 100, 200], 1, **at_random)[0]
    assert p == pytest.approx(1.6 / 2.6 * 140 / 360, abs=0.015)


@pytest.mark.parametrize(
    ("judged", "even", "missed", "near", "low", "high"),
    [
        pytest.param([0.0, 100.0, 170.0, 250.0], 3.0, 0.1, 9, 0.36, 0.46, id="a-gap-at-the-limit"),
        # Four roots on two thirds of the round, where roots stand evenly: one in five was overlooked.
        pytest.param([0.0, 70.0, 140.0, 205.0], 6.0, 0.05, 12, 0.17, 0.25, id="a-wide-gap-among-even-roots"),
    ],
)
def test_p_all_sides_is_bayes_rule_for_roots_that_keep_apart_and_are_overlooked(
    judged, even, missed, near, low, high
):
    """Against rejection: true roots with Dirichlet gaps are judged; those kept look like the survey."""
    rng = np.random.default_rng(3)
    judged = np.array(judged)
    met = tried = 0
    for size, share in ((4, (1 - missed) ** 4), (5, 5 * missed * (1 - missed) ** 4)):
        n = int(3_000_000 * share)
        true = np.cumsum(rng.dirichlet(np.full(size, even), n) * 360, axis=1)
        # Which of them is overlooked is chance, and so is the one that the survey begins with.
        out = rng.integers(0, size, (n, 1))
        noted = (out + 1 + np.arange(4)) % size if size == 5 else np.broadcast_to(np.arange(4), (n, 4))
        noted = np.take_along_axis(noted, (rng.integers(0, 4, (n, 1)) + np.arange(4)) % 4, axis=1)
        seen = np.take_along_axis(true, noted, axis=1) + rng.normal(0, 10, (n, 4))
        off = seen[:, 1:] - seen[:, :1] - judged[1:]
        kept = (np.abs(np.mod(off + 180, 360) - 180) < near).all(axis=1)
        gaps = np.diff(true[kept], axis=1, append=true[kept][:, :1] + 360)
        met += int((gaps.max(axis=1) <= 110).sum())
        tried += int(kept.sum())
    p = root_sides.p_all_sides([0] * 4, judged, 1, needed=1, even=even, missed=missed)[0]
    assert tried > 4000
    assert low < met / tried < high
    assert p == pytest.approx(met / tried, abs=0.04)


def test_level_and_defects():
    # One of two called level, share 0.8, error 0.1: right 0.72/0.74, wrong 0.08/0.26; both needed, or one.
    both, one = (
        roots.p_level([0, 0], [True, False], 2, needed, error=0.1, share=0.8, alike=0.0)
        for needed in (1.0, 0.5)
    )
    assert both[0] == pytest.approx(0.72 / 0.74 * 0.08 / 0.26)
    assert one[0] == pytest.approx(1 - 0.02 / 0.74 * 0.18 / 0.26)
    assert both[1] == 0.5
    # Share 0.7, seen 0.85, not invented 0.96: 0.7 * 0.96 to 0.3 * 0.15, and 0.7 * 0.04 to 0.3 * 0.85.
    assert roots.p_no_defect([0, 1]).tolist() == pytest.approx([0.672 / 0.717, 0.028 / 0.283])
    assert roots.p_no_defect([2])[0] < roots.p_no_defect([1])[0]


def _level_by_scipy(count, called, needed, error, share, alike):
    """P(at least ``needed`` of ``count`` are level | ``called``), from scipy's distributions alone."""
    if alike:
        own = stats.betabinom(count, share * (1 / alike - 1), (1 - share) * (1 / alike - 1))
    else:
        own = stats.binom(count, share)
    joint = [
        own.pmf(t)
        * sum(
            stats.binom.pmf(right, t, 1 - error) * stats.binom.pmf(called - right, count - t, error)
            for right in range(called + 1)
        )
        for t in range(count + 1)
    ]
    return sum(joint[needed:]) / sum(joint)


@pytest.mark.parametrize(
    ("called", "count", "needed", "alike", "p"),
    [
        # Four of six called level where 94% are, 5 needed (70%): more likely than not, for of two called off
        # level 0.94 * 0.05 / (0.94 * 0.05 + 0.06 * 0.95) = 45% each are level all the same.
        pytest.param(4, 6, 5, 0.0, 0.6930, id="4-of-6"),
        pytest.param(4, 6, 5, 0.1, 0.5693, id="4-of-6-alike"),
        pytest.param(4, 7, 5, 0.0, 0.8299, id="4-of-7"),
        pytest.param(4, 7, 5, 0.1, 0.5429, id="4-of-7-alike"),
        pytest.param(5, 6, 5, 0.1, 0.9858, id="5-of-6-alike"),
        pytest.param(0, 5, 4, 0.3, 0.0002, id="none-alike"),
    ],
)
def test_level_roots_by_the_beta_binomial_of_scipy(called, count, needed, alike, p):
    level = [True] * called + [False] * (count - called)
    got = roots.p_level([0] * count, level, 1, 0.7, error=0.05, share=0.94, alike=alike)[0]
    assert got == pytest.approx(_level_by_scipy(count, called, needed, 0.05, 0.94, alike), abs=1e-12)
    assert got == pytest.approx(p, abs=5e-5)
    assert roots.level_needed(count, 0.7) == needed
    assert roots.level_after_all(0.05, 0.94) == pytest.approx(0.045 / 0.1, abs=0.002)


@given(
    st.lists(st.floats(0, 359.9), min_size=1, max_size=15),
    st.floats(-720, 720),
)
def test_turning_the_pot_changes_no_gap(angles, turn):
    one = roots.spread([0] * len(angles), angles, 1)
    two = roots.spread([0] * len(angles), np.array(angles) + turn, 1)
    assert two.gap[0] == pytest.approx(one.gap[0], abs=1e-6)
    assert two.rao[0] == pytest.approx(one.rao[0], abs=1e-6)
    assert two.resultant[0] == pytest.approx(one.resultant[0], abs=1e-9)
    assert 0 <= root_sides.p_all_sides([0] * len(angles), angles, 1)[0] <= 1
