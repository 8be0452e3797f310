"""The wire model: what it learns from looks that err, and what it then foretells, against simulated wires."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nursery.science.censored import WeibullFit, normal_nodes
from nursery.science.wire_forecast import Forecast
from nursery.science.wire_looks import BITING, LOOSE, MARKING, SNUG, SUNK_IN, Judging, Looks
from nursery.science.wire_model import WireModel, design, from_practice, learn
from tests.benchmarks.wire_policy import run

USUAL = design([1.0], [20.0], [20.0 / 3], [0.5])
BITE_BETA, SINK_BETA = np.array([0.1, -0.9, 0.2, 0.0, 0.1]), np.array([-0.5, -0.9, 0.2, 0.0, 0.1])


def weibull(rng, beta, shape, x):
    return np.exp(x @ beta) * rng.weibull(shape, x.shape[0])


def nursery(n: int, seed: int, misjudged: float = 0.0, slack: tuple[float, ...] = (1.0,)):
    """Wires looked at every 0.12 until they are called biting or sunk in."""
    rng = np.random.default_rng(seed)
    caliper = rng.uniform(8, 40, n)
    x = design(np.exp(0.35 * rng.standard_normal(n)), caliper, caliper / 3, rng.integers(0, 2, n))
    bite = weibull(rng, BITE_BETA, 4.0, x) * rng.choice(slack, n)
    sink = weibull(rng, SINK_BETA, 3.0, x)
    owner, u, state, on = [], [], [], np.ones(n, dtype=bool)
    for step in range(1, 40):
        at = 0.12 * step
        rows = np.flatnonzero(on)
        true = sum((at >= share * bite[rows]).astype(int) for share in (0.4, 0.7, 1.0))
        true = true + (at >= bite[rows] + sink[rows])
        off = rng.choice([-1, 1], rows.size)
        off = np.where(true == 0, 1, np.where(true == 4, -1, off))
        seen = np.where(rng.random(rows.size) < misjudged, true + off, true)
        owner.append(rows)
        u.append(np.full(rows.size, at))
        state.append(seen)
        on[rows[seen >= BITING]] = False
    return Looks.of(np.concatenate(owner), np.concatenate(u), np.concatenate(state), n), x


def sure(judging: Judging, rho: float = 0.0) -> WireModel:
    """A model whose parameters are known."""
    bite, sink = (
        WeibullFit(np.append(beta, np.log(shape)), np.eye(6) * 1e-10, 0.0, True, 1)
        for beta, shape in ((BITE_BETA, 4.0), (SINK_BETA, 3.0))
    )
    return WireModel(bite, sink, normal_nodes(bite), normal_nodes(sink), judging=judging, rho=rho)


def foresee(model: WireModel, at: list[float], states: list[int]) -> Forecast:
    return Forecast(model, Looks.of([0] * len(at), at, states, 1), USUAL, [True])


def test_learns_what_makes_wire_bite():
    model = learn(*nursery(400, 3))
    assert (model.n, model.bitten, model.converged) == (400, 400, True)
    assert model.bite.theta[1:5] == pytest.approx(BITE_BETA[1:], abs=0.12)
    assert model.bite.shape == pytest.approx(4.0, rel=0.12)
    assert model.judging.marking == pytest.approx(0.7, abs=0.051)
    assert model.judging.misjudged <= 0.03


def test_a_tree_whose_wires_bite_early_is_expected_to_bite_early_again():
    looks, x = nursery(400, 6)
    first = np.full(400, np.inf)
    bitten = looks.state >= BITING
    np.minimum.at(first, looks.owner[bitten], looks.u[bitten])
    # Pairs of wires on 200 trees: by how early they bit for their covariates, or at random.
    early = np.argsort(np.log(first) - x @ BITE_BETA)
    alike, mixed = np.empty(400, dtype=int), np.arange(400) // 2
    alike[early] = np.arange(400) // 2
    model, other = learn(looks, x, alike), learn(looks, x, mixed)
    assert model.own[0] < -0.2
    assert model.own[199] > 0.1
    assert np.abs(other.own).max() < 0.2
    at = (Looks.of([], [], [], 1), USUAL, [True])
    assert Forecast(model, *at, model.own[0]).p_bitten([0.7]) > Forecast(model, *at).p_bitten([0.7])


def test_learns_how_often_looks_are_misjudged():
    model = learn(*nursery(300, 4, misjudged=0.2))
    assert 0.15 <= model.judging.misjudged <= 0.3
    assert model.bite.theta[1] == pytest.approx(-0.9, abs=0.2)


def test_two_kinds_of_slack_show_in_the_shares():
    one, two = (learn(*nursery(400, 5, slack=slack)) for slack in ((1.0,), (0.5, 1.5)))
    assert two.bite.shape < one.bite.shape
    assert foresee(two, [], []).p_bitten([0.5])[0] > 2 * foresee(one, [], []).p_bitten([0.5])[0]


@pytest.mark.parametrize(
    ("at", "states", "ask"),
    [
        ([], [], 1.2),
        ([0.6], [SNUG], 1.3),
        ([0.5, 0.8], [SNUG, MARKING], 1.3),
        ([0.5, 0.9], [SNUG, BITING], 1.1),
    ],
)
def test_p_sunk_is_the_share_of_simulated_wires(at, states, ask):
    rng = np.random.default_rng(1)
    x = np.repeat(USUAL, 1_500_000, axis=0)
    bite, sink = weibull(rng, BITE_BETA, 4.0, x), weibull(rng, SINK_BETA, 3.0, x)
    snug, marking = (share * np.exp(0.1 * rng.standard_normal((2, bite.size))) for share in (0.4, 0.7))
    kept = np.ones(bite.size, dtype=bool)
    for look, (when, state) in enumerate(zip(at, states, strict=True)):
        at_look = [snug[look] * bite, np.minimum(marking[look], 1) * bite, bite, bite + sink]
        kept &= sum((when >= bound).astype(int) for bound in at_look) == state
    want = ((bite + sink <= ask) & kept).sum() / kept.sum()
    model = sure(Judging(snug=0.4, marking=0.7, misjudged=1e-6, spread=0.1))
    assert foresee(model, at, states).p_sunk([ask])[0] == pytest.approx(want, abs=0.01, rel=0.06)


def test_the_safe_time_keeps_the_risk_and_uses_it():
    given_ = foresee(from_practice(), [0.4], [SNUG])
    safe = given_.safe_until([0.4], [3.0], [0.01])
    assert 0.4 < safe[0] < 1.0
    assert given_.p_sunk(safe)[0] <= 0.01
    assert given_.p_sunk(safe * 1.05)[0] > 0.01


def test_a_marking_wire_is_looked_at_before_a_snug_one_and_that_before_a_loose_one():
    marking, snug, loose = (
        foresee(from_practice(), [0.5], [state]).safe_until([0.5], [3.0], [0.01])[0]
        for state in (MARKING, SNUG, LOOSE)
    )
    assert marking < snug < loose


def test_looks_that_contradict_are_kept_flagged_and_count_for_less():
    looks = Looks.of([0, 0, 1, 1, 2], [0.5, 0.7, 0.5, 0.7, 0.6], [SUNK_IN, LOOSE, SNUG, LOOSE, BITING], 3)
    assert looks.contradict().tolist() == [True, False, False]
    believed = foresee(from_practice(), [0.5], [SUNK_IN]).p_bitten([0.7])[0]
    doubted = foresee(from_practice(), [0.5, 0.7], [SUNK_IN, LOOSE]).p_bitten([0.7])[0]
    unseen = foresee(from_practice(), [], []).p_bitten([0.7])[0]
    assert believed > 0.8
    assert unseen < doubted < believed
    fair, x = nursery(60, 8)
    odd = Looks.of(np.append(fair.owner, [0, 0]), np.append(fair.u, [0.1, 0.2]), [*fair.state, 4, 0], 60)
    assert learn(odd, x).bite.theta == pytest.approx(learn(fair, x).bite.theta, abs=0.05)


def test_the_first_day_answers_from_practice_alone():
    model = learn(Looks.of([], [], [], 0), np.zeros((0, 5)))
    assert (model.n, model.bitten, model.converged) == (0, 0, True)
    assert model.bite.theta.tolist() == from_practice().bite.theta.tolist() == [0.12, -0.8, 0, 0, 0, 1.1]
    assert foresee(model, [], []).p_bitten([1.0])[0] == pytest.approx(0.5, abs=0.05)


def test_a_fit_that_fails_falls_back_to_practice_and_says_so():
    looks, x = nursery(30, 9)
    model = learn(looks, np.full_like(x, np.nan))
    assert not model.converged
    assert model.bite.theta.tolist() == from_practice().bite.theta.tolist()


def test_the_unit_of_diameters_changes_nothing():
    in_mm = design([1.2], [14.0], [4.5], [1.0])
    in_cm = design([1.2], [1.4], [0.45], [1.0], reference=2.0)
    assert in_cm == pytest.approx(in_mm, abs=1e-12)
    assert design([np.nan], [np.nan], [3.0], [0.5]).tolist() == [[1.0, 0.0, 0.0, 0.0, 0.0]]


SEEN = st.lists(st.tuples(st.floats(0.1, 1.5), st.integers(0, 2)), min_size=1, max_size=4)


@settings(max_examples=30, deadline=None)
@given(SEEN, SEEN)
def test_another_wire_changes_nothing(first, second):
    looks = Looks.of(
        [0] * len(first) + [1] * len(second),
        [u for u, _ in first + second],
        [state for _, state in first + second],
        2,
    )
    both = Forecast(from_practice(), looks, np.repeat(USUAL, 2, axis=0), [True, False])
    alone = foresee(from_practice(), [u for u, _ in first], [state for _, state in first])
    assert both.p_sunk([1.6, 1.6])[0] == pytest.approx(alone.p_sunk([1.6])[0], abs=1e-12)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.2, 1.2), st.integers(2, 5))
def test_the_same_seen_again_never_lowers_certainty(u, times):
    once, again = (foresee(from_practice(), [u] * n, [LOOSE] * n).p_bitten([u])[0] for n in (1, times))
    assert again <= once + 1e-12


def test_the_policy_of_looking_tells_its_figures_and_saves_looks():
    found = run(1, "base", 80)
    policies = found["policies"]
    assert found["truth"] == "base"
    assert list(policies) == [
        *("every14", "every28", "seasonal"),
        *("ours_02pct_day1", "ours_02pct_learned", "ours_1pct_day1", "ours_1pct_learned"),
    ]
    assert policies["ours_1pct_learned"]["looks"] < policies["ours_02pct_learned"]["looks"]
    assert policies["ours_1pct_learned"]["looks"] < 0.7 * policies["seasonal"]["looks"]
    assert policies["ours_1pct_learned"]["sunk"] <= policies["seasonal"]["sunk"] + 0.01
    assert policies["ours_02pct_day1"]["sunk"] <= policies["seasonal"]["sunk"] + 0.01
