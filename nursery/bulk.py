"""Write many rows with one prepared statement each way.

Django's own ``bulk_create`` splits by the number of SQL parameters (999 on SQLite), so that its query count
grows with the batch. These helpers run one ``executemany`` whatever the number of rows.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.db import connection, models


def _columns(model: type[models.Model], names: Sequence[str] | None) -> list[models.Field[Any, Any]]:
    fields: list[models.Field[Any, Any]] = list(model._meta.concrete_fields)
    if names is None:
        return fields
    wanted = set(names)
    return [field for field in fields if field.name in wanted or field.attname in wanted]


def _values(fields: Sequence[models.Field[Any, Any]], rows: Iterable[models.Model]) -> list[tuple[Any, ...]]:
    prepare = [(field.attname, field.get_db_prep_save) for field in fields]
    return [tuple(prep(getattr(row, name), connection) for name, prep in prepare) for row in rows]


def upsert(model: type[models.Model], rows: Sequence[models.Model], *, key: Sequence[str] = ("id",)) -> None:
    """Insert rows, or replace the ones whose ``key`` fields are there already. One statement."""
    if not rows:
        return
    fields = _columns(model, None)
    if isinstance(model._meta.pk, models.AutoField):
        fields = [field for field in fields if not field.primary_key]
    quote = connection.ops.quote_name
    keys = [field.column for field in _columns(model, key)]
    names = [field.column for field in fields]
    sets = ", ".join(f"{quote(name)} = EXCLUDED.{quote(name)}" for name in names if name not in keys)
    sql = (
        f"INSERT INTO {quote(model._meta.db_table)} ({', '.join(map(quote, names))})"
        f" VALUES ({', '.join(['%s'] * len(names))})"
        f" ON CONFLICT ({', '.join(map(quote, keys))}) DO " + (f"UPDATE SET {sets}" if sets else "NOTHING")
    )
    with connection.cursor() as cursor:
        cursor.executemany(sql, _values(fields, rows))


def insert(model: type[models.Model], rows: Sequence[models.Model]) -> None:
    """Insert rows that are known to be new. One statement."""
    if not rows:
        return
    fields = _columns(model, None)
    quote = connection.ops.quote_name
    names = ", ".join(quote(field.column) for field in fields)
    sql = f"INSERT INTO {quote(model._meta.db_table)} ({names}) VALUES ({', '.join(['%s'] * len(fields))})"
    with connection.cursor() as cursor:
        cursor.executemany(sql, _values(fields, rows))


def update(model: type[models.Model], rows: Sequence[models.Model], names: Sequence[str]) -> None:
    """Set the named fields of rows found by their primary key. One statement."""
    if not rows:
        return
    pk = model._meta.pk
    assert pk is not None
    fields = [*_columns(model, names), pk]
    quote = connection.ops.quote_name
    sets = ", ".join(f"{quote(field.column)} = %s" for field in fields[:-1])
    sql = f"UPDATE {quote(model._meta.db_table)} SET {sets} WHERE {quote(pk.column)} = %s"
    with connection.cursor() as cursor:
        cursor.executemany(sql, _values(fields, rows))


def delete(model: type[models.Model], keys: Iterable[object]) -> None:
    """Delete rows by primary key, without Django's cascade: the caller deletes what hangs on them.

    Foreign keys are checked when the transaction commits.
    """
    pk = model._meta.pk
    assert pk is not None
    values = [(pk.get_db_prep_value(key, connection, prepared=False),) for key in keys]
    if not values:
        return
    quote = connection.ops.quote_name
    sql = f"DELETE FROM {quote(model._meta.db_table)} WHERE {quote(pk.column)} = %s"
    with connection.cursor() as cursor:
        cursor.executemany(sql, values)
