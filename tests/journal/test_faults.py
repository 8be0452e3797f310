"""A server that dies, a database that is busy, a record that breaks the program: no record is lost."""

import uuid
from typing import Any

import pytest
from django.db import OperationalError

from nursery import journal
from nursery.journal import intake, looks
from nursery.journal.rec import Rec
from nursery.models import FeedRow, JournalRecord, Note, SoilCheck
from tests.factories import TreeFactory, correction, record

pytestmark = pytest.mark.django_db


class PowerCut(BaseException):
    """Ends the process: nothing catches it."""


def test_what_a_dying_server_stored_is_applied_by_the_next_call(monkeypatch: pytest.MonkeyPatch) -> None:
    tree = TreeFactory()
    check = record("soil_check", {"state": "dry"}, tree=tree.id)

    faults: list[type[BaseException]] = [ZeroDivisionError, PowerCut]

    def dies(*args: Any, **rest: Any) -> None:
        raise faults.pop(0)

    with monkeypatch.context() as broken:
        broken.setattr(intake, "settle", dies)
        with pytest.raises(PowerCut):
            journal.take_in([check])
    assert JournalRecord.objects.get(id=check["id"]).fate == "pending"
    assert SoilCheck.objects.count() == 0

    [again] = journal.take_in([check])
    assert again.outcome == "duplicate"
    assert JournalRecord.objects.get(id=check["id"]).fate == "applied"
    assert SoilCheck.objects.get().state == "dry"


def test_a_server_that_dies_before_the_commit_has_told_and_kept_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    tree = TreeFactory()
    check = record("soil_check", {"state": "dry"}, tree=tree.id)

    def dies(*args: Any, **rest: Any) -> None:
        raise PowerCut

    with monkeypatch.context() as broken:
        broken.setattr(intake, "apply", dies)
        with pytest.raises(PowerCut):
            journal.take_in([check])
    assert not JournalRecord.objects.filter(id=check["id"]).exists()

    [again] = journal.take_in([check])
    assert again.outcome == "stored"
    assert SoilCheck.objects.get().state == "dry"


def test_an_empty_push_takes_up_what_was_left(monkeypatch: pytest.MonkeyPatch) -> None:
    tree = TreeFactory()
    checks = [record("soil_check", {"state": "dry"}, tree=tree.id) for _ in range(3)]

    def busy(*args: Any, **rest: Any) -> None:
        raise OperationalError("database is locked")

    with monkeypatch.context() as broken:
        broken.setattr(intake, "settle", busy)
        assert [one.outcome for one in journal.take_in(checks)] == ["stored"] * 3
    assert SoilCheck.objects.count() == 0
    assert journal.take_in([]) == []
    assert SoilCheck.objects.count() == 3


@pytest.fixture
def poison(monkeypatch: pytest.MonkeyPatch) -> None:
    """Notes that say "poison" break the program that applies them."""
    model, names, values = looks.LOOKS["note"]

    def breaks(body: dict[str, Any]) -> tuple[Any, ...]:
        if body["text"] == "poison":
            raise ZeroDivisionError
        return values(body)

    monkeypatch.setitem(looks.LOOKS, "note", (model, names, breaks))


@pytest.mark.usefixtures("poison")
def test_a_record_that_breaks_the_program_blocks_none() -> None:
    tree = TreeFactory()
    bad = record("note", {"text": "poison"}, tree=tree.id)
    push = [
        record("note", {"text": "needles yellow"}, tree=tree.id),
        bad,
        record("soil_check", {"state": "dry"}, tree=tree.id),
    ]
    results = journal.take_in(push)
    assert [(one.outcome, one.reason) for one in results] == [
        ("stored", ""),
        ("set_aside", "could_not_apply"),
        ("stored", ""),
    ]
    assert [note.text for note in Note.objects.all()] == ["needles yellow"]
    assert SoilCheck.objects.count() == 1
    assert FeedRow.objects.get(topic="fate", key=bad["id"]).data["reason"] == "could_not_apply"


@pytest.mark.usefixtures("poison")
def test_what_comes_later_is_not_held_up_by_it_and_a_correction_mends_it() -> None:
    tree = uuid.uuid4()
    bad = record("note", {"text": "poison"}, tree=tree)
    assert journal.take_in([bad])[0].reason == "unknown_tree"
    new = record("tree_new", {"tag": "A1", "species": "trident-maple"}, tree=tree)
    other = record("soil_check", {"state": "wet"}, tree=tree)
    journal.take_in([other])
    # The tree's arrival wakes the poisoned note; neither the tree nor the check may suffer for it.
    results = journal.take_in([new])
    assert [one.outcome for one in results] == ["stored"]
    assert SoilCheck.objects.get().state == "wet"
    assert JournalRecord.objects.get(id=bad["id"]).reason == "could_not_apply"

    journal.take_in([correction(bad, {"text": "needles fine"})])
    assert Note.objects.get(id=bad["id"]).text == "needles fine"
    assert JournalRecord.objects.get(id=bad["id"]).fate == "applied"


@pytest.mark.django_db(transaction=True)
def test_a_record_that_fails_only_at_the_commit_blocks_none(monkeypatch: pytest.MonkeyPatch) -> None:
    tree = TreeFactory()
    look = looks.look

    def astray(rec: Rec, values: looks.Values) -> tuple[Any, ...]:
        row = look(rec, values)
        return (row[0], uuid.UUID(int=404), *row[2:]) if rec.effective.get("text") == "astray" else row

    monkeypatch.setattr(looks, "look", astray)
    push = [record("note", {"text": text}, tree=tree.id) for text in ("one", "astray", "two")]
    results = journal.take_in(push)
    assert [one.reason for one in results] == ["", "could_not_apply", ""]
    assert sorted(note.text for note in Note.objects.all()) == ["one", "two"]


def test_a_roll_up_that_fails_costs_no_record(monkeypatch: pytest.MonkeyPatch) -> None:
    tree = TreeFactory()

    def breaks(*args: Any, **rest: Any) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(intake, "roll_up_trees", breaks)
    [result] = journal.take_in([record("soil_check", {"state": "dry"}, tree=tree.id)])
    assert result.outcome == "stored"
    assert SoilCheck.objects.get().state == "dry"
