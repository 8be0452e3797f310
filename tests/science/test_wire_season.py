"""Growing time, and the last safe day to look at a wire, against simulation of the same two durations."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nursery.science import season, wire


def day(text: str) -> int:
    return int(np.datetime64(text, "D").astype(np.int64))


def test_a_year_has_the_sum_of_its_months_and_winter_counts_little():
    year = season.growing_months([day("2026-01-01"), day("2027-01-01")])
    assert year[1] - year[0] == pytest.approx(7.9)
    february = np.diff(season.growing_months([day("2026-02-01"), day("2026-03-01")]))[0]
    august = np.diff(season.growing_months([day("2026-08-01"), day("2026-09-01")]))[0]
    assert (february, august) == (pytest.approx(0.1), pytest.approx(1.2))


def test_the_south_has_its_seasons_half_a_year_later():
    south = np.diff(season.growing_months([day("2026-02-01"), day("2026-03-01")], south=True))[0]
    assert south == pytest.approx(1.2)
    assert season.growing([day("2026-05-10"), day("2026-11-10")]).tolist() == [True, False]
    assert season.growing([day("2026-05-10"), day("2026-11-10")], south=True).tolist() == [False, True]
    ends = [day("2026-10-31"), day("2026-11-01"), day("2027-02-28"), day("2027-03-01")]
    assert season.resting(ends).tolist() == [False, True, True, False]
    assert season.resting([day("2026-12-10"), day("2026-06-10")], south=True).tolist() == [False, True]


@given(st.integers(day("1990-01-01"), day("2090-12-31")), st.booleans())
def test_day_at_is_the_inverse(when, south):
    months = season.growing_months([when, when + 0.999], south=south)
    assert season.day_at(months, south=south).tolist() == [when, when]


def test_p_sunk_is_the_share_of_simulated_wires():
    rng = np.random.default_rng(5)
    size = 400_000
    bite = 6.0 * np.exp(wire.BITE_SPREAD * rng.standard_normal(size))
    sunk = bite + 6.0 * wire.SINK_SHARE * np.exp(wire.SINK_SPREAD * rng.standard_normal(size))
    cases = [(3.0, 0.0, np.inf, 0.0), (8.0, 0.0, np.inf, 0.0), (6.0, 4.0, np.inf, 4.0), (7.0, 4.0, 5.7, 4.0)]
    cases.append((8.0, 3.0, 6.0, 6.0))
    for at, low, high, seen in cases:
        kept = (bite > low) & (bite <= high) & (sunk > seen)
        p = wire.p_sunk([at], bite=[6.0], not_biting=[low], biting=[high], seen=[seen])[0]
        assert p == pytest.approx((sunk[kept] <= at).mean(), abs=0.006), (at, low, high, seen)


def test_the_risk_is_kept_in_simulation():
    # Wires put on 4 April and looked at first on the day that the rule gives: no more than 1% have sunk in.
    rng = np.random.default_rng(8)
    on = day("2026-04-04")
    out = wire.look_by([on], [on], [wire.UNSEEN], [4.0], risk=0.01)
    assert out.why[0] == wire.BY_RISK
    elapsed = np.diff(season.growing_months([on, out.day[0], out.day[0] + 1]))
    bite = 4.0 * np.exp(wire.BITE_SPREAD * rng.standard_normal(1_000_000))
    sunk = bite + 2.0 * np.exp(wire.SINK_SPREAD * rng.standard_normal(1_000_000))
    assert (sunk <= elapsed[0]).mean() <= 0.0102
    assert (sunk <= elapsed[0] + elapsed[1]).mean() > 0.0095


def test_days_follow_what_was_seen():
    on, look = day("2026-04-04"), day("2026-08-10")
    states = np.array([wire.UNSEEN, wire.SNUG, wire.MARKING, wire.BITING, wire.SUNK_IN])
    seen = np.where(states == wire.UNSEEN, on, look)
    out = wire.look_by(np.full(5, on), seen, states, np.full(5, 9.0))
    assert out.day[0] == on + 120
    assert out.why[0] == wire.BY_CAP
    assert look < out.day[1] <= look + 120
    assert look < out.day[2] <= look + 21
    assert out.day[3] == out.day[4] == look
    assert out.why[3:].tolist() == [wire.BY_SIGHT] * 2


def test_a_species_that_bites_sooner_is_looked_at_sooner_and_winter_gives_time():
    on = np.full(2, day("2026-04-04"))
    slow, fast = wire.look_by(on, on + 60, [1, 1], [5.0, 3.0]).day
    assert fast < slow
    autumn, spring = wire.look_by(
        [day("2026-03-01")] * 2, [day("2026-10-15"), day("2027-06-15")], [1, 1], [5.0, 5.0]
    ).day - [day("2026-10-15"), day("2027-06-15")]
    assert autumn > 2 * spring


@given(
    st.lists(
        st.tuples(st.integers(0, 900), st.integers(0, 900), st.integers(-1, 4), st.floats(0.5, 24)),
        min_size=1,
        max_size=8,
    )
)
def test_never_before_the_look_nor_after_the_cap_nor_swayed_by_other_wires(wires):
    on, after, state, bite = (np.array(column) for column in zip(*wires, strict=True))
    out = wire.look_by(20_000 + on, 20_000 + on + after, state, bite)
    assert (out.day >= 20_000 + on + after).all()
    assert (out.day <= 20_000 + on + after + 120).all()
    alone = wire.look_by(20_000 + on[:1], 20_000 + on[:1] + after[:1], state[:1], bite[:1])
    assert alone.day[0] == out.day[0]


def test_growth_years_run_through_one_mean_year():
    year = season.growth_years([day("2026-01-01"), day("2026-07-01"), day("2027-01-01")])
    assert np.diff(year) == pytest.approx([3.35 / 7.9, 4.55 / 7.9])
    week = np.diff(season.growth_years([day("2026-01-10"), day("2026-01-17")]))[0]
    assert week == pytest.approx(0.05 * 7 / 31 / 7.9)
    assert season.day_of_growth_years(year).tolist() == [
        day(text) for text in ("2026-01-01", "2026-07-01", "2027-01-01")
    ]


def test_weights_from_monthly_means():
    # Degree-days above 5 degC: 20 degC is 15 of them a day, 25 is 20, frost is none.
    means = [-3, 0, 4, 10, 15, 20, 25, 24, 20, 12, 6, 0]
    want = [0.01, 0.01, 0.01, 0.25, 0.5, 0.75, 1.0, 0.95, 0.75, 0.35, 0.05, 0.01]
    assert season.weights_of(means) == pytest.approx(want)
    assert season.weights_of([2] * 12).tolist() == [1.0] * 12
