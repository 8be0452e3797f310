"""What is wrong with a record, what it waits for, and what corrections do to it."""

import uuid
from typing import Any

import pytest
from django.utils import translation

from nursery import journal
from nursery.models import (
    Bench,
    Caliper,
    FeedRow,
    JournalRecord,
    Note,
    Site,
    SoilCheck,
    Sowing,
    Tree,
    WireInspection,
)
from nursery.sentences import english, say
from tests.factories import (
    BenchFactory,
    SeedLotFactory,
    TreeFactory,
    correction,
    new_id,
    record,
    take,
    withdrawal,
)

pytestmark = pytest.mark.django_db
_PHOTO = {"sha256": "ab" * 32, "bytes": 9, "width": 4, "height": 3}


def fate(of: dict[str, Any]) -> tuple[str, str, str]:
    found = JournalRecord.objects.get(id=of["id"])
    return found.fate, found.reason, found.field


APPLIED = ("applied", "", "")


@pytest.mark.parametrize(
    ("kind", "body", "field"),
    [
        ("soil_check", {}, "body.state"),
        ("soil_check", {"state": "soggy"}, "body.state"),
        ("soil_check", {"state": None}, "body.state"),
        ("soil_check", {"state": "dry", "bulk": "yes"}, "body.bulk"),
        ("soil_check", [], "body"),
        ("caliper", {"mm": 0}, "body.mm"),
        ("caliper", {"mm": 1000.1}, "body.mm"),
        ("caliper", {"mm": "12"}, "body.mm"),
        ("caliper", {"mm": True}, "body.mm"),
        ("caliper", {"mm": 12, "height_mm": -1}, "body.height_mm"),
        ("caliper", {"mm": 12, "method": "guess"}, "body.method"),
        ("caliper", {"mm": 12, "method": "photo", "photo": "that one"}, "body.photo"),
        ("caliper", {"mm": 12, "sd_mm": 0}, "body.sd_mm"),
        ("photo", {**_PHOTO, "photo": "p"}, "body.photo"),
        ("photo", {**_PHOTO, "photo": str(uuid.UUID(int=1)), "sha256": "AB" * 32}, "body.sha256"),
        ("photo", {**_PHOTO, "photo": str(uuid.UUID(int=1)), "bytes": 0}, "body.bytes"),
        ("photo", {**_PHOTO, "photo": str(uuid.UUID(int=1)), "caption": "x" * 201}, "body.caption"),
        ("wire_look", {"state": "none"}, "body.state"),
        ("wire_on", {"part": "root"}, "body.part"),
        ("wire_on", {"part": "trunk", "wire_mm": 0}, "body.wire_mm"),
        ("wire_off", {"wiring": "the left one"}, "body.wiring"),
        ("root_survey", {"roots": [{"deg": 360, "grade": 1, "level": True}]}, "body.roots"),
        ("root_survey", {"roots": [{"deg": 1, "grade": 6, "level": True}]}, "body.roots"),
        ("root_survey", {"roots": [], "defects": ["ugly"]}, "body.defects"),
        ("branch_survey", {"primaries": 1.5, "secondaries": 1}, "body.primaries"),
        ("note", {"text": "  "}, "body.text"),
        ("note", {"text": "x" * 2001}, "body.text"),
        ("tree_tag", {"tag": "a tag of 17 signs"}, "body.tag"),
        ("tree_move", {"bench": str(uuid.UUID(int=1)), "row": 1}, "body.place"),
        ("tree_move", {"row": 1, "place": 1}, "body.bench"),
        ("phase_change", {"to": "finished"}, "body.to"),
        ("tree_left", {"how": "stolen"}, "body.how"),
        ("target_set", {"style": "tall"}, "body.style"),
        ("work_done", {"task": "prayed"}, "body.task"),
    ],
)
def test_impossible_values_are_set_aside_by_field(kind: str, body: Any, field: str) -> None:
    tree = TreeFactory()
    made = {**record(kind, {}, tree=tree.id), "body": body}
    [result] = journal.take_in([made])
    assert (result.outcome, result.reason, result.field) == ("set_aside", "bad_value", field)
    assert JournalRecord.objects.get(id=made["id"]).body == body
    said = []
    for language in ("en", "de"):
        with translation.override(language):
            said += [say(result.message), say(result.mend)]
    assert all(said)
    assert len(set(said)) == 4
    assert not [text for text in said if "{" in text and "{" not in repr(body)]


