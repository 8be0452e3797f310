"""What the server does on its own: take up what a crash left, and roll up when the day has changed."""

import threading
from datetime import date, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.db.utils import ConnectionHandler
from django.utils import timezone

from nursery import serving
from nursery.journal import compose, take_in
from nursery.journal.intake import _only_store
from nursery.journal.wire import parse_all
from nursery.models import Caliper, JournalRecord, Standing


@pytest.mark.django_db
def test_standings_of_an_older_day_are_made_anew() -> None:
    tree = uuid4()
    take_in([compose("tree_new", {"tag": "K1", "species": "chinese-elm"}, tree=tree)], today=date(2020, 1, 1))
    assert Standing.objects.get().as_of == date(2020, 1, 1)
    serving.catch_up()
    assert Standing.objects.get().as_of == timezone.localdate()


@pytest.mark.django_db
def test_standings_of_today_are_made_anew_by_an_updated_server(settings: Any, tmp_path: Path) -> None:
    settings.DATA_DIR = tmp_path
    (tmp_path / "rules.txt").write_text("those of an older version")
    take_in([compose("tree_new", {"tag": "K1", "species": "chinese-elm"}, tree=uuid4())])
    Standing.objects.update(held_by="an old word")
    serving.catch_up()
    assert Standing.objects.get().held_by != "an old word"
    Standing.objects.update(held_by="left alone")
    serving.catch_up()
    assert Standing.objects.get().held_by == "left alone"


@pytest.mark.django_db
def test_records_that_a_crash_left_unjudged_are_taken_up() -> None:
    tree, now = uuid4(), timezone.now()
    made = [
        compose("tree_new", {"tag": "K1", "species": "chinese-elm"}, tree=tree),
        compose("caliper", {"mm": 12.5}, tree=tree),
    ]
    _only_store(parse_all(made), None, now - timedelta(minutes=1))
    assert set(JournalRecord.objects.values_list("fate", flat=True)) == {"pending"}
    serving.catch_up()
    assert set(JournalRecord.objects.values_list("fate", flat=True)) == {"applied"}
    assert Caliper.objects.get().mm == 12.5
    assert Standing.objects.get().caliper_mm == 12.5


def test_the_daily_thread_goes_on_after_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    calls: list[int] = []
    third = threading.Event()

    def catch_up() -> None:
        calls.append(len(calls))
        if len(calls) == 3:
            third.set()
        raise OSError("the disk is full")

    monkeypatch.setattr(serving, "LOOK_AT_CLOCK_S", 0.001)
    monkeypatch.setattr(serving, "catch_up", catch_up)
    daily = serving.Daily()
    daily.start()
    assert third.wait(20), f"it stopped after {len(calls)} tries"
    daily.end()
    daily.join(20)
    assert not daily.is_alive()


@pytest.mark.django_db
def test_the_log_is_folded_in_beside_the_writers(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    mine = ConnectionHandler(
        {
            "default": {
                "ENGINE": "django.db.backends.sqlite3",
                "NAME": tmp_path / "misho.sqlite3",
                "OPTIONS": {"init_command": "PRAGMA journal_mode=WAL; PRAGMA wal_autocheckpoint=32000;"},
            }
        }
    )["default"]
    monkeypatch.setattr(serving, "connection", mine)
    with mine.cursor() as cursor:
        cursor.execute("CREATE TABLE soil (state text)")
        cursor.executemany("INSERT INTO soil VALUES (%s)", [["dry" * 1000]] * 100)
    in_log, folded = serving.fold_in()
    assert in_log == folded > 50
    # A second look has nothing left to do, and a plain reader of the file finds all.
    assert serving.fold_in() == (in_log, folded)
    assert (tmp_path / "misho.sqlite3").stat().st_size > 300_000
    mine.close()
