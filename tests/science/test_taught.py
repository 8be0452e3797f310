"""What a nursery's own looks teach: simulated nurseries of known figures, and few looks that teach little."""

import numpy as np
import pytest
from hmmlearn.hmm import CategoricalHMM

from nursery.science import look_shares, root_shares
from nursery.science.evidence import transition
from nursery.science.look_shares import Figures

ASSUMED = Figures(0.85, 0.85, 0.5, 0.4, 0.4)


def looks(rng: np.random.Generator, n: int, each: int, true: Figures) -> tuple[np.ndarray, ...]:
    """n trees, each looked at so often, a third of a year apart: owner, time [year], answer."""
    so = rng.random(n) < true.first
    came, went = (float(p) for p in transition(true.gain, true.loss, 1 / 3))
    answers = []
    for _ in range(each):
        answers.append(np.where(so, rng.random(n) < true.seen, rng.random(n) >= true.not_invented))
        so = np.where(so, rng.random(n) >= went, rng.random(n) < came)
    time = np.repeat(np.arange(each) / 3, n)
    return np.tile(np.arange(n), each), time, np.concatenate(answers)


def test_figures_are_found_again() -> None:
    true = Figures(0.95, 0.92, 0.7, 0.9, 0.08)
    owner, time, said = looks(np.random.default_rng(4), 1500, 8, true)
    found = look_shares.learn(owner, time, said, 1500, ASSUMED)
    assert found.seen == pytest.approx(0.95, abs=0.01)
    assert found.not_invented == pytest.approx(0.92, abs=0.02)
    assert found.first == pytest.approx(0.7, abs=0.04)
    assert found.gain == pytest.approx(0.9, abs=0.12)
    assert found.loss == pytest.approx(0.08, abs=0.03)


def test_they_are_those_of_a_reference_where_looks_are_evenly_apart() -> None:
    """hmmlearn's expectation maximisation on the same looks; its maximum has no prior, so many looks."""
    owner, time, said = looks(np.random.default_rng(5), 800, 8, Figures(0.9, 0.9, 0.6, 0.7, 0.3))
    found = look_shares.learn(owner, time, said, 800, ASSUMED)
    model = CategoricalHMM(2, n_iter=300, tol=1e-4, init_params="", random_state=1)
    model.startprob_, model.transmat_ = np.array([0.5, 0.5]), np.array([[0.8, 0.2], [0.2, 0.8]])
    model.emissionprob_ = np.array([[0.85, 0.15], [0.15, 0.85]])
    series = said.reshape(8, 800).T.astype(int)
    model.fit(series.reshape(-1, 1), [8] * 800)
    assert found.seen == pytest.approx(model.emissionprob_[1, 1], abs=0.015)
    assert found.not_invented == pytest.approx(model.emissionprob_[0, 0], abs=0.015)
    came, went = transition(found.gain, found.loss, 1 / 3)
    assert float(came) == pytest.approx(model.transmat_[0, 1], abs=0.02)
    assert float(went) == pytest.approx(model.transmat_[1, 0], abs=0.02)


def test_one_look_teaches_next_to_nothing_and_none_teaches_nothing() -> None:
    assert look_shares.learn([], [], [], 0, ASSUMED) is ASSUMED
    one = look_shares.learn([0], [0.0], [True], 1, ASSUMED)
    assert one.seen == pytest.approx(0.85, abs=0.02)
    assert one.loss == pytest.approx(0.4, abs=0.01)


def test_figures_of_the_species_are_left_alone() -> None:
    true = Figures(0.8, 0.95, 0.5, 0.4, 0.4)
    owner, time, said = looks(np.random.default_rng(6), 1200, 6, true)
    own = np.full(1200, 0.4)
    found = look_shares.learn(owner, time, said, 1200, ASSUMED, first=np.full(1200, 0.5), gain=own, loss=own)
    assert (found.first, found.gain, found.loss) == pytest.approx((0.5, 0.4, 0.4))
    assert found.seen == pytest.approx(0.8, abs=0.02)
    assert found.not_invented == pytest.approx(0.95, abs=0.02)


def test_a_share_is_freed_of_the_error_of_looking() -> None:
    """Rogan & Gladen's formula by hand: (0.3 - 0.1) / (0.8 + 0.9 - 1)."""
    assert root_shares.share(0.3, 50, 0.8, 0.9) == pytest.approx(2 / 7)
    assert root_shares.share(0.01, 50, 0.8, 0.9) == 0.02


def surveys(rng: np.random.Generator, n: int, k: float, roots: int = 6) -> root_shares.Surveys:
    angle = np.cumsum(rng.dirichlet(np.full(roots, k), n) * 360, axis=1) + rng.uniform(0, 360, (n, 1))
    angle = angle + rng.normal(0, 8, angle.shape)
    level = rng.random(angle.shape) < np.where(rng.random(angle.shape) < 0.9, 0.95, 0.05)
    defects = rng.random(n) < np.where(rng.random(n) < 0.2, 0.85, 0.04)
    return root_shares.Surveys.of(np.repeat(np.arange(n), roots), angle.ravel(), level.ravel(), defects)


@pytest.mark.parametrize("k", [1.5, 3.0, 6.0])
def test_how_evenly_roots_stand_is_found_again(k: float) -> None:
    found = root_shares.evenness(surveys(np.random.default_rng(7), 3000, k), 8.0, 2.0)
    assert found.value == pytest.approx(k, rel=0.15)
    assert found.looks == 3000


def test_shares_of_roots_and_trees_are_found_again() -> None:
    seen = surveys(np.random.default_rng(8), 3000, 3.0)
    level = root_shares.level_share(seen, 0.05, 0.85)
    clean = root_shares.clean_share(seen, 0.85, 0.96, 0.7)
    assert (level.value, level.looks) == (pytest.approx(0.9, abs=0.01), 18_000)
    assert (clean.value, clean.looks) == (pytest.approx(0.8, abs=0.02), 3000)


@pytest.mark.parametrize("rho", [0.0, 0.1, 0.4])
def test_how_alike_the_roots_of_one_tree_are_is_found_again(rho: float) -> None:
    """Each tree's share from a beta distribution of mean 0.9 and intraclass correlation rho."""
    rng = np.random.default_rng(9)
    own = rng.beta(0.9 * (1 / rho - 1), 0.1 * (1 / rho - 1), (4000, 1)) if rho else 0.9
    level = rng.random((4000, 6)) < own
    called = np.where(rng.random(level.shape) < 0.05, ~level, level)
    seen = root_shares.Surveys.of(
        np.repeat(np.arange(4000), 6), np.tile(np.arange(6) * 60.0, 4000), called.ravel(), np.zeros(4000)
    )
    share = root_shares.level_share(seen, 0.05, 0.9).value
    found = root_shares.level_alike(seen, 0.05, share, 0.1)
    assert (found.value, found.looks) == (pytest.approx(rho, abs=0.04), 4000)


def test_without_surveys_practice_stands() -> None:
    none = root_shares.Surveys.of([], [], [], [])
    assert root_shares.evenness(none, 10.0, 2.0) == (2.0, 0)
    assert root_shares.level_share(none, 0.05, 0.85) == (0.85, 0)
    assert root_shares.level_alike(none, 0.05, 0.85, 0.1) == (0.1, 0)
    assert root_shares.clean_share(none, 0.85, 0.96, 0.7) == (0.7, 0)
