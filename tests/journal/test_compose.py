"""Records made at the shed: the same wire form, stamped in order."""

import uuid
from datetime import UTC, datetime, timedelta, timezone

import pytest

from nursery import journal
from nursery.errors import BadValue
from nursery.models import SoilCheck
from tests.factories import TreeFactory

TREE = uuid.UUID("0197299e-6ae0-7a2b-8c3d-000000000002")


def test_records_made_now_are_stamped_in_the_order_of_making() -> None:
    made = [journal.compose("note", {"text": "x"}, tree=TREE) for _ in range(500)]
    stamps = [one["hlc"] for one in made]
    assert stamps == sorted(set(stamps))
    assert {uuid.UUID(one["id"]).version for one in made} == {7}
    now = datetime.now(UTC).timestamp() * 1000
    assert abs(int(stamps[-1][:15]) - now) < 60_000


def test_a_record_of_another_time_carries_that_time() -> None:
    at = datetime(2019, 5, 4, 9, 30, tzinfo=timezone(timedelta(hours=2)))
    own = uuid.UUID("016a8186-0000-7000-8000-000000000001")
    assert journal.compose("note", {"text": "x"}, tree=TREE, at=at, id=own) == {
        "id": "016a8186-0000-7000-8000-000000000001",
        "device_seq": None,
        "kind": "note",
        "v": 1,
        "tree": "0197299e-6ae0-7a2b-8c3d-000000000002",
        "run": None,
        "observed_at": "2019-05-04T07:30:00.000Z",
        "utc_offset_min": 120,
        "hlc": "001556955000000-0000",
        "body": {"text": "x"},
    }
    again = journal.compose("note", {"text": "y"}, tree=TREE, at=at)
    assert again["hlc"] == "001556955000000-0001"


@pytest.mark.parametrize(
    ("kind", "body", "field"),
    [
        ("moon_phase", {}, "kind"),
        ("caliper", {"mm": -1}, "body.mm"),
        ("correction", {"withdraw": True}, "body.replaces"),
    ],
)
def test_what_the_journal_would_set_aside_is_refused_by_field(
    kind: str, body: dict[str, object], field: str
) -> None:
    with pytest.raises(BadValue) as refused:
        journal.compose(kind, body, tree=TREE)
    assert refused.value.field == field


def test_a_record_about_a_tree_names_it() -> None:
    with pytest.raises(BadValue) as refused:
        journal.compose("note", {"text": "x"})
    assert refused.value.field == "tree"


@pytest.mark.django_db
def test_the_journal_takes_what_it_composed() -> None:
    tree = TreeFactory()
    [result] = journal.take_in([journal.compose("soil_check", {"state": "moist"}, tree=tree.id)])
    assert result.outcome == "stored"
    assert SoilCheck.objects.get().state == "moist"
