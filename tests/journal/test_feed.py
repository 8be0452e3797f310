"""The feed: numbered in the order of commits, nothing twice, deletions are rows."""

import threading
import uuid
from typing import Any

import pytest
from django.db import connection, transaction

from nursery import feed, journal
from nursery.models import FeedHead, FeedRow, JournalRecord
from tests.factories import BenchFactory, TreeFactory, record, take, withdrawal

db = pytest.mark.django_db


def publish(*rows: tuple[str, str, dict[str, Any] | None]) -> None:
    with transaction.atomic():
        feed.publish(feed.lock_head(), rows)


def news(since: int) -> list[tuple[str, str, Any]]:
    return [(row.topic, row.key, row.data) for row in feed.read(since, 1000)[0]]


def last() -> int:
    return FeedHead.objects.get().seq


@db
def test_migrations_leave_species_and_a_head() -> None:
    rows, seq, more, epoch = feed.read(0, 100)
    assert [row.key for row in rows] == [
        "japanese-black-pine",
        "japanese-red-pine",
        "japanese-white-pine",
        "trident-maple",
        "japanese-maple",
        "chinese-elm",
        "shimpaku-juniper",
    ]
    assert (seq, more, len(epoch)) == (7, False, 36)
    assert rows[3].data is not None
    assert rows[3].data["habit"] == "broadleaf"


@db
def test_only_a_changed_row_takes_a_number() -> None:
    start = last()
    publish(("bench", "a", {"name": "one"}), ("bench", "b", {"name": "two"}))
    publish(("bench", "a", {"name": "one"}), ("bench", "b", {"name": "three"}))
    assert last() == start + 3
    assert news(start) == [("bench", "a", {"name": "one"}), ("bench", "b", {"name": "three"})]


@db
def test_a_thing_that_is_gone_stays_as_an_empty_row() -> None:
    start = last()
    publish(("bench", "a", {"name": "one"}))
    publish(("bench", "a", None), ("bench", "never-was", None))
    publish(("bench", "a", None))
    assert last() == start + 2
    assert news(start) == [("bench", "a", None)]


@db
def test_pages_join_without_a_gap() -> None:
    start = last()
    publish(*[("bench", f"b{n}", {"n": n}) for n in range(5)])
    rows, seq, more, _ = feed.read(start, 2)
    assert ([row.key for row in rows], seq, more) == (["b0", "b1"], start + 2, True)
    rows, seq, more, _ = feed.read(seq, 3)
    assert ([row.key for row in rows], seq, more) == (["b2", "b3", "b4"], start + 5, False)
    assert feed.read(seq, 3)[:3] == ([], start + 5, False)


@db
def test_what_records_publish() -> None:
    start = last()
    bench = BenchFactory(name="South", rows=2, places=8, walk_order=3)
    tree = TreeFactory(tag="K7", bench=bench, row=1, place=2)
    shown = {(topic, key): data for topic, key, data in news(start)}
    assert shown["site", str(bench.site_id)] == {"name": bench.site.name, "time_zone": "Europe/Rome"}
    assert shown["bench", str(bench.id)] == {"name": "South", "rows": 2, "places": 8, "order": 3}
    row = shown["tree", str(tree.id)]
    assert (row["tag"], row["bench"], row["row"], row["place"]) == ("K7", str(bench.id), 1, 2)
    assert not [key for topic, key in shown if topic == "fate"]


@db
def test_a_tree_that_left_stays_and_one_withdrawn_goes() -> None:
    left = TreeFactory(left_how="sold")
    start = last()
    new = record("tree_new", {"tag": "A1", "species": "chinese-elm"}, tree=uuid.uuid4())
    take(new)
    take(withdrawal(new))
    assert news(start) == [("tree", new["tree"], None)]
    assert FeedRow.objects.get(topic="tree", key=str(left.id)).data["left"] == "sold"


@db
def test_fates_are_told_of_records_that_were_ever_set_aside() -> None:
    tree = uuid.uuid4()
    start = last()
    check = record("soil_check", {"state": "dry"}, tree=tree)
    journal.take_in([check])
    told = FeedRow.objects.get(topic="fate")
    assert (told.key, told.data["fate"], told.data["reason"]) == (check["id"], "set_aside", "unknown_tree")
    take(record("tree_new", {"tag": "A1", "species": "chinese-elm"}, tree=tree))
    take(record("soil_check", {"state": "wet"}, tree=tree))
    fates = [(key, data) for topic, key, data in news(start) if topic == "fate"]
    assert fates == [(check["id"], {"fate": "applied", "reason": "", "message": "", "mend": ""})]


@pytest.mark.django_db(transaction=True)
def test_a_reader_that_follows_writers_misses_nothing() -> None:
    """Four phones push at once while one reads on and on: its mirror ends as the feed."""
    trees = [TreeFactory(tag=f"F{n}").id for n in range(4)]
    start, done = last(), threading.Event()
    mirror: dict[tuple[str, str], Any] = {}

    def push(n: int) -> None:
        for i in range(6):
            body = {"base_mm": 10 + i}
            journal.take_in(
                [record("target_set", body, tree=trees[n]), record("soil_check", {"state": "dry"})]
            )
        connection.close()

    def follow() -> None:
        since = start
        while True:
            stop = done.is_set()
            rows, since, more, _ = feed.read(since, 3)
            mirror.update({(row.topic, row.key): row.data for row in rows})
            if stop and not more:
                break
        connection.close()

    reader = threading.Thread(target=follow)
    writers = [threading.Thread(target=push, args=(n,)) for n in range(4)]
    for thread in [reader, *writers]:
        thread.start()
    for thread in writers:
        thread.join()
    done.set()
    reader.join()
    wanted = FeedRow.objects.filter(seq__gt=start).values_list("topic", "key", "data")
    assert mirror == {(topic, key): data for topic, key, data in wanted}
    assert JournalRecord.objects.filter(kind="target_set", fate="applied").count() == 24
    assert len([topic for topic, _ in mirror if topic == "fate"]) == 24
