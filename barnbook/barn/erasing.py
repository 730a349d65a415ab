"""Erasing a person outside the barn for good: the row, its traces in the book's file, and in what is put back later.

The ids of those erased are kept in a file apart from the book, because a back-up made before the erasure still holds
the person: whoever puts one back calls `replay_erasures` before anybody is served. An id says nothing of whom it was.
"""

from __future__ import annotations

import logging
import os
import re
import threading
import uuid
from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import DatabaseError, connection, transaction
from django.db.models import CharField, Q, TextField

from barnbook.barn.models import Customer, ReportLink, ReportRemark, Shipment

log = logging.getLogger(__name__)

_lock = threading.Lock()
TABLES = (Customer, ReportRemark, ReportLink)
PATIENCE_MS = 1000
WHOLE = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}\b")
"""How long the owner waits for those who are reading or writing; after that the traces are left to the sweep."""


def erased_list() -> Path:
    """The list of those erased: a line each, `<id> <day>`. It is only ever added to; a back-up carries a copy, and
    after a restore the list is what either copy names."""
    return Path(settings.DATA) / "erased-people.txt"


def _due() -> Path:
    """Is there while traces in the book's file are still to be removed."""
    return Path(settings.DATA) / "erased-traces-due"


def is_erased(id_: uuid.UUID) -> bool:
    """Whether that id was somebody's who was erased: it is never anybody's again."""
    return id_ in _erased()


def erase(farm_id: uuid.UUID, id_: uuid.UUID, *, today: date) -> bool:
    """Erase one person for good. Returns whether no trace is left in the file yet; if not, `remove_traces` is due.

    The list is written first: a house that is killed in between has erased nobody, or will at its next start.
    """
    if not Customer.objects.of(farm_id).filter(pk=id_).exists():
        return True
    _add([id_], today)
    _due().touch()
    with transaction.atomic():
        _take_away([id_])
    return remove_traces()


def erase_remark(farm_id: uuid.UUID, shipment: uuid.UUID) -> None:
    """Erase for good what was remarked on that shipment, whoever wrote it."""
    _due().touch()
    ReportRemark.objects.of(farm_id).filter(shipment=shipment).delete()
    remove_traces()


def replay_erasures() -> int:
    """Take away whoever was erased before and stands in the book again (an older copy was put back), with what they
    remarked. Returns how many rows that were."""
    with transaction.atomic():
        again = _take_away(_erased())
    if again:
        _due().touch()
    remove_traces()
    return again


def remove_traces() -> bool:
    """Write the book's file anew without what was taken away, if that is due. Returns whether it is done now.

    SQLite only marks a row as free; the text stays in the file, and in the log of pages beside it. While somebody else
    writes it cannot be done: it stays due, and is tried again every few minutes.
    """
    if not _due().exists():
        return True
    if connection.in_atomic_block:
        return False
    try:
        with connection.cursor() as cursor:
            done = _scrub_sqlite(cursor) if connection.vendor == "sqlite" else _scrub_postgresql(cursor)
    except DatabaseError:
        log.warning("The traces of somebody erased could not be removed from the book's file now; it is tried again")
        return False
    if done:
        _due().unlink(missing_ok=True)
    return done


def _scrub_sqlite(cursor: Any) -> bool:
    before = cursor.execute("PRAGMA busy_timeout").fetchone()[0]
    cursor.execute(f"PRAGMA busy_timeout = {PATIENCE_MS}")
    try:
        cursor.execute("VACUUM")
        # The new file is written through the log of pages, whose older pages still hold the text: it is cut to nothing.
        # Someone who is reading an older state at this moment hinders it.
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        return not cursor.fetchone()[0]
    finally:
        cursor.execute(f"PRAGMA busy_timeout = {before}")


def _scrub_postgresql(cursor: Any) -> bool:
    """Of the tables, and of the planner's statistics, which hold common values word for word. The server's log of its
    changes (pg_wal) is its own: what it had there it writes over in time."""
    # The server's own vacuum gives way to whoever has waited for a second (its deadlock_timeout).
    cursor.execute(f"SET lock_timeout = {3 * PATIENCE_MS}")
    try:
        for model in TABLES:
            table = connection.ops.quote_name(model._meta.db_table)
            columns = [
                (connection.ops.quote_name(str(field.column)), field.db_type(connection))
                for field in model._meta.concrete_fields
                if isinstance(field, CharField | TextField)
            ]
            # No more statistics of what was written; those there are go with a change of type, to the same type.
            changes = [f"ALTER {name} SET STATISTICS 0, ALTER {name} TYPE {type_}" for name, type_ in columns]
            if changes:
                cursor.execute(f"ALTER TABLE {table} {', '.join(changes)}")
            cursor.execute(f"VACUUM FULL {table}")
        cursor.execute("VACUUM FULL pg_catalog.pg_statistic")
    finally:
        cursor.execute("SET lock_timeout = DEFAULT")
    return True


def _take_away(ids: Iterable[uuid.UUID]) -> int:
    """The person, what they remarked, and the links they were given. What the journal says of eggs stays."""
    ids = list(ids)
    theirs = Shipment.objects.filter(customer__in=ids).values("pk")
    found = Customer.objects.filter(pk__in=ids).delete()[0]
    found += ReportRemark.objects.filter(Q(customer__in=ids) | Q(shipment__in=theirs)).delete()[0]
    ReportLink.objects.filter(shipment__in=theirs).delete()
    return found


def _erased() -> set[uuid.UUID]:
    try:
        lines = erased_list().read_text(encoding="ascii").splitlines()
    except FileNotFoundError:
        return set()
    return {uuid.UUID(line[:36]) for line in lines if WHOLE.match(line)}  # a line cut off by a lost power says nobody


def _add(ids: Iterable[uuid.UUID], today: date) -> None:
    with _lock, erased_list().open("a", encoding="ascii") as file:
        file.writelines(f"{id_} {today.isoformat()}\n" for id_ in ids)
        file.flush()
        os.fsync(file.fileno())