def test_why_a_record_is_set_aside_is_kept_as_a_sentence() -> None:
    tree = TreeFactory()
    thick = record("caliper", {"mm": 1200.25}, tree=tree.id)
    lost = record("soil_check", {"state": "dry"}, tree=uuid.uuid4())
    results = {result.id: result for result in journal.take_in([thick, lost])}
    message = ["{value} is outside {low} to {high}", {"value": 1200.25, "low": 0.1, "high": 1000}]
    assert results[thick["id"]].message == message
    kept = JournalRecord.objects.get(id=thick["id"])
    assert kept.message == '["{value} is outside {low} to {high}",{"value":1200.25,"low":0.1,"high":1000}]'
    assert FeedRow.objects.get(topic="fate", key=thick["id"]).data["message"] == message
    assert JournalRecord.objects.get(id=lost["id"]).message == "the tree is not known here"
    # Handed over again it says the same.
    assert journal.take_in([thick]) == [results[thick["id"]]]
    with translation.override("de"):
        assert say(results[thick["id"]].message) == "1200,25 liegt nicht zwischen 0,1 und 1000"
        assert say(results[thick["id"]].mend) == "Eine Zahl von 0,1 bis 1000 mm angeben."


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (5000, "5000 is outside 0.1 to 1000"),
        (5000.0, "5000 is outside 0.1 to 1000"),
        (0.00012, "0.00012 is outside 0.1 to 1000"),
        (1e300, "1e+300 is outside 0.1 to 1000"),
        (True, "True is not a number"),
        ("18", "'18' is not a number"),
        (["x" * 60], "['" + "x" * 35 + "... is not a number"),
    ],
)
def test_a_value_at_fault_is_told_as_it_was_written(value: Any, said: str) -> None:
    [result] = journal.take_in([record("caliper", {"mm": value}, tree=TreeFactory().id)])
    assert english(result.message) == said


def test_a_sowing_cannot_float_more_seeds_than_it_has() -> None:
    lot = SeedLotFactory()
    body = {"lot": lot.id, "on": "2026-02-30", "seeds": 10, "floaters": 11}
    [bad_day] = journal.take_in([record("sowing", body)])
    [too_many] = journal.take_in([record("sowing", {**body, "on": "2026-02-28"})])
    assert (bad_day.field, too_many.field) == ("body.on", "body.floaters")
    take(record("sowing", {**body, "on": "2026-02-28", "floaters": 3}))
    assert (Sowing.objects.get().seeds, Sowing.objects.get().floaters) == (10, 3)


def test_a_body_of_null_is_set_aside() -> None:
    check = {**record("soil_check", {"state": "dry"}, tree=TreeFactory().id), "body": None}
    [result] = journal.take_in([check])
    assert (result.outcome, result.reason, result.field) == ("set_aside", "bad_value", "body")


def test_a_record_about_a_tree_must_name_it() -> None:
    [result] = journal.take_in([record("soil_check", {"state": "dry"})])
    assert (result.reason, result.field) == ("bad_value", "tree")


def test_a_newer_form_is_kept_for_a_newer_server() -> None:
    tree = TreeFactory()
    made = {**record("soil_check", {"state": "dry"}, tree=tree.id), "v": 2, "moisture": 0.2}
    journal.take_in([made])
    assert fate(made) == ("set_aside", "unknown_kind", "v")
    assert JournalRecord.objects.get(id=made["id"]).more == {"moisture": 0.2}


def test_each_missing_thing_is_named_and_its_coming_mends_it() -> None:
    site, bench, lot, tree, run = (uuid.UUID(new_id()) for _ in range(5))
    wire = record("wire_on", {"part": "trunk"}, tree=tree)
    waiting = [
        record("bench_set", {"bench": bench, "site": site, "name": "A", "rows": 1, "places": 4}),
        record("walk_started", {"bench": bench}, run=run),
        record("walk_ended", {}, run=run),
        record("sowing", {"lot": lot, "on": "2026-03-01", "seeds": 9}),
        record("tree_new", {"tag": "A1", "species": "chinese-elm", "lot": lot}, tree=tree),
        record("tree_move", {"bench": bench, "row": 1, "place": 1}, tree=tree),
        record("wire_look", {"state": "snug", "wiring": wire["id"]}, tree=tree),
    ]
    reasons = [(one.reason, one.field) for one in journal.take_in(waiting)]
    assert reasons == [
        ("unknown_site", "body.site"),
        ("unknown_bench", "body.bench"),
        ("unknown_run", "run"),
        ("unknown_lot", "body.lot"),
        ("unknown_lot", "body.lot"),
        ("unknown_tree", "tree"),
        ("unknown_tree", "tree"),
    ]
    take(record("site_set", {"site": site, "name": "Home"}))
    take(record("lot_set", {"lot": lot, "code": "L1", "species": "chinese-elm"}))
    assert fate(waiting[6]) == ("set_aside", "unknown_wiring", "body.wiring")
    take(wire)
    assert [fate(one) for one in waiting] == [APPLIED] * 7
    assert Tree.objects.get().bench_id == bench
    assert str(WireInspection.objects.get().wiring_id) == wire["id"]


def test_an_unknown_species_is_set_aside() -> None:
    new = record("tree_new", {"tag": "A1", "species": "oak"}, tree=uuid.uuid4())
    [result] = journal.take_in([new])
    assert (result.reason, result.field) == ("unknown_species", "body.species")


