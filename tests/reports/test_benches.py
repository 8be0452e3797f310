"""Benches as they stand, and the first page's sums."""

from datetime import date, timedelta

import pytest

from nursery.journal import take_in
from nursery.models import Bench
from nursery.reports import benches, today
from tests.factories import BenchFactory, record
from tests.shed import tree

pytestmark = pytest.mark.django_db
DAY = date(2026, 6, 10)
SOIL = [{"what": "soil", "why": ["dry on {day:on}", {"day": "2026-05-30"}]}]
UNFELT = [{"what": "soil", "why": "soil not looked at since 3 May"}]
BUDS = [{"what": "buds", "why": "not looked at since March"}]


def test_a_bench_shows_each_place_and_what_its_tree_asks_for() -> None:
    bench = BenchFactory(name="South", rows=2, places=3)
    tree("A1", bench=bench, row=1, place=1, due=SOIL + BUDS)
    tree("A2", bench=bench, row=1, place=1)
    tree("A3", bench=bench, row=2, place=3, wire_state="sunk_in", due=SOIL)
    tree("A4", bench=bench, row=2, place=1, gate="roots", readiness=0.8)
    tree("A5", bench=bench, row=1, place=2, wire_look_by=DAY)
    seen = benches.bench(bench.id, DAY)
    cells = [[[(s.tag, s.state, s.words) for s in cell] for cell in line.cells] for line in seen.lines]
    assert cells == [
        [[("A1", "due", "soil +1"), ("A2", "plain", "")], [("A5", "due", "wire")], []],
        [[("A4", "ready", "ready")], [], [("A3", "stop", "sunk in")]],
    ]
    assert [line.onward for line in seen.lines] == [True, False]
    assert (seen.trees, seen.due) == (5, 3)


def test_a_tree_beyond_the_edge_is_told_apart() -> None:
    bench = BenchFactory(rows=2, places=3)
    tree("A1", bench=bench, row=2, place=3)
    Bench.objects.filter(pk=bench.pk).update(places=2)
    seen = benches.bench(bench.id, DAY)
    assert [s.tag for s in seen.off_grid] == ["A1"]


def test_a_large_bench_is_shown_some_rows_at_a_time() -> None:
    bench = BenchFactory(rows=30, places=100)
    first, second = benches.bench(bench.id, DAY), benches.bench(bench.id, DAY, 25)
    assert (first.first, first.last, first.before, first.after) == (1, 20, 0, 21)
    assert (second.first, second.last, second.before, second.after) == (21, 30, 1, 0)


def test_free_places_come_in_walking_order() -> None:
    bench = BenchFactory(rows=2, places=3)
    tree("A1", bench=bench, row=1, place=2)
    tree("A2", bench=bench, row=2, place=3)
    assert benches.free_places(bench.id) == [(1, 1), (1, 3), (2, 2), (2, 1)]


def test_the_bench_list_counts_trees_by_what_they_ask_for() -> None:
    south = BenchFactory(name="South", walk_order=2, rows=2, places=5)
    BenchFactory(name="North", walk_order=1)
    tree("A1", bench=south, place=1, due=SOIL + BUDS, wire_look_by=DAY)
    tree("A2", bench=south, place=2, due=BUDS)
    tree("A3", bench=south, place=3, wire_look_by=DAY + timedelta(1), gate="roots", readiness=0.9)
    walk = record("walk_started", {"bench": south.id}, run="01900000-0000-7000-8000-000000000001")
    take_in([walk])
    found = [(b.name, b.trees, b.any_due, b.wires, b.dry, b.ready, b.free) for b in benches.benches(DAY)]
    assert found == [("North", 0, 0, 0, 0, 0, 60), ("South", 3, 2, 1, 1, 1, 7)]
    assert [b.walked is None for b in benches.benches(DAY)] == [True, False]


def test_the_first_page_sums_up_what_presses() -> None:
    bench = BenchFactory(name="South", rows=2, places=5)
    tree("A1", bench=bench, place=1, due=SOIL, wire_look_by=DAY)
    tree("A2", bench=bench, place=2, due=SOIL, gate="roots", readiness=0.9)
    tree("A3", bench=bench, place=3, wire_state="biting", wire_look_by=DAY - timedelta(3))
    tree("A4", bench=bench, place=4, due=UNFELT)
    facts = today.today(DAY)
    assert facts.unfelt == 1  # told, but not among what presses
    assert (facts.trees, facts.bench_count, facts.wires, facts.harm, facts.dry, facts.ready) == (
        4,
        1,
        2,
        1,
        2,
        1,
    )
    assert facts.headline == "1 wire doing harm, 2 wires to look at"
    assert [b.name for b in facts.walks] == ["South"]
    assert facts.stale  # standings of the first of June
    assert not facts.empty


def test_an_empty_nursery_is_the_first_day() -> None:
    facts = today.today(DAY)
    assert facts.empty
    assert facts.headline == "Nothing presses today"
