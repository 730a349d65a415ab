"""A consistent copy of the database while it is being written in, and whether such a copy can be opened.

SQLite: its online back-up, in one step under one read lock, so that writers are neither stopped nor seen by half.
PostgreSQL: pg_dump, which reads one snapshot.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
from contextlib import closing
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.db import connection

SQLITE_NAME, POSTGRESQL_NAME = "book.sqlite3", "book.pgdump"


class CopyError(Exception):
    """The copy could not be made or cannot be opened: one sentence for the owner."""


def engine() -> str:
    """ "sqlite" or "postgresql"."""
    return connection.vendor


def name_of_copy() -> str:
    """What the database's copy is called within a back-up."""
    return SQLITE_NAME if engine() == "sqlite" else POSTGRESQL_NAME


def copy_book(to: Path) -> None:
    """Copy the book as it stands now to that new file. Raises CopyError."""
    if engine() == "sqlite":
        _copy_sqlite(Path(settings.DATABASES["default"]["NAME"]), to)
    else:
        pg("pg_dump", "--format=custom", "--no-owner", f"--file={to}", *_database())


def look_through(copy: Path) -> int:
    """Open a copy and read all of it: how many entries it holds. Raises CopyError where it is not whole."""
    if copy.name == SQLITE_NAME:
        return _look_through_sqlite(copy)
    pg("pg_restore", f"--file={os.devnull}", str(copy))  # reads every block of every table
    return -1


def _copy_sqlite(book: Path, to: Path) -> None:
    try:
        with (
            closing(sqlite3.connect(f"{book.as_uri()}?mode=ro", uri=True, timeout=20)) as source,
            closing(sqlite3.connect(to)) as copy,
        ):
            source.backup(copy)
            # A copy that somebody opens should be one file, with no write-ahead log beside it.
            copy.execute("PRAGMA journal_mode=DELETE")
    except (sqlite3.Error, OSError) as error:
        raise CopyError(f"The book could not be copied to {to.parent} ({error}).") from None


def _look_through_sqlite(copy: Path) -> int:
    try:
        with closing(sqlite3.connect(f"{copy.as_uri()}?mode=ro&immutable=1", uri=True)) as opened:
            (said,) = opened.execute("PRAGMA integrity_check(1)").fetchone()
            if said != "ok":
                raise CopyError(f"This copy of the book is damaged ({said}).")
            if broken := opened.execute("PRAGMA foreign_key_check").fetchone():
                raise CopyError(f"This copy of the book is damaged (a row of {broken[0]} names one that is lacking).")
            return int(opened.execute("SELECT count(*) FROM journal_entry").fetchone()[0])
    except sqlite3.Error as error:
        raise CopyError(f"This copy of the book cannot be opened ({error}).") from None


def _database() -> list[str]:
    """The connection as libpq's programs take it; the password goes by the environment."""
    chosen = settings.DATABASES["default"]
    words = [f"--dbname={chosen['NAME']}"]
    for name, word in (("HOST", "host"), ("PORT", "port"), ("USER", "username")):
        if chosen.get(name):
            words.append(f"--{word}={chosen[name]}")
    return words


def put_back_postgresql(dump: Path) -> None:
    """Everything in the database as the dump has it, in one transaction. Raises CopyError; then nothing is changed.

    Our own tables go first, those too that a later Barnbook has added: pg_restore's own cleaning drops only what the
    dump names, and is stopped by a later table that names one of those.
    """
    with connection.cursor() as cursor:
        tables = connection.introspection.table_names(cursor)
    connection.close()
    ours = [connection.ops.quote_name(name) for name in tables if name.split("_")[0] in _labels()]
    script, away = dump.with_name("put-back.sql"), dump.with_name("away.sql")
    pg("pg_restore", "--clean", "--if-exists", "--no-owner", f"--file={script}", str(dump))
    away.write_text(f"DROP TABLE {', '.join(ours)} CASCADE;\n" if ours else "", encoding="utf-8")
    options = ["--no-psqlrc", "--quiet", f"--output={os.devnull}", "--single-transaction", "--set=ON_ERROR_STOP=1"]
    pg("psql", *options, *_database(), f"--file={away}", f"--file={script}")


def _labels() -> set[str]:
    """The first word of every table of ours and of Django's parts that we use."""
    return {"django", *(app.label for app in apps.get_app_configs())}


def pg(program: str, *arguments: str) -> None:
    """One of PostgreSQL's own programs. Raises CopyError."""
    where = shutil.which(program)
    if where is None:
        raise CopyError(
            f"The program {program} is not on this machine: install PostgreSQL's client programs, of the server's "
            "version or newer (Debian: postgresql-client)."
        )
    password = settings.DATABASES["default"].get("PASSWORD")
    environment = os.environ | ({"PGPASSWORD": password} if password else {})
    done = subprocess.run([where, *arguments], env=environment, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        lines = done.stderr.strip().splitlines()
        first = next((line for line in lines if "ERROR" in line or "error" in line), *lines[:1] or ["it said nothing"])
        raise CopyError(f"{program} could not do it ({first}).")
