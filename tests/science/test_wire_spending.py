"""The risk of a wire holds over its life: it is spent over all looks, and a simulated nursery keeps it."""

from dataclasses import replace

import numpy as np
import pytest

from nursery.science.censored import WeibullFit, normal_nodes
from nursery.science.season import growing_months
from nursery.science.wire_forecast import Forecast
from nursery.science.wire_looks import BITING, Judging, Looks
from nursery.science.wire_model import PRACTICE_SPENT, SPENT_AT, WireModel, design, from_practice
from nursery.science.wire_spending import Worn, kept_risk, spent

BITE_MONTHS = 7.0
BITE, SINK = np.array([0.1, -0.9, 0.1, -0.2, 0.1]), np.array([-0.55, -0.9, 0.1, -0.2, 0.1])
BITE_SHAPE, SINK_SHAPE = 4.0, 3.0
CAPS = (120, 240)
WINTER = 20028  # 2024-11-01


def known() -> WireModel:
    """A model that has learned the truth, from wires enough to be trusted."""
    bite, sink = (
        WeibullFit(np.append(beta, np.log(shape)), np.eye(6) * 1e-10, 0.0, True, 1)
        for beta, shape in ((BITE, BITE_SHAPE), (SINK, SINK_SHAPE))
    )
    judging = Judging(snug=0.4, marking=0.7, misjudged=0.03, spread=0.1)
    model = WireModel(bite, sink, normal_nodes(bite), normal_nodes(sink), judging=judging, rho=0.0)
    return replace(model, n=1000, bitten=1000, looks=3000)


def nursery(n: int, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Days of wiring in winter, and covariates."""
    caliper = rng.uniform(8, 26, n)
    wire = caliper / 3 * np.exp(0.15 * rng.standard_normal(n))
    x = design(np.exp(0.35 * rng.standard_normal(n)), caliper, wire, rng.integers(0, 2, n))
    return WINTER + rng.integers(0, 150, n), x


def sunk_share(model: WireModel, risk: float, n: int, seed: int) -> tuple[float, float]:
    """Share sunk in, and looks a wire, by weekly walks that look on the last one before the safe day."""
    rng = np.random.default_rng(seed)
    on, x = nursery(n, rng)
    bite = np.exp(x @ BITE) * rng.weibull(BITE_SHAPE, n)
    sinks = bite + np.exp(x @ SINK) * rng.weibull(SINK_SHAPE, n)
    share = np.array([[0.4], [0.7]]) * np.exp(0.1 * rng.standard_normal((2, n)))
    ends = np.stack([share[0] * bite, np.minimum(share[1], 1) * bite, bite, sinks])
    start, due, is_on = growing_months(on), np.zeros(n), np.ones(n, dtype=bool)
    looks, sunk, planned = Looks.of([], [], [], n), np.zeros(n, dtype=bool), np.zeros(n, dtype=bool)
    clock = growing_months(np.arange(WINTER, WINTER + 2000))
    for day in range(WINTER, WINTER + 1500, 7):
        rows = np.flatnonzero((on <= day) & is_on & ~planned)
        if rows.size:
            mine = looks.of_wires(rows)
            seen = np.zeros(rows.size)
            np.maximum.at(seen, mine.owner, mine.u)
            last = WINTER + np.searchsorted(clock, start[rows] + seen * BITE_MONTHS - 1e-9)
            cap = (growing_months(last + CAPS[1]) - start[rows]) / BITE_MONTHS
            forecast = Forecast(model, mine, x[rows], np.ones(rows.size, dtype=bool))
            safe = forecast.safe_until(seen, cap, np.full(rows.size, risk))
            due[rows] = WINTER + np.searchsorted(clock, start[rows] + safe * BITE_MONTHS, side="right") - 1
            planned[rows] = True
        rows = np.flatnonzero((on <= day) & is_on & (due < day + 7))
        u = (growing_months(np.full(rows.size, day)) - start[rows]) / BITE_MONTHS
        true = (u >= ends[:, rows]).sum(axis=0)
        step = np.where(true == 0, 1, np.where(true == 4, -1, rng.choice([-1, 1], rows.size)))
        state = np.where(rng.random(rows.size) < 0.03, true + step, true)
        looks = looks.and_more(rows, u, np.minimum(state, BITING))
        off = rows[state >= BITING]
        is_on[off], sunk[off], planned[rows] = False, true[state >= BITING] == 4, False
    return float(sunk.mean()), looks.owner.size / n


@pytest.fixture(scope="module")
def learned() -> WireModel:
    model, (on, x) = known(), nursery(400, np.random.default_rng(7))
    return replace(model, spent=spent(model, Worn.of(on, BITE_MONTHS, x, True), CAPS))


def test_of_wires_looked_at_when_asked_no_more_sink_in_than_the_risk_stated(learned: WireModel) -> None:
    n, risk = 3000, 0.01
    bound = risk + 2.33 * (risk * (1 - risk) / n) ** 0.5  # 99% of the binomial
    share, looks = sunk_share(learned, kept_risk(learned, risk), n, 11)
    assert share <= bound
    assert 2 < looks < 4.5
    # Left to each look instead of to the wire, the same risk is overrun: this test would see it.
    assert sunk_share(learned, risk, n, 11)[0] > bound


def test_the_risk_played_is_the_risk_met(learned: WireModel) -> None:
    share, _ = sunk_share(learned, float(SPENT_AT[2]), 3000, 12)
    assert share == pytest.approx(float(learned.spent[2]), rel=0.25)


def test_a_look_leaves_a_part_of_the_wires_risk_and_less_when_less_is_asked(learned: WireModel) -> None:
    left = [kept_risk(learned, risk) for risk in (0.002, 0.01, 0.05)]
    assert 0.0001 < left[0] < 0.001 < left[1] < 0.006 < left[2] < 0.05
    assert kept_risk(replace(learned, spent=np.zeros(3)), 0.01) == pytest.approx(0.01)


def test_trust_is_earned_and_lost(learned: WireModel) -> None:
    model = replace(learned, spent=SPENT_AT.copy())  # one look a wire: what it leaves is the wire's whole
    fresh = replace(model, bitten=0, sunk=0)
    assert kept_risk(fresh, 0.01) == pytest.approx(0.005)
    assert kept_risk(replace(model, bitten=500, sunk=5), 0.01) == pytest.approx(0.01)
    assert kept_risk(replace(model, bitten=500, sunk=11), 0.01) == pytest.approx(0.01 * 6 / 12)
    assert kept_risk(replace(model, bitten=250, sunk=0), 0.01) == pytest.approx(0.0075)


def test_practice_alone_is_played_as_told() -> None:
    at = np.arange(120)
    x = design(np.full(120, np.nan), 8.0 + 18 * at / 119, (8.0 + 18 * at / 119) / 3, at % 2)
    found = spent(from_practice(), Worn.of(WINTER + at * 150 // 119, BITE_MONTHS, x, False), CAPS)
    assert found == pytest.approx(PRACTICE_SPENT, rel=0.15)


def test_southern_wires_are_played_by_their_own_seasons(learned: WireModel) -> None:
    on, x = nursery(100, np.random.default_rng(3))
    north = spent(learned, Worn.of(on, BITE_MONTHS, x, True), CAPS)
    south = spent(learned, Worn.of(on + 181, BITE_MONTHS, x, True, south=True), CAPS)
    assert south == pytest.approx(north, rel=0.15)
