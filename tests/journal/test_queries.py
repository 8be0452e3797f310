"""The cost of a push: the number of queries does not grow with the batch."""

import uuid
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
