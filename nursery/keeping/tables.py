"""Which rows a backup keeps, and each row as a JSON object.

One portable form for SQLite and PostgreSQL: a site can move from one to the other by backup and restore, and
the file can be read without Misho. Rows that can be made anew from the journal are left out; ``rebuild``
makes them. So a backup is small, and a restored site is proven consistent by the way it comes back.
"""

import datetime
import json
import uuid
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any

from django.contrib.auth import get_user_model
from django.contrib.sessions.models import Session
from django.core.management.color import no_style
from django.db import connection, transaction
from django.db.models import Field, Model

from nursery import models
from nursery.feed import lock_head

#: Member name -> model, in the order in which they are written and loaded.
KEPT: dict[str, type[Model]] = {
    "species": models.Species,
    "users": get_user_model(),
    "people": models.Person,
    "phones": models.Device,
    "contested": models.Contested,
    "wire_fit": models.WireFit,
    "growth_fit": models.GrowthFit,
    "taught": models.Taught,
    "scores": models.Score,
    "photo_files": models.PhotoFile,
    "journal": models.JournalRecord,
}
#: Tables that came later, by the number of the migration: an older backup is whole without them.
SINCE: dict[str, str] = {"photo_files": "0008", "taught": "0010", "scores": "0011"}
#: One-time and short-lived: a restored site starts without them, so that no spent link or code opens again.
PASSING: tuple[type[Model], ...] = (
    models.EntryLink,
    models.PairingCode,
    models.WrongTry,
    Session,
)
#: What the judging wrote; ``rebuild`` writes it again, starting from ``ref`` and ``makes``: those are kept.
JUDGED = {"fate", "reason", "field", "message", "mend", "corrected_body"}

CHUNK = 2000


def kept_at(migration: str) -> list[str]:
    """The tables that a backup holds whose database had come up to this migration of the nursery."""
    return [name for name in KEPT if SINCE.get(name, "") <= migration]


def fields_of(model: type[Model]) -> list["Field[Any, Any]"]:
    """The fields that a backup keeps of this model, in the order of the model."""
    dropped = JUDGED if model is models.JournalRecord else set()
    return [field for field in model._meta.concrete_fields if field.attname not in dropped]


def _plain(value: object) -> str:
    if isinstance(value, datetime.datetime | datetime.date):
        return value.isoformat()
    if isinstance(value, uuid.UUID):
        return str(value)
    raise TypeError(f"{type(value).__name__} has no JSON form")


def lines(model: type[Model]) -> Iterator[tuple[bytes, int]]:
    """Blocks of JSON lines with their number of rows, in the order of the primary key."""
    names = [field.attname for field in fields_of(model)]
    rows = model._default_manager.order_by("pk").values_list(*names).iterator(chunk_size=CHUNK)
    encode = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"), default=_plain).encode
    while block := [encode(dict(zip(names, row, strict=True))) for row in islice(rows, CHUNK)]:
        yield ("\n".join(block) + "\n").encode(), len(block)


def load(model: type[Model], rows: Iterable[bytes]) -> int:
    """Write rows from JSON lines; returns their number.

    Raises
    ------
    ValueError : a line that is no row of this model, named by its number.
    """
    fields = fields_of(model)
    names = {field.attname for field in fields}
    total = 0
    stream = iter(rows)
    while block := list(islice(stream, CHUNK)):
        made = []
        for number, line in enumerate(block, start=total + 1):
            try:
                data = json.loads(line)
                if not isinstance(data, dict) or set(data) - names:
                    raise ValueError("it has other fields")
                made.append(
                    model(**{f.attname: f.to_python(data[f.attname]) for f in fields if f.attname in data})
                )
            except Exception as fault:
                raise ValueError(f"line {number}: {fault}") from fault
        # A species that this program knows keeps the program's values; one it dropped comes back.
        ours = model is models.Species
        model._default_manager.bulk_create(made, batch_size=CHUNK, ignore_conflicts=ours)
        total += len(block)
    return total


def clear() -> None:
    """Delete kept and passing rows. Foreign keys are checked at the commit, so any order will do.

    Species stay: they come with the program, and trees of the old site hang on them until ``rebuild``.
    """
    with connection.cursor() as cursor:
        for model in (*KEPT.values(), *PASSING):
            if model is models.Species:
                continue
            cursor.execute(f"DELETE FROM {connection.ops.quote_name(model._meta.db_table)}")


def set_sequences() -> None:
    """Rows came with their own numbers: let the database's counters go on after them (PostgreSQL)."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), list(KEPT.values())):
            cursor.execute(statement)


def lock_all() -> None:
    """Hold off writers until the commit. SQLite's IMMEDIATE transaction has done so already.

    The feed's head first, as every writer of records does: in another order two would wait for each other.
    """
    lock_head()
    if connection.vendor == "postgresql":
        names = ", ".join(connection.ops.quote_name(model._meta.db_table) for model in KEPT.values())
        with connection.cursor() as cursor:
            cursor.execute(f"LOCK TABLE {names} IN EXCLUSIVE MODE")


class Snapshot:
    """Reads inside see one state of the database, while others write.

    Not ``atomic()`` alone: on SQLite it would take the write lock for the whole backup, and on PostgreSQL
    each statement would see its own state.
    """

    def __enter__(self) -> None:
        connection.ensure_connection()
        self._inside = connection.in_atomic_block
        self._atomic = None
        if self._inside:
            return
        if connection.vendor == "postgresql":
            self._atomic = transaction.atomic()
            self._atomic.__enter__()
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        else:
            with connection.cursor() as cursor:
                cursor.execute("BEGIN DEFERRED")

    def __exit__(self, kind: Any, value: Any, trace: Any) -> None:
        if self._inside:
            return
        if self._atomic is not None:
            self._atomic.__exit__(kind, value, trace)
        else:
            with connection.cursor() as cursor:
                cursor.execute("ROLLBACK")
