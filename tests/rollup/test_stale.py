"""Standings that a push leaves waiting: noted with the records, made for whoever asks next."""

import sqlite3
import uuid
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.db import OperationalError, connection, transaction

from nursery import journal
from nursery.models import Fate, JournalRecord, Stale, Standing
from nursery.rollup import make, mark_stale, roll_up_all, settle_stale, stale
from nursery.serving import catch_up
from tests.api.phone import Phone
from tests.factories import TreeFactory, record

pytestmark = pytest.mark.django_db
TODAY = date(2026, 6, 10)


def soil(tree: uuid.UUID) -> str | None:
    seen = Standing.objects.get(tree=tree).last.get("soil")
    return seen and seen[0]


def test_a_push_leaves_the_standing_and_the_next_pull_makes_it() -> None:
    tree, other = TreeFactory().id, TreeFactory().id
    phone = Phone()
    phone.push([record("soil_check", {"state": "dry"}, tree=tree)])
    phone.push([record("soil_check", {"state": "wet"}, tree=tree)])
    assert list(Stale.objects.values_list("tree", flat=True)) == [tree]
    assert soil(tree) is None

    rows = {key: data for topic, key, data in phone.pull().json()["rows"] if topic == "tree"}
    assert rows[str(tree)]["st"]["last"]["soil"][0] == "wet"
    assert rows[str(other)]["st"]["last"] == {}
    assert soil(tree) == "wet"
    assert not Stale.objects.exists()


def test_the_note_is_of_one_transaction_with_what_was_applied(monkeypatch: pytest.MonkeyPatch) -> None:
    tree = TreeFactory().id

    def full(*_: Any) -> None:
        raise OperationalError("database or disk is full")

    with monkeypatch.context() as broken:
        broken.setattr(journal.intake, "mark_stale", full)
        journal.take_in([record("soil_check", {"state": "dry"}, tree=tree)], roll_up=False)
    assert JournalRecord.objects.filter(fate=Fate.PENDING).count() == 1
    journal.take_in([], roll_up=False)
    assert list(Stale.objects.values_list("tree", flat=True)) == [tree]


def test_pages_bring_standings_some_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    trees = [TreeFactory().id for _ in range(5)]
    phone = Phone()
    seen = phone.pull().json()
    monkeypatch.setattr(stale, "CHUNK", 2)
    monkeypatch.setattr("nursery.rollup.CHUNK", 2)
    phone.push([record("soil_check", {"state": "dry"}, tree=tree) for tree in trees])
    brought: list[int] = []
    while seen["has_more"] or not brought:
        seen = phone.pull(f"{seen['epoch']}:{seen['seq']}").json()
        brought.append(len(seen["rows"]))
    assert brought == [2, 2, 1]
    assert {soil(tree) for tree in trees} == {"dry"}


def test_what_a_phone_left_waiting_is_made_by_the_clock_too() -> None:
    tree = TreeFactory().id
    journal.take_in([record("soil_check", {"state": "dry"}, tree=tree)], roll_up=False)
    catch_up()
    assert soil(tree) == "dry"
    assert not Stale.objects.exists()


def test_the_daily_roll_up_leaves_none_waiting() -> None:
    tree = TreeFactory().id
    journal.take_in([record("soil_check", {"state": "dry"}, tree=tree)], roll_up=False)
    roll_up_all(TODAY)
    assert not Stale.objects.exists()


def test_a_tree_that_breaks_the_roll_up_does_not_wait_for_ever(monkeypatch: pytest.MonkeyPatch) -> None:
    tree = TreeFactory().id

    def breaks(*_: Any) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(make, "standings", breaks)
    mark_stale([tree])
    assert settle_stale(today=TODAY) is False
    assert not Stale.objects.exists()
    assert Standing.objects.filter(tree=tree).exists()


@contextmanager
def another_writer() -> Iterator[None]:
    path = Path(str(connection.settings_dict["NAME"]))
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield
        other.execute("ROLLBACK")


@pytest.mark.django_db(transaction=True)
def test_a_phone_reads_on_while_another_writer_holds_the_database() -> None:
    if connection.vendor != "sqlite":
        return  # there a reader never meets the writer's lock; tests of the feed's head try that
    tree = TreeFactory().id
    phone = Phone()
    phone.push([record("soil_check", {"state": "dry"}, tree=tree)])
    with another_writer():
        answer = phone.pull()
    assert answer.status_code == 200
    assert any(row[1] == str(tree) for row in answer.json()["rows"])
    assert soil(tree) is None
    # The usual patience is back: this waits for the lock, and gets it.
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA busy_timeout")
        assert cursor.fetchone() == (20_000,)
    with transaction.atomic():
        assert phone.pull().json()["rows"]
    assert soil(tree) == "dry"
