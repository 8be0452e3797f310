"""Forecasts held to the nursery's own readings: growth ahead, and intervals that hold."""

from dataclasses import replace

import numpy as np
import pytest

from nursery.science import growth_model as gm
from nursery.science.growth_forecast import forecast
from nursery.science.growth_widths import Tries, ahead_of, kept_to_word
from nursery.science.odd_readings import learn_warily


def free(years):
    out = np.zeros((*np.shape(years), 3))
    out[..., 1] = years
    return out


def nursery(n: int = 120):
    """Trees read each year from the third to the ninth."""
    rng = np.random.default_rng(2)
    years = np.arange(3.0, 10.0)
    d = 4.0 * np.exp(0.2 * rng.standard_normal(n))[:, None] * years
    d *= np.exp(0.02 * rng.standard_normal(d.shape))
    owner = np.repeat(np.arange(n), years.size)
    lot, species = np.arange(n) % 6, np.zeros(n, dtype=int)
    return gm.Readings.of(owner, free(np.tile(years, n)), d.ravel(), lot=lot, species=species)


def tries(n: int, spread: float, slower: float) -> Tries:
    """Forecasts of a tenth more, of which ``slower`` did not come."""
    rng = np.random.default_rng(3)
    grown = np.full(n, 0.1)
    off = -slower * grown + spread * rng.standard_normal(n)
    return Tries(np.full(n, 3.0), off, np.full(n, spread), np.full(n, 1e-6), grown)


def test_growth_that_comes_out_less_than_forecast_is_forecast_less():
    # A fifth less, seen clearly; two years' luck of 10% each leave 0.0225 / (0.0225 + 0.005) of it.
    assert ahead_of(tries(4000, 0.03, 0.2)) == pytest.approx(1 - 0.2 * 0.8182, abs=0.01)
    assert ahead_of(tries(4000, 0.03, 0.0)) == pytest.approx(1.0, abs=0.01)
    # Few and vague tries tell little.
    assert ahead_of(tries(4, 0.1, 0.2)) > 0.9
    assert ahead_of(tries(4, 0.1, 0.2)._replace(grown=np.zeros(4))) == 1.0


def test_slips_of_the_decimal_point_do_not_steer_it():
    fair = tries(400, 0.03, 0.0)
    off = fair.off.copy()
    off[:4] = np.log(10.0)
    assert ahead_of(fair._replace(off=off)) == pytest.approx(ahead_of(fair), abs=0.02)


def test_the_nursery_forecasts_as_its_trees_grow():
    readings = nursery()
    model, _ = learn_warily(readings, [5.0])
    assert model.ahead == pytest.approx(1.0, abs=0.05)
    # What was read is told as before; what comes is told less by as much.
    asked = free(np.full((readings.n, 3), [8.0, 9.0, 12.0]))
    plain, slowed = (forecast(replace(model, ahead=share), readings, asked).mean for share in (1.0, 0.5))
    np.testing.assert_array_equal(plain[:, 0], slowed[:, 0])
    assert slowed[:, 2] - slowed[:, 1] == pytest.approx(0.5 * (plain[:, 2] - plain[:, 1]), rel=1e-9)


def test_a_tree_without_readings_is_told_as_its_lot_whatever_the_others_did():
    readings = nursery(12)
    more = replace(readings, lot=np.append(readings.lot, 0), species=np.append(readings.species, 0))
    model = gm.learn(more, [5.0])
    asked = free(np.full((more.n, 2), [9.0, 12.0]))
    plain, slowed = (forecast(replace(model, ahead=ahead), more, asked).mean for ahead in (1.0, 0.5))
    np.testing.assert_array_equal(plain[-1], slowed[-1])


def test_intervals_too_narrow_for_the_nursery_are_widened():
    readings = nursery()
    model = gm.learn(readings, [5.0])
    sure = replace(model, eta=model.eta - np.eye(model.eta.size)[5] * 2 - np.eye(model.eta.size)[0] * 2)
    assert kept_to_word(sure, readings).width[-1] > 1.3 * kept_to_word(model, readings).width[-1]
