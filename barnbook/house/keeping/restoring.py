"""Putting a back-up back: the old book is kept aside, and a new `book` is drawn, so that every phone sends once more
what the back-up lacks (see docs/wire.md). The house must be closed.

Which house this is afterwards: the back-up's, always, since `house` stands in the book. So its keys go with it: where
another house was here (a new machine, or one on which another book was begun), the back-up's keys take the place of
those here, which are in the book put aside. Of the same house the keys that are here stay; only what lacks is taken.
"""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.db import DatabaseError, connection, connections, transaction
from django.db.migrations.loader import MigrationLoader

from barnbook.barn.erasing import erased_list, replay_erasures
from barnbook.barn.models import Farm, House
from barnbook.barn.rights import merge_rights, replay_rights, rights_list
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

LEFTOVER = ".restoring-"


class RestoreError(Exception):
    """The text says why, what stands now (nothing was changed, but for the last steps), and what to do."""


@dataclass(frozen=True, slots=True)
class Restored:
    """made_at: of the back-up.  entries: in the book now.  aside: where the old book is; None when there was none.
    other_house: the book that was here was another house's.  told: what the owner should know of people."""

    made_at: str
    entries: int
    aside: Path | None
    other_house: bool = False
    told: tuple[str, ...] = ()


def restore(path: Path, *, now: datetime) -> Restored:
    """Put that back-up in the place of the book. The caller holds the data folder. Raises RestoreError."""
    _clear_leftovers()
    try:
        with tempfile.TemporaryDirectory(dir=settings.DATA, prefix=LEFTOVER) as made:
            folder = Path(made)
            about, copy = opened(path, folder)
            aside = _put_aside(now) if _a_book_is_here() else None
            same = _is_of_this_house(about, folder)
            _merge_erased(folder)
            merge_rights(folder / rights_list().name)
            with _keys_of(folder, same_house=same):
                _put_in_place(copy)
    except (CopyError, OSError, DatabaseError, sqlite3.Error) as error:
        raise RestoreError(
            f"{path.name} was not put back, and the book is as it was: {_why(error)}. Mend that and try again."
        ) from None
    try:
        call_command("migrate", interactive=False, verbosity=0)
        replay_erasures()
        told = replay_rights()
        _say_it_is_another_book(now)
    except (OSError, DatabaseError) as error:
        raise RestoreError(
            f"{path.name} was put back and is not finished: {_why(error)}. Mend that and restore it once more before "
            "the house is opened."
        ) from None
    return Restored(str(about["made_at"]), Entry.objects.count(), aside, aside is not None and not same, tuple(told))


def _why(error: Exception) -> str:
    why = f"{error.strerror or error} ({settings.DATA})" if isinstance(error, OSError) else str(error)
    return why.strip().rstrip(".")


def _clear_leftovers() -> None:
    """Of a restore that was killed: its copy of the book and of the keys. Nobody else is at it: the folder is held."""
    for left in Path(settings.DATA).glob(f"{LEFTOVER}*"):
        shutil.rmtree(left, ignore_errors=True)


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
    damaged = f"{path.name} is damaged or no back-up of Barnbook: choose another."
    try:
        opened_file = zipfile.ZipFile(path)
    except OSError as error:
        raise RestoreError(f"{path} cannot be read: {error.strerror or error}.") from None
    except zipfile.BadZipFile:
        raise RestoreError(damaged) from None
    try:
        with opened_file as file:
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
    except (KeyError, ValueError):
        raise RestoreError(not_one) from None
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError):
        # Cut short, spoilt within, packed in a way that zipfile does not know, or under a password.
        raise RestoreError(damaged) from None


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
    stem = folder = shelf.folder() / f"aside-{now:%Y-%m-%dT%H%M%SZ}"
    number = 1
    while folder.exists():
        number += 1
        folder = stem.with_name(f"{stem.name}-{number}")
    folder.mkdir(mode=0o700, parents=True)
    for file in (*_sqlite_files(), *(Path(settings.DATA) / name for name in BESIDE)):
        if file.is_dir():
            shutil.copytree(file, folder / file.name)
        elif file.exists():
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


def _is_of_this_house(about: dict[str, Any], folder: Path) -> bool:
    """Whether the back-up is of the house that is here. One whose book cannot be read is known by its key."""
    try:
        there = "barn_house" in connection.introspection.table_names()
        here = House.objects.values_list("house", flat=True).first() if there else None
    except DatabaseError:
        ours, theirs = Path(settings.DATA) / "secret-key", folder / "secret-key"
        return ours.exists() and theirs.exists() and ours.read_bytes() == theirs.read_bytes()
    return here is not None and str(here) == about.get("house")


@contextmanager
def _keys_of(folder: Path, *, same_house: bool) -> Iterator[None]:
    """Take the keys by which phones know the back-up's house; what was here is back if what follows fails.

    They come before the book: a restore that is killed in between is begun again, and still finds another house here.
    """
    before = folder / "before"
    before.mkdir()
    taken = []
    try:
        for key in KEYS:
            ours, theirs = Path(settings.DATA) / key, folder / key
            if not theirs.exists() or (same_house and ours.exists()):
                continue
            for path in [theirs, *theirs.rglob("*")] if theirs.is_dir() else [theirs]:
                path.chmod(0o700 if path.is_dir() else 0o600)
            if ours.exists():
                ours.rename(before / key)
            taken.append(key)
            theirs.rename(ours)
        yield
    except BaseException:
        for key in taken:
            ours = Path(settings.DATA) / key
            if ours.exists():
                ours.rename(folder / f"not-{key}")
            if (before / key).exists():
                (before / key).rename(ours)
        raise


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
