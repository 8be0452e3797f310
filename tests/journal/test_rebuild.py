"""``manage.py rebuild``: from the journal alone, everything as it was."""

from datetime import date
from io import StringIO

import pytest
from django.core.management import call_command

from nursery import journal
from nursery.models import FeedRow, JournalRecord, SoilCheck, Tree
from tests.factories import BenchFactory, TreeFactory, record, take, withdrawal

pytestmark = pytest.mark.django_db
TODAY = date(2026, 6, 1)


def test_what_was_lost_or_bent_comes_back() -> None:
    tree = TreeFactory(tag="K1", bench=BenchFactory(), row=1, place=3)
    check = record("soil_check", {"state": "dry"}, tree=tree.id)
    take(check)
    journal.take_in([record("caliper", {"mm": 7000}, tree=tree.id)])
    journal.rebuild(today=TODAY)
    before = journal.fingerprint()
    SoilCheck.objects.all().delete()
    Tree.objects.update(tag="bent", row=9)
    JournalRecord.objects.filter(kind="caliper").update(fate="applied", reason="")
    FeedRow.objects.filter(topic="tree").update(data={"tag": "bent"})
    journal.rebuild(today=TODAY)
    assert journal.fingerprint() == before
    tree.refresh_from_db()
    assert (tree.tag, tree.row) == ("K1", 1)
    assert SoilCheck.objects.get().state == "dry"
    assert JournalRecord.objects.get(kind="caliper").reason == "bad_value"


def test_a_reason_that_an_older_version_kept_becomes_a_sentence() -> None:
    bad = record("caliper", {"mm": 7000}, tree=TreeFactory().id)
    journal.take_in([bad])
    JournalRecord.objects.filter(id=bad["id"]).update(
        message="7000 is outside 0.1 to 1000", mend="Give a number from 0.1 to 1000 mm."
    )
    [again] = journal.take_in([bad])
    assert again.message == "7000 is outside 0.1 to 1000"
    journal.rebuild(today=TODAY)
    [again] = journal.take_in([bad])
    assert again.message == ["{value} is outside {low} to {high}", {"value": 7000, "low": 0.1, "high": 1000}]


def test_the_feed_forgets_what_no_record_makes() -> None:
    gone = record(
        "lot_set", {"lot": "0197299e-6ae0-7a2b-8c3d-00000000000a", "code": "L", "species": "chinese-elm"}
    )
    take(gone)
    take(withdrawal(gone))
    FeedRow.objects.filter(topic="lot").update(data={"code": "L"})
    journal.rebuild(today=TODAY)
    assert FeedRow.objects.get(topic="lot").data is None


def test_the_command_says_what_it_made() -> None:
    tree = TreeFactory()
    journal.take_in([record("caliper", {"mm": 7000}, tree=tree.id)])
    said = StringIO()
    call_command("rebuild", "--check", stdout=said, skip_checks=True)
    assert said.getvalue() == "Made 1 trees anew from 2 records; 1 are set aside.\n"