def test_a_wiring_of_another_tree_is_unknown_to_this_one() -> None:
    one, other = TreeFactory(), TreeFactory()
    wire = record("wire_on", {"part": "trunk"}, tree=one.id)
    take(wire)
    [result] = journal.take_in([record("wire_off", {"wiring": wire["id"]}, tree=other.id)])
    assert (result.reason, result.field) == ("unknown_wiring", "body.wiring")


def test_the_latest_good_correction_counts() -> None:
    tree = TreeFactory()
    first = record("caliper", {"mm": 12}, tree=tree.id)
    second = correction(first, {"mm": 13})
    third = correction(first, {"mm": 14})
    bad = correction(first, {"mm": 9999})
    results = journal.take_in([bad, third, second, first])
    assert (results[0].outcome, results[0].field) == ("set_aside", "body.body.mm")
    assert Caliper.objects.get().mm == 14
    assert fate(first) == fate(second) == fate(third) == APPLIED
    assert JournalRecord.objects.get(id=first["id"]).body == {"mm": 12}


def test_a_correction_mends_what_was_set_aside_and_a_withdrawal_settles_it() -> None:
    tree = TreeFactory()
    mended, settled = (record("caliper", {"mm": 5000}, tree=tree.id) for _ in range(2))
    journal.take_in([mended, settled])
    take(correction(mended, {"mm": 50}), withdrawal(settled))
    assert (fate(mended), fate(settled)) == (APPLIED, ("withdrawn", "", ""))
    assert [str(row.id) for row in Caliper.objects.all()] == [mended["id"]]


def test_a_correction_after_a_withdrawal_brings_the_record_back() -> None:
    tree = TreeFactory()
    note = record("note", {"text": "low buds"}, tree=tree.id)
    take(note)
    take(withdrawal(note))
    assert Note.objects.count() == 0
    take(correction(note, {"text": "two low buds"}))
    assert Note.objects.get().text == "two low buds"


def test_corrections_that_correct_nothing() -> None:
    tree = TreeFactory()
    note = record("note", {"text": "low buds"}, tree=tree.id)
    lost = withdrawal(note)
    double = withdrawal(lost)
    empty = record("correction", {"replaces": note["id"]}, tree=tree.id)
    journal.take_in([lost, empty, double])
    assert fate(lost) == ("set_aside", "unknown_record", "body.replaces")
    assert fate(empty) == ("set_aside", "bad_value", "body.body")
    assert fate(double) == ("set_aside", "bad_value", "body.replaces")
    take(note)
    assert (fate(lost), fate(note)) == (APPLIED, ("withdrawn", "", ""))


def test_withdrawing_what_made_a_thing_sets_aside_what_needs_it() -> None:
    bench = BenchFactory()
    made = JournalRecord.objects.get(kind="site_set")
    tree = TreeFactory(bench=bench, row=1, place=2)
    check = record("soil_check", {"state": "dry"}, tree=tree.id)
    take(check)
    take(record("correction", {"replaces": made.id, "withdraw": True}))
    assert (Site.objects.count(), Bench.objects.count()) == (0, 0)
    tree.refresh_from_db()
    assert (tree.bench_id, tree.row, tree.place) == (None, None, None)
    assert fate(check) == APPLIED
    new = JournalRecord.objects.get(kind="tree_new")
    take(record("correction", {"replaces": new.id, "withdraw": True}, tree=tree.id))
    assert (Tree.objects.count(), SoilCheck.objects.count()) == (0, 0)
    assert fate(check) == ("set_aside", "unknown_tree", "tree")


def test_a_thing_made_twice_stays_while_one_record_makes_it() -> None:
    tree = uuid.UUID(new_id())
    first, second = (record("tree_new", {"tag": tag, "species": "chinese-elm"}, tree=tree) for tag in "AB")
    check = record("soil_check", {"state": "dry"}, tree=tree)
    take(first, second, check)
    assert Tree.objects.get().tag == "B"
    take(withdrawal(second))
    assert (Tree.objects.get().tag, fate(check)) == ("A", APPLIED)
    take(withdrawal(first))
    assert Tree.objects.count() == 0
    assert fate(check) == ("set_aside", "unknown_tree", "tree")


def test_a_bench_corrected_into_another_one_moves_nothing_by_itself() -> None:
    bench, other = BenchFactory(name="A"), uuid.UUID(new_id())
    tree = TreeFactory(bench=bench, row=1, place=1)
    made = JournalRecord.objects.get(kind="bench_set")
    body = {**made.body, "bench": str(other)}
    take(record("correction", {"replaces": str(made.id), "body": body}))
    assert list(Bench.objects.values_list("id", "name")) == [(other, "A")]
    tree.refresh_from_db()
    assert tree.bench_id is None
    assert JournalRecord.objects.get(kind="tree_move").reason == "unknown_bench"
