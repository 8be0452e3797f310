"""Write many rows with one prepared statement each way, by columns.

Django's own ``bulk_create`` splits by the number of SQL parameters (999 on SQLite), so that its query count
grows with the batch, and it makes a model instance a row. These helpers run one ``executemany`` whatever the
number of rows, and convert a column at a time.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from django.db import DEFAULT_DB_ALIAS, connections, models

Fields = Sequence["models.Field[Any, Any]"]
Row = tuple[Any, ...]

#: Fields whose values both databases take as they are.
_AS_IT_IS = (models.CharField, models.TextField, models.IntegerField, models.FloatField, models.BooleanField)
#: Fields whose values are worth converting once each: a batch names few days and few moments.
_ONCE_EACH = (models.DateField, models.ForeignKey)


def upsert(model: type[models.Model], rows: Sequence[models.Model], *, key: Sequence[str] = ("id",)) -> None:
    """Insert rows, or replace the ones whose ``key`` fields are there already. One statement."""
    names = attnames(model)
    upsert_rows(model, names, [tuple(getattr(row, name) for name in names) for row in rows], key=key)


def upsert_rows(
    model: type[models.Model], names: Sequence[str], rows: Sequence[Row], *, key: Sequence[str] = ("id",)
) -> None:
    """The same for plain tuples of the values that ``names`` names."""
    if not rows:
        return
    fields = _fields(model, names)
    keys = [_column(field) for field in _fields(model, key)]
    sets = [f"{name} = EXCLUDED.{name}" for name in map(_column, fields) if name not in keys]
    action = f"UPDATE SET {', '.join(sets)}" if sets else "NOTHING"
    _many(f"{_insert(model, fields)} ON CONFLICT ({', '.join(keys)}) DO {action}", fields, rows)


def insert_rows(model: type[models.Model], names: Sequence[str], rows: Sequence[Row]) -> None:
    """Insert rows that are known to be new. One statement."""
    if rows:
        fields = _fields(model, names)
        _many(_insert(model, fields), fields, rows)


def update_rows(model: type[models.Model], names: Sequence[str], rows: Sequence[Row]) -> None:
    """Set the named fields of rows; the last value of each tuple is the primary key. One statement."""
    if not rows:
        return
    fields = _fields(model, names)
    sets = ", ".join(f"{_column(field)} = %s" for field in fields)
    sql = f"UPDATE {_table(model)} SET {sets} WHERE {_column(_pk(model))} = %s"
    _many(sql, [*fields, _pk(model)], rows)


def set_all(model: type[models.Model], name: str, value: str, ids: Collection[UUID]) -> None:
    """Set one text field of the rows with these ids to the same value. One statement."""
    if not ids:
        return
    [field] = _fields(model, [name])
    sql = f"UPDATE {_table(model)} SET {_column(field)} = %s WHERE {_column(_pk(model))} IN ({_marks(ids)})"
    with connections[DEFAULT_DB_ALIAS].cursor() as cursor:
        cursor.execute(sql, [value, *map(_id_as_kept(), ids)])


def among(
    model: type[models.Model], ids: Collection[UUID], *names: str, key: str = "id", where: str = ""
) -> list[Row]:
    """(key, values of ``names``) of the rows whose ``key`` is one of ``ids``; ``where`` is more SQL.

    The key comes back as the UUID that was asked for; the other values as the database has them, so name only
    texts and numbers. Nothing is made of what is not found, and no model instance of what is.
    """
    if not ids:
        return []
    keep = _id_as_kept()
    asked = {keep(id): id for id in ids}
    fields = _fields(model, [key, *names])
    sql = f"SELECT {', '.join(map(_column, fields))} FROM {_table(model)}"
    sql += f" WHERE {_column(fields[0])} IN ({_marks(ids)}){f' AND {where}' if where else ''}"
    with connections[DEFAULT_DB_ALIAS].cursor() as cursor:
        cursor.execute(sql, list(asked))
        return [(asked[row[0]], *row[1:]) for row in cursor.fetchall()]


def delete(model: type[models.Model], keys: Iterable[object]) -> None:
    """Delete rows by primary key, without Django's cascade: the caller deletes what hangs on them.

    Foreign keys are checked when the transaction commits.
    """
    rows = [(key,) for key in keys]
    if rows:
        _many(f"DELETE FROM {_table(model)} WHERE {_column(_pk(model))} = %s", [_pk(model)], rows)


def clear(model: type[models.Model]) -> None:
    """Delete all rows of a model, and nothing that hangs on them."""
    with connections[DEFAULT_DB_ALIAS].cursor() as cursor:
        cursor.execute(f"DELETE FROM {_table(model)}")


def attnames(model: type[models.Model]) -> list[str]:
    """The names of all columns but an id that the database counts up itself."""
    return [field.attname for field in model._meta.concrete_fields if not isinstance(field, models.AutoField)]


def _many(sql: str, fields: Fields, rows: Sequence[Row]) -> None:
    columns = [
        _converted(field, column) for field, column in zip(fields, zip(*rows, strict=True), strict=True)
    ]
    with connections[DEFAULT_DB_ALIAS].cursor() as cursor:
        cursor.executemany(sql, list(zip(*columns, strict=True)))


def _converted(field: models.Field[Any, Any], column: Sequence[Any]) -> Sequence[Any]:
    """A column's values as the database takes them."""
    if isinstance(field, _AS_IT_IS):
        return column
    connection = connections[DEFAULT_DB_ALIAS]
    convert: Callable[..., Any] = field.get_db_prep_save
    if isinstance(_plain(field), models.UUIDField):
        keep = _id_as_kept()
        return [keep(value) if type(value) is UUID else convert(value, connection) for value in column]
    if isinstance(field, models.DateTimeField) and connection.vendor == "sqlite":
        return [_moment(value) or convert(value, connection) for value in column]
    if isinstance(field, _ONCE_EACH):
        known = {value: convert(value, connection) for value in set(column)}
        return [known[value] for value in column]
    if isinstance(field, models.JSONField):
        adapt = connection.ops.adapt_json_value
        # JSON null is a value, where the column must have one.
        return [None if value is None and field.null else adapt(value, field.encoder) for value in column]
    return [None if value is None else convert(value, connection) for value in column]


