"""Settings of practice as records: the latest wins, a wrong one is set aside, and all standings follow."""

from datetime import UTC, date, datetime, timedelta

import pytest

from nursery import practice
from nursery.journal import rebuild, take_in
from nursery.journal.rebuild import fingerprint
from nursery.models import JournalRecord, Practice, Stale, Standing
from nursery.rollup import roll_up_all, settle_stale
from nursery.science.practice import DEFAULT
from nursery.sentences import english, say
from tests.factories import TreeFactory, correction, record, take, withdrawal

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 5, 2, 12, tzinfo=UTC)
TODAY = date(2026, 6, 10)


def setting(name: str, value: float | None, hours: int = 0) -> dict:
    return record("practice_set", {"name": name, "value": value}, at=NOON + timedelta(hours=hours))


def test_the_latest_word_counts_whatever_came_first() -> None:
    first, second = setting("wire_risk", 0.002), setting("wire_risk", 0.02, 1)
    take(second)
    take(first, setting("gap_limit", 120))
    row = Practice.objects.get(name="wire_risk")
    assert (row.value, row.at, str(row.record)) == (0.02, NOON + timedelta(hours=1), second["id"])
    assert (practice.current().wire_risk, practice.current().gap_limit) == (0.02, 120.0)
    take(withdrawal(second, at=NOON + timedelta(hours=2)))
    assert practice.current().wire_risk == 0.002
    take(correction(first, {"name": "wire_risk", "value": 0.004}, at=NOON + timedelta(hours=3)))
    assert practice.current().wire_risk == 0.004
    take(setting("wire_risk", None, 4))
    assert practice.current().wire_risk == DEFAULT.wire_risk
    assert Practice.objects.get(name="wire_risk").value is None


@pytest.mark.parametrize(
    ("name", "value", "field", "message", "mend"),
    [
        (
            "wire_risk", 0.5, "body.value",
            "Risk of a wire sinking in: 50 is outside 0.05 to 10%", "Give a number from 0.05 to 10%.",
        ),
        (
            "sectors_needed", 3.5, "body.value",
            "Sides with a root: 3.5 is not a whole number", "Give a whole number from 2 to 6 of 6.",
        ),
        (
            "gap_limit", "wide", "body.value",
            "Largest gap between roots: wide is not a number", "Give a number from 45 to 200 degrees.",
        ),
        ("luck", 1, "body.name", "'luck' is not a known word", None),
    ],
)  # fmt: skip
def test_a_wrong_one_names_its_field_and_changes_nothing(name, value, field, message, mend) -> None:
    [result] = take_in([setting(name, value)])
    assert (result.outcome, result.reason, result.field, english(result.message)) == (
        "set_aside", "bad_value", field, message,
    )  # fmt: skip
    assert mend is None or english(result.mend) == mend
    assert practice.current() == DEFAULT


def surveyed() -> Standing:
    """A tree whose largest gap of 160 degrees is too wide by default."""
    tree = TreeFactory(phase="roots", at=datetime(2025, 3, 1, 9, tzinfo=UTC))
    roots = [{"deg": deg, "grade": 3, "level": True} for deg in (0, 160, 210, 260, 310)]
    take(record("root_survey", {"roots": roots}, tree=tree.id, at=datetime(2026, 3, 3, 9, tzinfo=UTC)))
    roll_up_all(TODAY)
    return Standing.objects.get(tree=tree)


def test_all_standings_follow_beside_the_request() -> None:
    before = surveyed()
    assert not Stale.objects.exists()
    take(setting("gap_limit", 180))
    assert [str(row.tree) for row in Stale.objects.all()] == [str(before.tree_id)]
    settle_stale(today=TODAY)
    after = Standing.objects.get(tree=before.tree_id)
    assert (before.readiness or 0) < 0.1 < 0.5 < (after.readiness or 0)
    assert "at most 180 wanted" in say(after.criteria[0]["why"])
    assert not Stale.objects.exists()
    take(setting("gap_limit", 180, 1))  # the same once more: nothing to make anew
    assert not Stale.objects.exists()


def test_a_rebuild_changes_nothing() -> None:
    surveyed()
    take(setting("gap_limit", 180), setting("ready", 0.6), setting("ready", None, 1))
    settle_stale(today=TODAY)
    before = fingerprint()
    rebuild(TODAY)
    assert fingerprint() == before
    assert {row.name: row.value for row in Practice.objects.all()} == {"gap_limit": 180.0, "ready": None}
    Practice.objects.update(value=100)
    assert fingerprint() != before


def test_what_is_kept_of_a_newer_version_waits_as_it_is() -> None:
    take_in([setting("moon_phase", 3)])
    assert JournalRecord.objects.get().fate == "set_aside"
    Practice.objects.create(name="moon_phase", value=3, at=NOON, record=JournalRecord.objects.get().id)
    assert practice.current() == DEFAULT
