"""What waits for a person."""

import uuid
from datetime import UTC, datetime, timedelta

import pytest

from nursery.journal import take_in
from nursery.reports import aside
from tests.factories import BenchFactory, DeviceFactory, TreeFactory, record

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 6, 1, 12, tzinfo=UTC)


def test_each_record_set_aside_says_whether_a_value_mends_it_or_it_waits() -> None:
    t = TreeFactory(tag="K1")
    lost = uuid.uuid4()
    take_in(
        [
            record("caliper", {"mm": 4200}, tree=t.id),
            record("soil_check", {"state": "dry"}, tree=lost),
            record("moss_check", {"depth": 3}, tree=t.id),
        ],
        device=DeviceFactory(name="Green phone").id,
    )
    rows = {r.reason: r for r in aside.set_aside().rows}
    assert rows.keys() == {"bad_value", "unknown_tree", "unknown_kind"}
    bad, waits = rows["bad_value"], rows["unknown_tree"]
    assert (bad.field, bad.value, bad.mendable, bad.waits, bad.tag) == ("mm", "4200", True, "", "K1")
    assert (waits.mendable, waits.tree, waits.tag) == (False, None, "")
    assert waits.waits == "It applies by itself as soon as the record that makes its tree arrives."
    assert {r.who for r in rows.values()} == {"Green phone"}


def test_two_contents_under_one_id_are_shown_side_by_side() -> None:
    t = TreeFactory()
    first = record("caliper", {"mm": 12.5}, tree=t.id)
    take_in([first])
    take_in([{**first, "body": {"mm": 21.5}}], device=DeviceFactory(name="Old phone").id)
    (row,) = aside.contested().rows
    assert (row.kind_word, row.first, row.second, row.alike, row.who) == (
        "Caliper",
        "12.5 mm, just above the roots",
        "21.5 mm, just above the roots",
        True,
        "Old phone",
    )


def test_doubles_name_their_trees() -> None:
    bench = BenchFactory(name="South", rows=2, places=2)
    TreeFactory(tag="K1", bench=bench, row=1, place=1)
    TreeFactory(tag="K1", bench=bench, row=1, place=2)
    TreeFactory(tag="K2", bench=bench, row=1, place=2)
    TreeFactory(tag="K1", left_how="died")
    (tag,) = aside.tags_used_twice()
    (place,) = aside.places_used_twice()
    assert (tag.what, sorted(t.where for t in tag.trees)) == (
        "K1",
        ["South, row 1, place 1", "South, row 1, place 2"],
    )
    assert (place.what, [t.tag for t in place.trees]) == ("South, row 1, place 2", ["K1", "K2"])
    settle = aside.to_settle()
    assert (settle.set_aside, settle.contested, settle.tags, settle.places, settle.total) == (0, 0, 1, 1, 2)


def test_a_clock_that_runs_ahead_is_told_in_minutes() -> None:
    t = TreeFactory()
    fast = record("note", {"text": "early"}, tree=t.id, at=NOW + timedelta(minutes=47))
    right = record("note", {"text": "in time"}, tree=t.id, at=NOW + timedelta(minutes=4))
    take_in([fast, right], now=NOW)
    assert [(r.kind_word, r.minutes) for r in aside.ahead().rows] == [("Note", 47)]
