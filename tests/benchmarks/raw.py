"""Taking in against raw ``sqlite3.executemany`` of the very same rows, batch by batch beside each other."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path
from typing import Any
from uuid import UUID

from tests.benchmarks.records import Record

TABLES = (
    "nursery_journalrecord",
    "nursery_soilcheck",
    "nursery_budcheck",
    "nursery_wireinspection",
)
BATCH = 200


def compare(database: Path, folder: Path, records: Sequence[Record]) -> dict[str, float]:
    """Seconds for the same records three ways, in turns, so that the machine's moods fall on all of them.

    Returns
    -------
    ours_s : ``take_in`` in this process, standings left to the roll-up.
    raw_s : the rows that it made, into a copy of the same tables with their indexes, each batch one
        transaction. The copy held the same nursery before.
    bare_s : the journal's rows alone, into one table without any index but its key.
    """
    from nursery import journal

    copy, plain = folder / "raw.sqlite3", folder / "bare.sqlite3"
    with closing(_open(database)) as mine:
        mine.execute("VACUUM INTO ?", [str(copy)])
    spent = {"ours_s": 0.0, "raw_s": 0.0, "bare_s": 0.0}
    with closing(_open(database)) as mine, closing(_open(copy)) as raw, closing(_open(plain)) as bare:
        columns = [row[1] for row in mine.execute(f"PRAGMA table_info({TABLES[0]})")]
        bare.execute(f"CREATE TABLE {TABLES[0]} ({', '.join(columns)}, PRIMARY KEY (id))")
        for start in range(0, len(records), BATCH):
            batch = list(records[start : start + BATCH])
            began = time.perf_counter()
            results = journal.take_in(batch, roll_up=False)
            spent["ours_s"] += time.perf_counter() - began
            assert all(result.outcome == "stored" for result in results)
            ids = [UUID(one["id"]).hex for one in batch]
            made = {table: _rows(mine, table, ids) for table in TABLES}
            spent["raw_s"] += _insert(raw, made)
            spent["bare_s"] += _insert(bare, {TABLES[0]: made[TABLES[0]]})
        assert _count(raw) == _count(mine)
    return spent


def _open(path: Path) -> sqlite3.Connection:
    made = sqlite3.connect(path, isolation_level=None)
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "cache_size=-65536"):
        made.execute(f"PRAGMA {pragma}")
    return made


def _rows(base: sqlite3.Connection, table: str, ids: Sequence[str]) -> list[tuple[Any, ...]]:
    marks = ", ".join("?" * len(ids))
    return base.execute(f"SELECT * FROM {table} WHERE id IN ({marks})", ids).fetchall()


def _insert(base: sqlite3.Connection, made: dict[str, list[tuple[Any, ...]]]) -> float:
    """Seconds of one transaction with one ``executemany`` a table."""
    began = time.perf_counter()
    base.execute("BEGIN IMMEDIATE")
    for table, rows in made.items():
        if rows:
            base.executemany(f"INSERT INTO {table} VALUES ({', '.join('?' * len(rows[0]))})", rows)
    base.execute("COMMIT")
    return time.perf_counter() - began


def _count(base: sqlite3.Connection) -> list[int]:
    return [base.execute(f"SELECT COUNT(*) FROM {table}").fetchone()[0] for table in TABLES]
