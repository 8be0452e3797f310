"""What a look is worth, and which looks fit into a walk."""

from itertools import product

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.stats import entropy as scipy_entropy

from nursery.science import buds
from nursery.science import looking as looking_at
from nursery.science.gates import GATES, PRIORS
from nursery.science.looking import CHECKS, Ground, Ladder, choose, gain, gate_gain, if_good, ladder
from nursery.science.practice import DEFAULT

unit = st.floats(0.0, 1.0)
inside = st.floats(0.01, 0.99)


def test_entropy_of_a_yes_or_no() -> None:
    # Cover & Thomas 2006, 2.1: H(1/2) = 1 bit; H(0.9) by hand: 0.9 * 0.152003 + 0.1 * 3.321928.
    assert looking_at.entropy([0.0, 0.5, 1.0]).tolist() == [0.0, 1.0, 0.0]
    assert float(looking_at.entropy(0.9)) == pytest.approx(0.468996, abs=1e-6)
    assert float(looking_at.entropy(0.3)) == pytest.approx(scipy_entropy([0.3, 0.7], base=2))


def test_what_a_look_tells_by_published_channels() -> None:
    # Cover & Thomas 2006: binary symmetric channel (7.1.4), 1 - H(0.1); Z-channel with half of the ones lost
    # (problem 7.8), log2(5) - 2 at P(1) = 2/5; a channel without noise (7.1.1), 1 bit.
    assert float(gain(0.5, 0.9, 0.9)) == pytest.approx(0.531004, abs=1e-6)
    assert float(gain(0.4, 0.5, 1.0)) == pytest.approx(np.log2(5) - 2)
    assert float(gain(0.5, 1.0, 1.0)) == 1.0


@given(p=unit, s=unit, c=unit)
@settings(max_examples=50)
def test_a_gain_lies_between_nothing_and_all_there_is_to_know(p: float, s: float, c: float) -> None:
    told = float(gain(p, s, c))
    assert 0.0 <= told <= float(looking_at.entropy(p))
    assert float(gain(0.0, s, c)) == float(gain(1.0, s, c)) == 0.0
    assert float(gain(p, s, 1 - s)) == pytest.approx(
        0.0, abs=1e-12
    )  # yes as often either way: it says nothing


@given(p=inside, s=inside, c=inside)
@settings(max_examples=50)
def test_a_gain_is_symmetric(p: float, s: float, c: float) -> None:
    told = pytest.approx(float(gain(p, s, c)), abs=1e-10)
    assert float(gain(1 - p, c, s)) == told  # the thing and its opposite
    assert float(gain(p, 1 - s, 1 - c)) == told  # yes and no exchanged
    yes = p * s + (1 - p) * (1 - c)  # I(C; Y) = I(Y; C)
    assert float(gain(yes, p * s / yes, (1 - p) * c / (1 - yes))) == told


@given(st.lists(st.tuples(unit, unit, unit), min_size=1, max_size=4))
@settings(max_examples=50)
def test_a_gate_gains_what_scipy_says_of_the_whole_table(rows: list[tuple[float, float, float]]) -> None:
    p, s, c = np.array(rows).T
    table: dict[tuple[bool, tuple[bool, ...]], float] = {}
    for met in product((True, False), repeat=p.size):
        for answer in product((True, False), repeat=p.size):
            yes = np.array(answer)
            told = np.where(met, np.where(yes, s, 1 - s), np.where(yes, 1 - c, c))
            key = (all(met), answer)
            table[key] = table.get(key, 0.0) + float((np.where(met, p, 1 - p) * told).prod())
    answers = {key[1] for key in table}
    by_answer = [table[True, a] + table[False, a] for a in answers]
    ready = float(p.prod())
    known = scipy_entropy([ready, 1 - ready], base=2) + scipy_entropy(by_answer, base=2)
    found = float(gate_gain([p], [s], [c])[0])
    assert found == pytest.approx(known - scipy_entropy(list(table.values()), base=2), abs=1e-9)
    assert 0.0 <= found <= float(looking_at.entropy(ready))


@given(p=unit, s=unit, c=unit)
@settings(max_examples=30)
def test_a_gate_of_one_criterion_is_that_criterion(p: float, s: float, c: float) -> None:
    assert float(gate_gain([[p]], s, c)[0]) == pytest.approx(float(gain(p, s, c)), abs=1e-12)


def test_a_look_is_worth_little_where_something_else_holds_the_gate() -> None:
    look = ([0.5, 0.5, 0.83, 0.5], [0.5, 0.5, 0.85, 0.5])
    open_gate, shut_gate = gate_gain([[0.95, 0.9, 0.5, 0.95], [0.95, 0.02, 0.5, 0.95]], *look)
    # By hand: P(yes) = 0.49; H(0.40613) - 0.49 H(0.68793) - 0.51 H(0.13538) = 0.97442 - 0.43882 - 0.29171.
    assert open_gate == pytest.approx(0.24389, abs=2e-5)
    assert shut_gate < 0.01
    assert if_good([[0.95, 0.9, 0.5, 0.95]], *look)[0] == pytest.approx(0.81225 * 0.83 / 0.98)


