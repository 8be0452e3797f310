"""The two-state filter against hmmlearn (printed values and live) and the closed form of the transition."""

import math

import numpy as np
import pytest
from hmmlearn.hmm import CategoricalHMM
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import expm

from nursery.science import buds
from nursery.science.evidence import drift, present_now, transition


def _rates(p01: float, p10: float) -> tuple[float, float]:
    """The rates whose transition over one unit of time is [[1-p01, p01], [p10, 1-p10]]."""
    total = -math.log(1 - p01 - p10)
    return total * p01 / (p01 + p10), total * p10 / (p01 + p10)


# (answers, P(present) at first, p01, p10, sensitivity, specificity, filtered, log-likelihood):
# hmmlearn 0.3.3 CategoricalHMM, score_samples.
PRINTED = [
    (
        [1, 1, 0, 0, 0],
        1.0,
        0.0,
        0.05,
        0.9,
        0.98,
        [1, 0.998832, 0.654512, 0.143657, 0.015871],
        -3.18037991,
    ),
    (
        [0, 1, 0, 0, 1, 1, 0],
        0.3,
        0.1,
        0.2,
        0.7,
        0.95,
        [0.119205, 0.758756, 0.350779, 0.142906, 0.777815, 0.962089, 0.518813],
        -6.27180843,
    ),
    ([0, 0, 0, 0], 0.5, 0.03, 0.1, 0.6, 0.99, [0.28777, 0.136, 0.065738, 0.03716], -0.72272346),
]


def _ragged_call(cases):
    owner, at, like1, like0 = [], [], [], []
    rates = [_rates(case[2], case[3]) for case in cases]
    for tree, (answers, _, _, _, sens, spec, *_) in enumerate(cases):
        for step, answer in enumerate(answers):
            owner.append(tree)
            at.append(float(step))
            like1.append(sens if answer else 1 - sens)
            like0.append(1 - spec if answer else spec)
    return present_now(
        owner,
        at,
        like1,
        like0,
        prior=[case[1] for case in cases],
        gain=[rate[0] for rate in rates],
        loss=[rate[1] for rate in rates],
        now=0.0 if not at else max(at),
    ), owner


def test_values_of_hmmlearn_in_one_ragged_call():
    filtered, owner = _ragged_call(PRINTED)
    for tree, case in enumerate(PRINTED):
        mine = filtered.after[np.array(owner) == tree]
        np.testing.assert_allclose(mine, case[6], atol=1e-6)
        assert filtered.log_likelihood[tree] == pytest.approx(case[7], abs=1e-6)


def test_hmmlearn_live_on_random_cases():
    rng = np.random.default_rng(7)
    cases, wanted, scores = [], [], []
    for _ in range(40):
        p01, p10 = rng.uniform(0.01, 0.45, 2)
        first, sens, spec = rng.uniform(0.02, 0.98), rng.uniform(0.5, 0.99), rng.uniform(0.5, 0.99)
        answers = rng.integers(0, 2, rng.integers(1, 25)).tolist()
        model = CategoricalHMM(n_components=2, n_features=2)
        model.startprob_ = np.array([1 - first, first])
        model.transmat_ = np.array([[1 - p01, p01], [p10, 1 - p10]])
        model.emissionprob_ = np.array([[spec, 1 - spec], [1 - sens, sens]])
        # The last smoothed value is the filtered one, so each prefix gives one filtered value.
        column = np.array(answers).reshape(-1, 1)
        wanted.append([model.predict_proba(column[: k + 1])[-1, 1] for k in range(len(answers))])
        scores.append(model.score(column))
        cases.append((answers, first, p01, p10, sens, spec))
    filtered, owner = _ragged_call(cases)
    for tree, values in enumerate(wanted):
        np.testing.assert_allclose(filtered.after[np.array(owner) == tree], values, atol=1e-6)
    np.testing.assert_allclose(filtered.log_likelihood, scores, atol=1e-6)


