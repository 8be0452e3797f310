"""What the nursery's own wires teach, and how standings rest on it."""

import json
from datetime import UTC, date, datetime, timedelta
from io import StringIO

import pytest
from django.core.management import call_command

from nursery import journal
from nursery.models import Standing, WireFit
from nursery.rollup import roll_up, roll_up_all
from nursery.rollup.wire_fit import current, refit
from nursery.sentences import say
from tests.factories import TreeFactory, record, take

pytestmark = pytest.mark.django_db
TODAY = date(2026, 6, 10)
PUT_ON = datetime(2024, 4, 4, 9, tzinfo=UTC)


def said(why) -> str:
    return say(why, today=TODAY)


def taught(trees: int = 12, species: str = "chinese-elm", scars: str = "none") -> None:
    """Trees whose trunk wire was snug on 10 June 2024, biting 7 July at the earliest, and then came off."""
    records = []
    for n in range(trees):
        tree = TreeFactory(phase="trunk", species=species, at=datetime(2024, 3, 1, tzinfo=UTC))
        bites = datetime(2024, 7, 7, 9, tzinfo=UTC) + timedelta(days=3 * n)
        records += [
            record("wire_on", {"part": "trunk", "wire_mm": 3}, tree=tree.id, at=PUT_ON),
            record("wire_look", {"state": "snug"}, tree=tree.id, at=datetime(2024, 6, 10, 9, tzinfo=UTC)),
            record("wire_look", {"state": "biting"}, tree=tree.id, at=bites),
            record("wire_off", {"scars": scars}, tree=tree.id, at=bites + timedelta(hours=1)),
        ]
    take(*records)


def wired(**looks: str):
    """A new tree with trunk wire since 4 April, and looks at it by day (``m05_01``)."""
    tree = TreeFactory(phase="trunk", species="chinese-elm", at=datetime(2025, 3, 1, tzinfo=UTC))
    take(record("wire_on", {"part": "trunk"}, tree=tree.id, at=datetime(2026, 4, 4, 9, tzinfo=UTC)))
    for day, state in looks.items():
        at = datetime.fromisoformat(f"2026-{day[1:].replace('_', '-')}T09:00:00+00:00")
        take(record("wire_look", {"state": state}, tree=tree.id, at=at))
    return tree


def standing(tree) -> Standing:
    roll_up([tree.id], today=TODAY, head=None)
    return Standing.objects.get(tree=tree)


def test_without_looks_at_wires_there_is_nothing_to_learn():
    wired()
    assert refit(TODAY) is None
    assert not WireFit.objects.exists()


def test_a_wire_is_reckoned_from_wires_like_it_and_says_so():
    tree = wired(m05_01="snug")
    before = standing(tree)
    assert "by practice such wire bites after 0.2 to 1.0 growth-years" in said(before.wire_why)
    taught()
    fit = refit(TODAY)
    assert (fit.made_on, fit.n, fit.bitten, fit.sunk, fit.converged) == (TODAY, 13, 12, 0, True)
    after = standing(tree)
    # Middles between 10 June (2.0 growing months on) and 7 July to 9 August (2.9 to 4.2) are 0.31 to 0.39.
    assert said(after.wire_why) == (
        "trunk wire on since 4 April, snug on 1 May; "
        "timed so that at most 1% of wires ever sink in; "
        "12 wires like this bit between 0.3 and 0.4 growth-years"
    )
    assert after.wire_look_by > before.wire_look_by


def test_deep_scars_tell_that_it_had_sunk_in():
    taught(6, scars="deep")
    assert refit(TODAY).sunk == 6


def test_rebuilding_changes_nothing_after_a_refit():
    taught()
    tree = wired(m05_01="snug")
    roll_up_all(TODAY, refit=True)
    before = journal.fingerprint()
    journal.rebuild(TODAY)
    assert journal.fingerprint() == before
    assert "12 wires like this" in said(Standing.objects.get(tree=tree).wire_why)


def test_a_push_never_waits_for_a_refit():
    taught()
    refit(TODAY)
    before = WireFit.objects.values().get()
    wired(m05_01="biting")
    assert WireFit.objects.values().get() == before
    refit(TODAY)
    assert WireFit.objects.get().n == 13


def test_the_same_looks_teach_the_same():
    taught()
    assert refit(TODAY).parameters == refit(TODAY).parameters
    made = refit(TODAY).parameters
    assert json.loads(json.dumps(made)) == WireFit.objects.get().parameters
    assert current().model.bite.theta.tolist() == made["bite"][0]


def test_figures_that_do_not_settle_are_not_used_and_the_tree_says_so():
    taught()
    refit(TODAY)
    WireFit.objects.update(converged=False)
    tree = wired(m05_01="snug")
    row = standing(tree)
    assert said(row.wire_why).endswith("; reckoned by practice, for your own figures do not settle")
    WireFit.objects.all().delete()
    assert row.wire_look_by == standing(tree).wire_look_by


def test_looks_that_contradict_ask_for_another_look():
    tree = wired(m05_01="sunk_in", m06_01="loose")
    row = standing(tree)
    first = row.due[0]
    assert first["what"] == "wire"
    assert said(first["why"]) == "wire loose on 1 June, tighter the time before: look again"
    assert row.wire_look_by == date(2026, 6, 1)
    assert said(row.wire_why) == (
        "trunk wire on since 4 April, loose on 1 June, "
        "yet far tighter the time before: look again, and mend the record that is wrong"
    )
    take(record("wire_look", {"state": "loose"}, tree=tree.id, at=datetime(2026, 6, 9, 9, tzinfo=UTC)))
    assert standing(tree).wire_look_by > date(2026, 6, 9)


def test_a_wire_that_a_marking_look_was_seen_of_is_due_within_three_weeks():
    row = standing(wired(m06_01="marking"))
    assert date(2026, 6, 1) < row.wire_look_by <= date(2026, 6, 22)


def test_the_command_learns_and_says_from_what():
    out = StringIO()
    call_command("rollup", "--refit", "--today", "2026-06-10", stdout=out)
    assert "No wire was looked at yet: wires are reckoned by practice.\n" in out.getvalue()
    taught(6)
    call_command("rollup", "--refit", "--today", "2026-06-10", stdout=out)
    assert "Learned from 6 wires looked at, 6 seen to bite, 0 sunk in.\n" in out.getvalue()


def test_a_restored_backup_brings_back_what_was_learned(tmp_path):
    taught(6)
    fit = refit(TODAY).parameters
    call_command("backup", str(tmp_path / "b.zip"), stdout=StringIO())
    WireFit.objects.all().delete()
    call_command("restore", str(tmp_path / "b.zip"), "--replace", "--without-copy", stdout=StringIO())
    assert WireFit.objects.get().parameters == fit
