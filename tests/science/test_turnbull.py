"""The interval-censored Weibull fit beside a curve of no shape at all: the non-parametric maximum likelihood.

That is by Turnbull's self-consistency (Turnbull 1976, J. R. Stat. Soc. B 38:290-295), for intervals
(low, high]. lifelines' own takes them as closed, joins those that touch, and does not give the published
masses.
"""

import numpy as np
import pytest
from scipy.stats import kstwobign

from nursery.science.censored import fit_intervals
from tests.science.test_censored import cosmesis


def turnbull(
    low: np.ndarray, high: np.ndarray, rounds: int = 3000
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Cells (left, right] between all ends, and the mass in each."""
    ends = np.unique(np.concatenate([low, high]))
    left, right = ends[:-1], ends[1:]
    inside = (left >= low[:, None]) & (right <= high[:, None])
    mass = np.full(left.size, 1 / left.size)
    for _ in range(rounds):
        each = inside * mass
        mass = (each / each.sum(axis=1, keepdims=True)).mean(axis=0)
    return left, right, mass


# Breast cosmesis (KMsurv bcdeter): Fay & Shaw 2010, J. Stat. Softw.; survfit of R gives the same.
PUBLISHED = {
    1: [
        *((4, 5, 0.0463), (6, 7, 0.0334), (7, 8, 0.0887), (11, 12, 0.0708)),
        *((24, 25, 0.0926), (33, 34, 0.0818), (38, 40, 0.1209), (46, 48, 0.4656)),
    ],
    2: [
        *((4, 5, 0.0433), (5, 8, 0.0433), (11, 12, 0.0692), (16, 17, 0.1454), (18, 19, 0.1411)),
        *((19, 20, 0.1157), (24, 25, 0.0999), (30, 31, 0.0709), (35, 36, 0.1608), (44, 48, 0.0552)),
        (48, 60, 0.0552),
    ],
}


@pytest.mark.parametrize("group", [1, 2])
def test_the_published_masses_of_breast_cosmesis(group):
    left, right, mass = turnbull(*cosmesis(group))
    some = mass > 1e-4
    found = np.column_stack([left, right, mass])[some]
    np.testing.assert_allclose(found, PUBLISHED[group], atol=5e-5)


@pytest.mark.parametrize("group", [1, 2])
def test_our_curve_is_as_near_to_it_as_chance_allows(group):
    """Kolmogorov's bound at 5%, by scipy, where the published curve is fixed."""
    fit = fit_intervals(*cosmesis(group))
    bound = kstwobign.isf(0.05) / np.sqrt(fit.n)
    at = np.array([left for left, *_ in PUBLISHED[group] if left < 46], dtype=float)
    stays = np.array([1 - sum(m for _, right, m in PUBLISHED[group] if right <= t) for t in at])
    ours = np.exp(-((at / fit.scale()[0]) ** fit.shape))
    assert np.abs(ours - stays).max() < bound
    # The bound can fail: a curve of constant risk with the same median passes it for radiotherapy alone.
    constant = np.abs(0.5 ** (at / fit.median()[0]) - stays).max()
    assert (constant < bound) == (group == 1)


def test_wires_that_truly_are_weibull_lie_on_it():
    """Shape 3, scale 1.1; looks every 0.1 growth-years by somebody who leaves out half of them."""
    rng = np.random.default_rng(12)
    bite, looks = 1.1 * rng.weibull(3.0, 2000), np.arange(1, 19) / 10
    made = rng.random((2000, looks.size)) < 0.5
    low = np.where(made & (looks < bite[:, None]), looks, 0.0).max(axis=1)
    high = np.where(made & (looks >= bite[:, None]), looks, np.inf).min(axis=1)
    _, right, mass = turnbull(low, high, 400)
    fit = fit_intervals(low, high)
    stays = 1 - np.cumsum(mass)[np.isfinite(right)]
    ours = np.exp(-((right[np.isfinite(right)] / fit.scale()[0]) ** fit.shape))
    assert np.abs(ours - stays).max() < 0.03
    assert fit.median()[0] == pytest.approx(1.1 * np.log(2) ** (1 / 3), rel=0.02)