def test_checks_speak_of_criteria_that_there_are_and_err_as_the_filters_say() -> None:
    names = {name for gate in GATES.values() for name in gate}
    for check in CHECKS.values():
        assert set(check.tells) <= names & {*PRIORS, "low_buds"}
        assert check.seconds > 0
    assert CHECKS["firm"].tells["firm"] == (DEFAULT.firm_seen, DEFAULT.loose_seen)
    some = buds.IF_PRESENT[1:].sum(), buds.IF_ABSENT[0]
    assert CHECKS["buds"].tells["low_buds"] == pytest.approx(some)


def test_a_ladder_takes_the_best_look_for_its_time_first() -> None:
    gate = ("at_target", "taper", "wire_done", "low_buds")
    checks = [CHECKS[name] for name in ("buds", "caliper", "taper")]
    p = np.array([[0.5, 0.9, 0.9, 0.9], [0.9, 0.9, 0.9, 0.5], [1.0, 1.0, 1.0, 1.0]])
    found = ladder(p, gate, checks, np.array([[1, 1, 1], [1, 1, 0], [1, 1, 1]], dtype=bool))
    assert found.check.tolist()[:2] == [[1, 0, 2], [0, 1, -1]]
    assert found.seconds.tolist()[:2] == [[20.0, 5.0, 20.0], [5.0, 20.0, 0.0]]
    assert found.value[2].tolist() == [0.0, 0.0, 0.0]
    # The rungs add up to what all looks together tell.
    all_three = gate_gain(p[:1], [[0.93, 0.85, 0.5, 0.83]], [[0.93, 0.85, 0.5, 0.85]])
    assert found.value[0].sum() == pytest.approx(all_three[0])


def test_a_second_look_at_the_same_thing_adds_only_what_is_new() -> None:
    checks = [CHECKS["firm"], CHECKS["soil"]]
    found = ladder([[0.6, 0.97, 0.7]], GATES["roots"], checks, [[True, True]])
    assert found.check[0, 0] == 1  # three seconds tell whether it lives
    whole = gate_gain([[0.6, 0.97, 0.7]], [[0.995, 0.5, 0.92]], [[0.9, 0.5, 0.9]])
    assert found.value.sum() == pytest.approx(whole[0])


def _line(n: int, benches: int = 1) -> Ground:
    """Benches of one row of n places."""
    return Ground(
        np.repeat(np.arange(benches), n),
        np.ones(n * benches, dtype=np.intp),
        np.tile(np.arange(1, n + 1), benches),
    )


def _one(value: list[float], seconds: float = 5.0) -> Ladder:
    n = len(value)
    return Ladder(
        np.zeros((n, 1), dtype=np.intp),
        np.array(value)[:, None],
        np.where(np.array(value) > 0, seconds, 0)[:, None],
    )


def _spent(
    ground: Ground, must: np.ndarray, rungs: np.ndarray, looks: Ladder, must_seconds: np.ndarray
) -> float:
    """A walk's time reckoned from nothing."""
    total, last = 0.0, None
    for i in np.flatnonzero(must | (rungs > 0)):
        if last is None or ground.bench[last] != ground.bench[i]:
            total += looking_at.USUAL.bench
        else:
            total += looking_at.USUAL.place * abs(int(ground.place[i] - ground.place[last]))
            total += looking_at.USUAL.row * abs(int(ground.row[i] - ground.row[last]))
        total += looking_at.USUAL.stop + float(must_seconds[i]) * must[i] + looks.seconds[i, : rungs[i]].sum()
        last = i
    return total


def test_must_sees_come_first_and_the_way_counts() -> None:
    # 45 s to the bench; 3 s at each stop; 6 s a wire; place 1 to place 9 is 8 s.
    found = choose(_line(9), [8, 0], np.full(9, 6.0), _one([0.0] * 9), 100.0)
    assert found.must.nonzero()[0].tolist() == [0, 8]
    assert (found.seconds, found.needed) == (45 + 3 + 6 + 8 + 3 + 6, 71.0)


def test_with_too_few_minutes_the_most_pressing_must_sees_are_in_and_the_need_is_told() -> None:
    found = choose(_line(9), [8, 0, 7], np.full(9, 6.0), _one([0.9] * 9), 65.0)
    assert found.must.nonzero()[0].tolist() == [7, 8]  # 54 s, then 10 s for the one beside it
    assert (found.seconds, found.needed) == (64.0, 80.0)
    assert found.rungs.sum() == 0


