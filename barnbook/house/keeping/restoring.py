"""Putting a back-up back: the old book is kept aside, and a new `book` is drawn, so that every phone sends once more
what the back-up lacks (see docs/wire.md). The house must be closed.
"""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import tempfile
import zipfile
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.db import DatabaseError, connection, connections, transaction
from django.db.migrations.loader import MigrationLoader

from barnbook.barn.erasing import erased_list, replay_erasures
from barnbook.barn.models import Farm
from barnbook.barn.to_reckon import reckon_again
from barnbook.house.keeping import shelf
from barnbook.house.keeping.backing_up import ABOUT, BESIDE, FORMAT, KEYS, BackUpError, back_up
from barnbook.house.keeping.copying import (
    POSTGRESQL_NAME,
    SQLITE_NAME,
    CopyError,
    engine,
    look_through,
    put_back_postgresql,
)
from barnbook.journal import high_water
from barnbook.journal.models import Entry


class RestoreError(Exception):
    """Nothing was changed: the text says why, and what to do."""


@dataclass(frozen=True, slots=True)
class Restored:
    """made_at: of the back-up.  entries: in the book now.  aside: where the old book is; None when there was none."""

    made_at: str
    entries: int
    aside: Path | None


def restore(path: Path, *, now: datetime) -> Restored:
    """Put that back-up in the place of the book. The caller holds the data folder. Raises RestoreError."""
    with tempfile.TemporaryDirectory(dir=settings.DATA, prefix=".restoring-") as folder:
        about, copy = opened(path, Path(folder))
        was_here = _a_book_is_here()
        aside = _put_aside(now) if was_here else None
        if not was_here:
            _take_keys(Path(folder))
        try:
            _put_in_place(copy)
        except CopyError as error:
            raise RestoreError(f"{path.name} was not put back, and the book is as it was: {error}") from None
        _merge_erased(Path(folder))
    call_command("migrate", interactive=False, verbosity=0)
    replay_erasures()
    _say_it_is_another_book(now)
    return Restored(str(about["made_at"]), Entry.objects.count(), aside)


def opened(path: Path, folder: Path) -> tuple[dict[str, Any], Path]:
    """What a back-up says of itself, and its copy of the book, taken out into that folder and looked through; beside
    it its keys. Raises RestoreError where this house cannot put it back."""
    about, copy = _unpack(path, folder)
    _check_versions(about)
    _check_engine(about)
    try:
        look_through(copy)
    except CopyError as error:
        raise RestoreError(f"{path.name} was not put back: {error} Choose another back-up.") from None
    return about, copy


def _unpack(path: Path, folder: Path) -> tuple[dict[str, Any], Path]:
    not_one = f"{path.name} is no back-up of Barnbook: choose a file that `barnbook backup` or the night made."
    try:
        with zipfile.ZipFile(path) as file:
            about = json.loads(file.read(ABOUT))
            if not isinstance(about, dict) or about.get("barnbook") != "back-up":
                raise RestoreError(not_one)
            if about.get("format") != FORMAT:
                raise RestoreError(f"{path.name} was made by a newer Barnbook: upgrade this one first.")
            names = [name for name in (SQLITE_NAME, POSTGRESQL_NAME) if name in file.namelist()]
            if not names:
                raise RestoreError(not_one)
            for name in file.namelist():
                if name.split("/")[0] in BESIDE or name in names:
                    file.extract(name, folder)  # zipfile keeps names within the folder
            return about, folder / names[0]
    except OSError as error:
        raise RestoreError(f"{path} cannot be read: {error.strerror or error}.") from None
    except (KeyError, ValueError):
        raise RestoreError(not_one) from None
    except zipfile.BadZipFile:
        raise RestoreError(f"{path.name} is damaged or no back-up of Barnbook: choose another.") from None


def _check_versions(about: dict[str, Any]) -> None:
    known = {f"{app}.{name}" for app, name in MigrationLoader(None).disk_migrations}
    if set(about.get("migrations", ())) - known:
        raise RestoreError(
            f"This back-up was made by a newer Barnbook ({about.get('version')}): upgrade this one first, then restore."
        )


def _check_engine(about: dict[str, Any]) -> None:
    if about.get("engine") != engine():
        raise RestoreError(
            f"This back-up is of a book kept in {about.get('engine')}, and this house keeps its book in {engine()}: "
            "move it as an archive instead (`barnbook archive` there, `barnbook read_archive` here)."
        )


def _a_book_is_here() -> bool:
    try:
        return "barn_farm" in connection.introspection.table_names() and Farm.objects.exists()
    except DatabaseError:
        return True  # one that cannot be read any more


def _put_aside(now: datetime) -> Path:
    """Keep the book that is here. One that cannot be copied (damaged) is kept byte by byte."""
    try:
        return back_up("aside", now=now).path
    except BackUpError as error:
        if engine() != "sqlite":
            raise RestoreError(
                f"The book that is here could not be kept aside, so nothing was restored. {error}"
            ) from None
    connections.close_all()
    folder = shelf.folder() / f"aside-{now:%Y-%m-%dT%H%M%SZ}"
    folder.mkdir()
    for file in _sqlite_files():
        if file.exists():
            shutil.copy2(file, folder)
    return folder


def _put_in_place(copy: Path) -> None:
    connections.close_all()
    if engine() != "sqlite":
        put_back_postgresql(copy)
        return
    book, log, index = _sqlite_files()
    # The old log first folded into the old book, then away: beside the new book it would be read as the new one's.
    if book.exists():
        with closing(sqlite3.connect(book)) as old, suppress(sqlite3.Error):  # damaged: it is kept aside as it was
            old.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    log.unlink(missing_ok=True)
    index.unlink(missing_ok=True)
    os.chmod(copy, 0o600)
    with copy.open("rb+") as file:
        os.fsync(file.fileno())
    os.replace(copy, book)


def _sqlite_files() -> tuple[Path, Path, Path]:
    book = Path(settings.DATABASES["default"]["NAME"])
    return book, book.with_name(f"{book.name}-wal"), book.with_name(f"{book.name}-shm")


def _take_keys(folder: Path) -> None:
    """On a new machine: the keys by which phones know this house, in place of those made a moment ago."""
    for key in KEYS:
        ours, theirs = Path(settings.DATA) / key, folder / key
        if not theirs.exists():
            continue
        if theirs.is_dir():
            shutil.rmtree(ours, ignore_errors=True)
            shutil.copytree(theirs, ours)
        else:
            ours.unlink(missing_ok=True)
            shutil.copy(theirs, ours)
        for path in [ours, *ours.rglob("*")] if ours.is_dir() else [ours]:
            path.chmod(0o700 if path.is_dir() else 0o600)


def _merge_erased(folder: Path) -> None:
    """Whoever was erased before the back-up or since stays erased."""
    lists = [path for path in (erased_list(), folder / erased_list().name) if path.exists()]
    lines = dict.fromkeys(line for path in lists for line in path.read_text(encoding="ascii").splitlines())
    if lines:
        new = folder / "erased"
        new.write_text("".join(f"{line}\n" for line in lines), encoding="ascii")
        os.replace(new, erased_list())


def _say_it_is_another_book(now: datetime) -> None:
    high_water.new_book()
    for farm in Farm.objects.all():
        with transaction.atomic():
            reckon_again(Farm.objects.locked(farm.pk), {"farm"}, now)