@pytest.mark.parametrize(
    ("gain", "loss", "days", "p01", "p10"),
    [(0.01, 0.02, 30, 0.19781011, 0.39562023), (0.003, 0.0, 90, 0.23662051, 0.0)],
)
def test_transition_is_the_matrix_exponential(gain, loss, days, p01, p10):
    # scipy.linalg.expm and the closed form a/(a+b)(1 - exp(-(a+b)t)).
    appeared, vanished = transition(gain, loss, days)
    assert appeared == pytest.approx(p01, abs=1e-8)
    assert vanished == pytest.approx(p10, abs=1e-8)
    whole = expm(np.array([[-gain, gain], [loss, -loss]]) * days)
    assert (appeared, vanished) == (pytest.approx(whole[0, 1]), pytest.approx(whole[1, 0]))


def test_three_misses():
    # Prior .5, sensitivity .7, specificity 1, three misses: .02629017 (Bayes' rule by hand).
    filtered = present_now([0] * 3, [0.0] * 3, [0.3] * 3, [1.0] * 3, prior=[0.5], gain=0, loss=0, now=0.0)
    assert filtered.now[0] == pytest.approx(0.02629017, abs=1e-8)


def test_an_old_look_drifts_to_the_base_rate():
    p = drift(0.99, 0.6, 0.2, [0.0, 1.0, 100.0])
    assert p[0] == pytest.approx(0.99)
    assert p[1] == pytest.approx(0.75 + 0.24 * math.exp(-0.8))
    assert p[2] == pytest.approx(0.75)


def test_a_tree_without_looks_keeps_its_prior_and_an_impossible_look_changes_nothing():
    filtered = present_now([1], [0.0], [0.0], [0.0], prior=[0.55, 0.4], gain=0.3, loss=0.3, now=5.0)
    assert filtered.now[0] == pytest.approx(0.55)
    assert filtered.after[0] == pytest.approx(0.4)
    assert filtered.log_likelihood[1] == -math.inf
    assert present_now([], [], [], [], prior=[], gain=0.1, loss=0.1, now=0.0).now.shape == (0,)


def test_two_many_looks_lift_the_prior():
    like1, like0 = buds.likelihoods([2, 2], [False, False])
    filtered = present_now([0, 0], [0.0, 0.2], like1, like0, prior=[0.55], gain=0.4, loss=0.4, now=0.25)
    assert filtered.now[0] > 0.8


def test_a_bulk_answer_weighs_less():
    one, none = buds.likelihoods([2, 2, 0, 0], [False, True, False, True])
    ratio = one / none
    assert ratio[0] > ratio[1] > 1 > ratio[3] > ratio[2]


looks = st.lists(
    st.tuples(st.integers(0, 4), st.integers(0, 3000), st.integers(0, 2), st.booleans()), max_size=30
)


def _filter(entries, trees=5, absent=False):
    """P(present) in nine years, or of its opposite: that the thing is absent."""
    answers = [entry[2] for entry in entries]
    likely = buds.likelihoods(answers, [entry[3] for entry in entries])
    at = [entry[1] / 365.25 for entry in entries]
    prior, rates = np.linspace(0.2, 0.8, 5)[:trees], (0.4, 0.3)
    if absent:
        likely, prior, rates = likely[::-1], 1 - prior, rates[::-1]
    gain, loss = rates
    return present_now([e[0] for e in entries], at, *likely, prior=prior, gain=gain, loss=loss, now=9.0).now


@given(looks)
def test_p_is_a_probability(entries):
    p = _filter(entries)
    assert ((p >= 0) & (p <= 1)).all()
    np.testing.assert_allclose(p + _filter(entries, absent=True), 1.0, atol=1e-12)


@given(looks, st.randoms())
def test_the_order_in_which_looks_arrive_is_nothing(entries, random):
    shuffled = list(entries)
    random.shuffle(shuffled)
    np.testing.assert_allclose(_filter(shuffled), _filter(entries), atol=1e-12)


@given(looks)
def test_another_tree_changes_no_other(entries):
    without = [entry for entry in entries if entry[0] != 4]
    np.testing.assert_array_equal(_filter(entries)[:4], _filter(without, trees=4))