def test_the_most_value_for_a_second_is_taken_as_long_as_it_fits() -> None:
    looks = _one([0.3, 0.0, 0.0, 0.29, 0.001, 0.0, 0.2])
    # 45 + 8 for the first, then place 4: 3 + 8 s for 0.29, then place 7: 3 + 8 s for 0.2.
    assert choose(_line(7), [], np.zeros(7), looks, 70.0).rungs.tolist() == [1, 0, 0, 1, 0, 0, 0]
    found = choose(_line(7), [], np.zeros(7), looks, 3600.0)
    assert found.rungs.tolist() == [1, 0, 0, 1, 0, 0, 1]  # 0.001 bit is not worth a stop, with all the time
    assert found.seconds == 45 + 3 * 8 + 6


def test_no_minutes_and_no_trees_make_no_walk() -> None:
    assert choose(_line(3), [0], np.full(3, 6.0), _one([0.5] * 3), 10.0).seconds == 0
    nothing = choose(_line(0), [], np.zeros(0), Ladder(*(np.zeros((0, 1)),) * 3), 600.0)
    assert (nothing.seconds, nothing.needed, nothing.rungs.size) == (0.0, 0.0, 0)


@given(
    values=st.lists(st.sampled_from([0.0, 0.02, 0.1, 0.3, 0.9]), min_size=8, max_size=24),
    must=st.sets(st.integers(0, 7), max_size=5),
    budget=st.floats(0.0, 600.0),
)
@settings(max_examples=50)
def test_a_walk_keeps_to_its_time_and_its_books(values: list[float], must: set[int], budget: float) -> None:
    assume(len(values) % 2 == 0)
    n = len(values)
    ground, looks, seconds = _line(n // 2, benches=2), _one(values), np.full(n, 6.0)
    found = choose(ground, sorted(must), seconds, looks, budget)
    assert found.seconds <= budget + 1e-6
    assert found.seconds == pytest.approx(_spent(ground, found.must, found.rungs, looks, seconds))
    everything = np.isin(np.arange(n), sorted(must))
    assert found.needed == pytest.approx(_spent(ground, everything, np.zeros(n, dtype=int), looks, seconds))
    if found.needed <= budget:
        assert found.must.tolist() == everything.tolist()
    # What is left out would not fit, is not worth a stop, or waits behind a must-see that did not fit.
    open_ = (
        ~(found.must | (found.rungs > 0)) & (np.array(values) >= looking_at.USUAL.least_gain) & ~everything
    )
    for i in np.flatnonzero(open_):
        rungs = found.rungs.copy()
        rungs[i] = 1
        assert _spent(ground, found.must, rungs, looks, seconds) > budget - 1e-6


def _best_of_all(ground: Ground, looks: Ladder, budget: float) -> float:
    """The most value in the time, by trying every set of trees."""
    none, free, best = np.zeros(looks.value.size, dtype=bool), np.zeros(looks.value.size), 0.0
    for chosen in product((0, 1), repeat=looks.value.size):
        rungs = np.array(chosen)
        if _spent(ground, none, rungs, looks, free) <= budget:
            best = max(best, float(looks.value[rungs > 0].sum()))
    return best


def test_a_walk_is_near_the_best_that_there_is() -> None:
    rng = np.random.default_rng(7)
    shares = []
    for _ in range(40):
        bench = np.sort(rng.integers(0, 3, 8))
        place = np.concatenate([np.sort(rng.choice(20, (bench == b).sum(), replace=False)) for b in range(3)])
        ground = Ground(bench, np.ones(8, dtype=np.intp), place + 1)
        looks = _one(rng.choice([0.05, 0.1, 0.2, 0.3, 0.5], 8).tolist())
        looks.seconds[:, 0] = rng.choice([5.0, 10.0, 20.0, 60.0], 8)
        budget = float(rng.uniform(60, 300))
        found = choose(ground, [], np.zeros(8), looks, budget)
        best = _best_of_all(ground, looks, budget)
        shares.append(float(looks.value[found.rungs > 0].sum()) / best if best else 1.0)
    assert min(shares) > 0.7
    assert np.mean(shares) > 0.97


def test_a_short_walk_goes_to_the_best_bench_and_not_only_to_the_best_tree() -> None:
    # One tree of 0.5 bits on the first bench, five of 0.3 side by side on the second; 85 s reach one bench:
    # 45 + 8 s for the one tree, or 45 + 4 * 8 + 3 s for four of the five.
    ground = Ground(
        np.array([0, 1, 1, 1, 1, 1]), np.ones(6, dtype=np.intp), np.array([1, *range(1, 6)], dtype=np.intp)
    )
    found = choose(ground, [], np.zeros(6), _one([0.5, *[0.3] * 5]), 85.0)
    assert found.rungs.tolist() == [0, 1, 1, 1, 1, 0]
    assert found.seconds == 45 + 4 * 8 + 3
