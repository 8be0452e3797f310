"""Malformed records are refused by their field before anything is stored."""

import hashlib
from datetime import UTC, datetime
from typing import Any

import pytest

from nursery import journal
from nursery.errors import BadValue
from nursery.journal.wire import parse
from nursery.models import JournalRecord, Note
from tests.factories import TreeFactory, record

GOOD: dict[str, Any] = {
    "id": "0197299e-6ae0-7a2b-8c3d-000000000001",
    "device_seq": 12,
    "kind": "soil_check",
    "v": 1,
    "tree": "0197299e-6ae0-7a2b-8c3d-000000000002",
    "run": None,
    "observed_at": "2026-06-01T08:15:00.000Z",
    "utc_offset_min": 120,
    "hlc": "001780301700000-0001",
    "body": {"state": "dry", "bulk": False},
}


def test_the_hash_is_of_the_canonical_content_without_the_phones_own_number() -> None:
    canonical = (
        '{"body":{"bulk":false,"state":"dry"},"hlc":"001780301700000-0001",'
        '"id":"0197299e-6ae0-7a2b-8c3d-000000000001","kind":"soil_check",'
        '"observed_at":"2026-06-01T08:15:00.000Z","run":null,'
        '"tree":"0197299e-6ae0-7a2b-8c3d-000000000002","utc_offset_min":120,"v":1}'
    )
    wire = parse(GOOD)
    assert wire.content_hash == hashlib.sha256(canonical.encode()).hexdigest()
    assert wire.observed_at == datetime(2026, 6, 1, 8, 15, tzinfo=UTC)
    assert parse({**GOOD, "device_seq": 99}).content_hash == wire.content_hash
    assert parse({**GOOD, "body": {"state": "wet"}}).content_hash != wire.content_hash


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("id", None),
        ("id", "42"),
        ("kind", ""),
        ("kind", 3),
        ("tree", "T001"),
        ("run", 7),
        ("hlc", "1780301700000-0001"),
        ("hlc", "001780301700000-00g1"),
        ("hlc", "999999999999999-0000"),
        ("observed_at", "2026-06-01T08:15:00"),
        ("observed_at", "yesterday"),
        ("observed_at", "0001-01-01T00:00:00+14:00"),
        ("utc_offset_min", 99999),
        ("v", 0),
        ("v", "1"),
        ("device_seq", -1),
    ],
)
@pytest.mark.django_db
def test_a_malformed_record_stops_the_whole_push(field: str, value: object) -> None:
    push = [record("soil_check", {"state": "dry"}), {**GOOD, field: value}]
    with pytest.raises(BadValue) as refused:
        journal.take_in(push)
    assert refused.value.field == f"records[1].{field}"
    assert refused.value.mend
    assert JournalRecord.objects.count() == 0


@pytest.mark.parametrize("raw", [None, 3, "record", []])
def test_what_is_no_object_is_refused(raw: object) -> None:
    with pytest.raises(BadValue, match="not an object"):
        parse(raw)


def test_a_body_that_is_no_json_is_refused() -> None:
    with pytest.raises(BadValue, match="not plain JSON"):
        parse({**GOOD, "body": {"mm": float("nan")}})


@pytest.mark.django_db
def test_signs_that_no_database_takes_do_not_cost_the_record() -> None:
    """Half an emoji (text cut by a field's length) and NUL become the replacement character."""
    tree = TreeFactory()
    cut = record("note", {"text": "bud \ud83c and \x00 \U0001f331"}, tree=tree.id)
    [result] = journal.take_in([cut])
    assert result.outcome == "stored"
    assert Note.objects.get().text == "bud \ufffd and \ufffd \U0001f331"
    assert journal.take_in([cut])[0].outcome == "duplicate"
