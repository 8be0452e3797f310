"""Write many rows with one prepared statement each way.

Django's own ``bulk_create`` splits by the number of SQL parameters (999 on SQLite), so that its query count
grows with the batch. These helpers run one ``executemany`` whatever the number of rows.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.db import connection, models

Fields = Sequence["models.Field[Any, Any]"]


def upsert(model: type[models.Model], rows: Sequence[models.Model], *, key: Sequence[str] = ("id",)) -> None:
    """Insert rows, or replace the ones whose ``key`` fields are there already. One statement."""
    if not rows:
        return
    fields = _insertable(model)
    keys = [_column(field) for field in _fields(model, key)]
    sets = [f"{name} = EXCLUDED.{name}" for name in map(_column, fields) if name not in keys]
    action = f"UPDATE SET {', '.join(sets)}" if sets else "NOTHING"
    _many(f"{_insert(model, fields)} ON CONFLICT ({', '.join(keys)}) DO {action}", _values(fields, rows))


def insert(model: type[models.Model], rows: Sequence[models.Model]) -> None:
    """Insert rows that are known to be new. One statement."""
    if rows:
        fields = _insertable(model)
        _many(_insert(model, fields), _values(fields, rows))


def update(model: type[models.Model], rows: Sequence[models.Model], names: Sequence[str]) -> None:
    """Set the named fields of rows found by their primary key. One statement."""
    if not rows:
        return
    pk = _pk(model)
    fields = _fields(model, names)
    sets = ", ".join(f"{_column(field)} = %s" for field in fields)
    _many(f"UPDATE {_table(model)} SET {sets} WHERE {_column(pk)} = %s", _values([*fields, pk], rows))


def delete(model: type[models.Model], keys: Iterable[object]) -> None:
    """Delete rows by primary key, without Django's cascade: the caller deletes what hangs on them.

    Foreign keys are checked when the transaction commits.
    """
    pk = _pk(model)
    values = [(pk.get_db_prep_value(key, connection, prepared=False),) for key in keys]
    if values:
        _many(f"DELETE FROM {_table(model)} WHERE {_column(pk)} = %s", values)


def clear(model: type[models.Model]) -> None:
    """Delete all rows of a model, and nothing that hangs on them."""
    with connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {_table(model)}")


def _many(sql: str, values: Sequence[tuple[Any, ...]]) -> None:
    with connection.cursor() as cursor:
        cursor.executemany(sql, values)


def _insert(model: type[models.Model], fields: Fields) -> str:
    names = ", ".join(map(_column, fields))
    return f"INSERT INTO {_table(model)} ({names}) VALUES ({', '.join(['%s'] * len(fields))})"


def _insertable(model: type[models.Model]) -> Fields:
    """All fields but an id that the database counts up itself."""
    fields = model._meta.concrete_fields
    return [field for field in fields if not isinstance(field, models.AutoField)]


def _fields(model: type[models.Model], names: Sequence[str]) -> Fields:
    found = {field.name: field for field in model._meta.concrete_fields}
    return [found[name] for name in names]


def _pk(model: type[models.Model]) -> models.Field[Any, Any]:
    assert model._meta.pk is not None
    return model._meta.pk


def _table(model: type[models.Model]) -> str:
    return connection.ops.quote_name(model._meta.db_table)


def _column(field: models.Field[Any, Any]) -> str:
    assert field.column is not None
    return connection.ops.quote_name(field.column)


def _values(fields: Fields, rows: Iterable[models.Model]) -> list[tuple[Any, ...]]:
    prepare = [(field.attname, field.get_db_prep_save) for field in fields]
    return [tuple(prep(getattr(row, name), connection) for name, prep in prepare) for row in rows]
