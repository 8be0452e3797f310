"""Sixteen that write at once and one that reads on and on: does the reader miss a row?

``python -m tests.postgres.writers --seconds 60 --json`` starts a PostgreSQL server of its own (or makes a
database on the one of ``DATABASE_URL``) and prints ``written`` (records taken in), ``seen`` (of these, by the
reader that follows the feed), ``missed`` (the rest), ``refused`` (calls that ended in a fault), ``done_over``
(batches that met another one's numbers and were taken in again, record by record) and ``polls``.
``--without-lock`` takes the head lock out; then it is the rule that numbers are unique that saves the rows,
and ``--without-rule`` takes that out too. Ends with 1 where anything was missed, refused or done over.
"""

import argparse
import json
import logging
import multiprocessing
import os
import sys
import tempfile
import time
import uuid
from collections.abc import Callable
from multiprocessing.connection import Connection, wait
from typing import Any, NamedTuple

import django

from tests.postgres.cluster import fresh_database

WRITERS = 16
#: Small transactions, so that many are open at any moment; and small pages, so that the reader stops midway.
BATCH = 3
PAGE = 40


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    end = asked.add_mutually_exclusive_group(required=True)
    end.add_argument("--seconds", type=float, help="how long they write")
    end.add_argument("--records", type=int, help="how many records they write in all")
    asked.add_argument("--without-lock", action="store_true", help="take the head lock out")
    asked.add_argument("--without-rule", action="store_true", help="let two feed rows have one number")
    asked.add_argument("--json", action="store_true", help="print JSON")
    given = asked.parse_args()
    with tempfile.TemporaryDirectory(prefix="misho-writers-") as data, fresh_database() as url:
        set_up(url, data)
        if given.without_lock:
            take_lock_out()
        if given.without_rule:
            number_freely()
        found = race(given.seconds, given.records)
    print(json.dumps(found) if given.json else "\n".join(f"{name}: {n}" for name, n in found.items()))
    sys.exit(1 if found["missed"] or found["refused"] or found["done_over"] else 0)


def set_up(url: str, data: str) -> None:
    """Point this process at an empty database, and make its tables."""
    os.environ |= {"DATABASE_URL": url, "MISHO_DATA": data, "MISHO_LOG": "CRITICAL"}
    logging.getLogger("psycopg").setLevel(logging.CRITICAL)
    os.environ["DJANGO_SETTINGS_MODULE"] = "nursery.settings"
    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)


def take_lock_out() -> None:
    """From here on ``lock_head`` reads the head and locks nothing."""
    from nursery.models import FeedHead

    FeedHead.objects.select_for_update = FeedHead.objects.all  # type: ignore[method-assign]


def number_freely() -> None:
    """Drop the rule that no two feed rows have one number."""
    from django.db import connection

    from nursery.models import FeedRow

    ruled = FeedRow._meta.get_field("seq")
    free = ruled.clone()
    free._unique = False
    free.set_attributes_from_name("seq")
    free.model = FeedRow
    with connection.schema_editor() as editor:
        editor.alter_field(FeedRow, ruled, free)


class Told(NamedTuple):
    """What a writer says in the end: the lots taken in, and how many calls failed, or took two tries."""

    written: list[str]
    refused: int
    done_over: int


class DoneOver(logging.Handler):
    """Counts the batches that could not be committed as a whole, which the journal says in its log."""

    count = 0

    def emit(self, record: logging.LogRecord) -> None:
        self.count += 1


def race(seconds: float | None, records: int | None) -> dict[str, int]:
    """Write and read until the time is over or the records are in; compare what was written and seen."""
    from django.db import connection

    connection.close()  # a fork must not share it
    context = multiprocessing.get_context("fork")
    last = time.monotonic() + seconds if seconds else None
    each = None if records is None else -(-records // WRITERS)

    def going(written: int) -> bool:
        return written < each if each is not None else time.monotonic() < (last or 0)

    ends: list[Connection] = []
    writers = []
    for number in range(WRITERS):
        mine, theirs = context.Pipe(duplex=False)
        writers.append(context.Process(target=write, args=(number, going, theirs)))
        writers[-1].start()
        theirs.close()
        ends.append(mine)
    seen, polls, answers = follow(ends)
    for writer in writers:
        writer.join()
    written = {key for told in answers for key in told.written}
    return {
        "written": len(written),
        "seen": len(written & seen),
        "missed": len(written - seen),
        "refused": sum(told.refused for told in answers),
        "done_over": sum(told.done_over for told in answers),
        "polls": polls,
    }


def write(number: int, going: Callable[[int], bool], told: Connection) -> None:
    """Take in small batches of new seed lots; in the end tell which, how many calls failed or went twice."""
    from nursery import journal

    over = DoneOver()
    log = logging.getLogger("nursery.journal.intake")
    log.setLevel(logging.ERROR)
    log.addHandler(over)
    log.propagate = False
    written: list[str] = []
    refused = 0
    while going(len(written) + refused):
        lots = [str(uuid.uuid4()) for _ in range(BATCH)]
        try:
            journal.take_in([_lot(lot, f"{number}-{len(written) + n}") for n, lot in enumerate(lots)])
            written += lots
        except Exception:
            refused += 1
    told.send(Told(written, refused, over.count))
    told.close()


def _lot(lot: str, code: str) -> dict[str, Any]:
    from nursery import journal

    return journal.compose("lot_set", {"lot": lot, "code": code, "species": "chinese-elm"})


def follow(ends: list[Connection]) -> tuple[set[str], int, list[Told]]:
    """Read from the cursor on, page after page, until all have written and nothing is left to read.

    Returns the keys of the lots seen, the number of reads, and what the writers told.
    """
    from nursery import feed

    seen: set[str] = set()
    answers: list[Told] = []
    since = polls = 0
    over = more = False
    while not over or more:
        over = len(answers) == WRITERS
        rows, since, more, _ = feed.read(since, PAGE)
        seen.update(row.key for row in rows if row.topic == "lot")
        polls += 1
        for end in wait(ends, timeout=0 if more else 0.002) if ends else ():
            assert isinstance(end, Connection)
            answers.append(end.recv())
            ends.remove(end)
    return seen, polls, answers


if __name__ == "__main__":
    main()
