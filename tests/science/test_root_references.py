"""Circular statistics beside astropy and pycircstat2, live, and Zar's grouped example by weights."""

import numpy as np
import pytest
from astropy import units
from astropy.stats import circmean, circvar, rayleightest
from pycircstat2.descriptive import circ_mean_and_r
from pycircstat2.hypothesis import rao_spacing_test, rayleigh_test

from nursery.science import roots
from nursery.science.rao import p_rao

TREES = [45, 55, 81, 96, 110, 117, 132, 154]
SEVEN = [10, 35, 80, 140, 200, 215, 330]
PIGEONS = [20, 135, 145, 165, 170, 200, 300, 325, 335, 350, 350, 350, 355]


def one(angles, weight=None):
    return roots.spread([0] * len(angles), angles, 1, weight)


def surveys():
    rng = np.random.default_rng(13)
    return [TREES, SEVEN, PIGEONS, *(rng.uniform(0, 360, int(rng.integers(3, 25))) for _ in range(25))]


def test_astropy_agrees():
    for angles in surveys():
        ours, theirs = one(angles), np.asarray(angles, dtype=float) * units.deg
        assert ours.mean[0] == pytest.approx(circmean(theirs).to_value(units.deg) % 360, abs=1e-9)
        assert ours.resultant[0] == pytest.approx(1 - float(circvar(theirs)), abs=1e-12)
        # The series leaves 0..1 for concentrated roots there; ours is held inside.
        assert ours.p_series[0] == pytest.approx(float(np.clip(rayleightest(theirs), 0, 1)), abs=1e-12)


def test_pycircstat2_agrees():
    for angles in surveys():
        ours, theirs = one(angles), np.deg2rad(np.asarray(angles, dtype=float))
        mean, r = circ_mean_and_r(theirs)
        assert ours.mean[0] == pytest.approx(np.rad2deg(mean) % 360, abs=1e-9)
        assert ours.resultant[0] == pytest.approx(r, abs=1e-12)
        zar = rayleigh_test(theirs)
        assert (ours.z[0], ours.p_zar[0]) == (pytest.approx(zar.z), pytest.approx(zar.pval, rel=1e-9))


def test_raos_spacing_test_agrees_with_a_simulation():
    # pycircstat2 simulates (.0058, .9034 and .0814, give or take .005); ours is exact.
    for angles, p in ((TREES, 0.0058), (SEVEN, 0.9034), (PIGEONS, 0.0814)):
        u = one(angles).rao
        found = rao_spacing_test(np.deg2rad(np.asarray(angles, dtype=float)))
        assert u[0] == pytest.approx(found.statistic, abs=1e-9)
        assert p_rao([len(angles)], u)[0] == pytest.approx(found.pval, abs=0.012)
        assert p_rao([len(angles)], u)[0] == pytest.approx(p, abs=0.005)


def test_weights_are_as_many_roots():
    # Zar 2010, example 26.5: 105 angles in classes of 30 degrees, mean 162, r .55064.
    middle = np.arange(45, 300, 30)
    count = np.array([6, 9, 13, 15, 22, 17, 12, 8, 3])
    by_weight, each = one(middle, count), one(np.repeat(middle, count))
    assert round(float(by_weight.mean[0])) == 162
    assert by_weight.resultant[0] == pytest.approx(0.55064, abs=5e-6)
    assert by_weight.mean[0] == pytest.approx(each.mean[0], abs=1e-9)
    assert by_weight.resultant[0] == pytest.approx(each.resultant[0], abs=1e-12)


def test_the_printed_example_of_zar():
    # Zar 2010, examples 26.4 and 27.1: mean 99, r .82522, z 5.448, .001 < p < .002.
    found = one(TREES)
    assert round(float(found.mean[0])) == 99
    assert found.resultant[0] == pytest.approx(0.82522, abs=5e-6)
    assert found.z[0] == pytest.approx(5.448, abs=5e-4)
    assert 0.001 < found.p_zar[0] < 0.002
