"""The cost of a push: the number of queries does not grow with the batch."""

import re
import uuid
from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from nursery import journal
from tests.factories import BenchFactory, SeedLotFactory, TreeFactory, correction, record, withdrawal

pytestmark = pytest.mark.django_db


def queries(records: list[dict[str, Any]]) -> int:
    with CaptureQueriesContext(connection) as seen:
        for result in journal.take_in(records, roll_up=False):
            assert result.outcome == "stored", result
    return len(seen)


def checks(n: int) -> list[dict[str, Any]]:
    trees = [TreeFactory().id for _ in range(3)]
    return [record("soil_check", {"state": "dry"}, tree=trees[i % 3]) for i in range(n)]


def mixed(n: int) -> list[dict[str, Any]]:
    """New trees with their places, looks, wires, and corrections of both kinds."""
    bench, lot = BenchFactory(), SeedLotFactory()
    made = []
    for i in range(n // 10):
        tree = uuid.uuid4()
        wire = record("wire_on", {"part": "trunk"}, tree=tree)
        caliper = record("caliper", {"mm": 12}, tree=tree)
        note = record("note", {"text": "low"}, tree=tree)
        made += [
            record("tree_new", {"tag": f"Q{i}", "species": "chinese-elm", "lot": lot.id}, tree=tree),
            record("tree_move", {"bench": bench.id, "row": 1, "place": i + 1}, tree=tree),
            wire,
            record("wire_look", {"state": "snug", "wiring": wire["id"]}, tree=tree),
            caliper,
            correction(caliper, {"mm": 13}),
            note,
            withdrawal(note),
            record("bud_check", {"state": "few"}, tree=tree),
            record("wire_off", {"scars": "none"}, tree=tree),
        ]
    return made


@pytest.mark.parametrize(("make", "most"), [(checks, 17), (mixed, 50)])
def test_the_same_number_for_twice_the_records(make: Any, most: int) -> None:
    few, many = make(100), make(200)
    first = queries(few)
    assert first == queries(many)
    assert first <= most


def walked() -> list[dict[str, Any]]:
    """A walk along a bench, one of its records put right and one taken back."""
    bench, run = BenchFactory(), uuid.uuid4()
    looks = [record("soil_check", {"state": "dry"}, tree=TreeFactory().id, run=run) for _ in range(3)]
    return [
        record("walk_started", {"bench": bench.id}, run=run),
        *looks,
        correction(looks[0], {"state": "wet"}),
        withdrawal(looks[1]),
        record("walk_ended", {}, run=run),
    ]


#: What grows for as long as a nursery lives: a thousand trees make some hundred thousand rows.
_TABLES = "journalrecord|feedrow|soilcheck|budcheck|wireinspection|wiring|caliper"
#: But for what holds only the few that wait or were set aside.
GROWS = re.compile(rf"SCAN nursery_({_TABLES})(?! USING (COVERING )?INDEX record_(pending|set_aside))")


@pytest.mark.sqlite_only(reason="reads the plans that SQLite makes")
@pytest.mark.parametrize("make", [lambda: checks(20), lambda: mixed(20), walked])
def test_nothing_of_a_push_and_its_standings_reads_a_whole_table_that_grows(make: Any) -> None:
    records = make()
    with CaptureQueriesContext(connection) as seen:
        journal.take_in(records, today=date(2026, 6, 1))
    scans = []
    with connection.cursor() as cursor:
        for sql in {one["sql"] for one in seen.captured_queries}:
            if sql.startswith(("SELECT", "UPDATE", "DELETE")):
                cursor.execute(f"EXPLAIN QUERY PLAN {sql}")
                scans += [(row[3], sql[:300]) for row in cursor.fetchall() if GROWS.search(row[3])]
    assert scans == []