def _plain(field: models.Field[Any, Any]) -> models.Field[Any, Any]:
    """The field that a foreign key points to, or the field itself."""
    return field.target_field if isinstance(field, models.ForeignKey) else field


def _id_as_kept() -> Callable[[UUID], Any]:
    """How the database keeps a UUID: as it is, or as 32 hex digits."""
    if connections[DEFAULT_DB_ALIAS].features.has_native_uuid_field:
        return lambda id: id
    return lambda id: id.hex


def _moment(value: Any) -> str | None:
    """A moment in UTC as Django writes it for SQLite, or None for what needs more care."""
    known = type(value) is datetime and value.tzinfo is UTC
    return str(value.replace(tzinfo=None)) if known else None


def _marks(ids: Collection[Any]) -> str:
    return ", ".join(["%s"] * len(ids))


def _insert(model: type[models.Model], fields: Fields) -> str:
    names = ", ".join(map(_column, fields))
    return f"INSERT INTO {_table(model)} ({names}) VALUES ({', '.join(['%s'] * len(fields))})"


def _fields(model: type[models.Model], names: Sequence[str]) -> Fields:
    fields = model._meta.concrete_fields
    found = {field.name: field for field in fields} | {field.attname: field for field in fields}
    return [found[name] for name in names]


def _pk(model: type[models.Model]) -> models.Field[Any, Any]:
    assert model._meta.pk is not None
    return model._meta.pk


def _table(model: type[models.Model]) -> str:
    return connections[DEFAULT_DB_ALIAS].ops.quote_name(model._meta.db_table)


def _column(field: models.Field[Any, Any]) -> str:
    assert field.column is not None
    return connections[DEFAULT_DB_ALIAS].ops.quote_name(field.column)
