"""Making a back-up: one zip file that holds the book and the keys of the house, verified before it counts as made.

Whoever has the file can set the house up again on another machine, so it is as private as the house's own key.
"""

from __future__ import annotations

import hashlib
import json
import logging
import os
import shutil
import tempfile
import threading
import time
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import DatabaseError, connection
from django.db.migrations.recorder import MigrationRecorder

from barnbook.api.version import VERSION
from barnbook.barn.models import Farm, House
from barnbook.house.data_folder import take
from barnbook.house.keeping import shelf
from barnbook.house.keeping.copying import CopyError, copy_book, engine, look_through, name_of_copy
from barnbook.journal.models import Entry
from barnbook.work.nightly import night_of

log = logging.getLogger(__name__)

FORMAT = 1
ABOUT = "about.json"
KEYS = ("secret-key", "home")  # files and folders of the data folder that a new machine needs as they were
# And the lists of those erased and of what people may do, see barnbook/barn/erasing.py and rights.py.
BESIDE = (*KEYS, "erased-people.txt", "rights.jsonl")
ONE_DAY = timedelta(days=1)
AGAIN_AFTER = timedelta(hours=1)  # after a failure
STEPS = 4  # copied, looked through, packed, opened again
PATIENCE_S = 300  # while another is made: a book of many years on a slow card takes minutes

_one_at_a_time = threading.Lock()


class BackUpError(Exception):
    """No back-up was made: the text says why, and what to do."""


@dataclass(frozen=True, slots=True)
class LastTry:
    """When a back-up was last tried, and why it failed ("" when it did not)."""

    at: datetime
    failed: str = ""


def back_up(
    reason: str, *, now: datetime, to: Path | None = None, tell: Callable[[int], None] = lambda done: None
) -> shelf.BackUp:
    """Make a back-up, look it through, and let go of those that need not be kept. Raises BackUpError.

    tell: hears how many of the STEPS are done.
    """
    where = shelf.folder() if to is None else to
    try:
        with _one_at_a_time, _alone():
            made = _make(where, reason, now, tell)
    except (CopyError, OSError, DatabaseError, zipfile.BadZipFile) as error:
        why = (error.strerror or str(error)) if isinstance(error, OSError) else str(error)
        _note(LastTry(now, why))
        raise BackUpError(
            f"No back-up could be made in {where}: {why.rstrip('.')}. Make room there, or give BARNBOOK_BACKUPS "
            "another folder, and run `barnbook backup` again."
        ) from None
    _note(LastTry(now))
    if to is None:
        for old in shelf.to_drop(shelf.found(where), now=now):
            old.path.unlink(missing_ok=True)
    return made


def back_up_if_due(now: datetime) -> shelf.BackUp | None:
    """The nightly back-up, if the last night has none yet. To be asked at each start and every few minutes, so that
    a laptop that slept through the night makes it good when it wakes."""
    if not is_due(now):
        return None
    try:
        return back_up("night", now=now)
    except BackUpError as error:
        log.error("%s", error)  # and tried again in an hour
        return None


def is_due(now: datetime) -> bool:
    """Whether somebody's book is here, and the night that was the last has no nightly back-up."""
    farm = Farm.objects.filter(example=False).order_by("pk").first()
    if farm is None:
        return False  # the example farm alone can be made again
    tried = last_try()
    if tried is not None and tried.failed and timedelta() <= now - tried.at < AGAIN_AFTER:
        return False  # (one of a time to come was under a wrong clock)
    # One of a day to come was made under a wrong clock: it must not hold up those of years.
    nights = [each.made_at for each in shelf.found() if each.reason == "night" and each.made_at < now + ONE_DAY]
    return not nights or night_of(farm, max(nights)) < night_of(farm, now)


def last_try() -> LastTry | None:
    """What came of the last try; None when there was none."""
    try:
        told = json.loads(_notes().read_text(encoding="utf-8"))
        return LastTry(datetime.fromisoformat(told["at"]), str(told["failed"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None


@contextmanager
def _alone() -> Iterator[None]:
    """No other process of this house makes a back-up meanwhile. Raises CopyError when it takes too long."""
    end = time.monotonic() + PATIENCE_S
    while (held := take(Path(settings.DATA) / "backup.lock")) is None:
        if time.monotonic() > end:
            raise CopyError("another back-up is being made")
        time.sleep(0.2)
    with held:
        yield


def _making() -> str:
    """What our unfinished folders are called: two houses may keep their back-ups in one place."""
    return f".making-{hashlib.sha256(str(settings.DATA).encode()).hexdigest()[:8]}-"


def _make(where: Path, reason: str, now: datetime, tell: Callable[[int], None]) -> shelf.BackUp:
    where.mkdir(mode=0o700, parents=True, exist_ok=True)
    for left in where.glob(f"{_making()}*"):  # of a back-up that was killed: we are alone
        shutil.rmtree(left, ignore_errors=True)
    with tempfile.TemporaryDirectory(dir=where, prefix=_making()) as making:
        copy = Path(making) / name_of_copy()
        copy_book(copy)
        tell(1)
        entries = look_through(copy)
        tell(2)
        packed = Path(making) / "packed.zip"
        packed.touch(mode=0o600)
        _pack(packed, copy, _about(now, entries))
        copy.unlink()
        tell(3)
        _verify(packed, entries, Path(making))
        _to_disk(packed)
        tell(4)
        path = shelf.free_name(where, now, reason)
        os.replace(packed, path)
    return shelf.read(path)


def _about(now: datetime, entries: int) -> dict[str, Any]:
    # By their names alone: before an upgrade the tables have the columns that they had.
    house, book = House.objects.values_list("house", "book").first() or ("", "")
    return {
        "barnbook": "back-up",
        "format": FORMAT,
        "made_at": now.isoformat(timespec="seconds"),
        "version": VERSION,
        "engine": engine(),
        "house": str(house),
        "book": str(book),
        "farms": list(Farm.objects.order_by("name").values_list("name", flat=True)),
        "entries": Entry.objects.count() if entries < 0 else entries,
        "migrations": sorted(f"{app}.{name}" for app, name in MigrationRecorder(connection).applied_migrations()),
    }


def _pack(packed: Path, copy: Path, about: dict[str, Any]) -> None:
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as file:
        file.writestr(ABOUT, json.dumps(about, ensure_ascii=False, indent=2))
        file.write(copy, copy.name)
        for name in BESIDE:
            root = Path(settings.DATA) / name
            for path in [root] if root.is_file() else sorted(root.rglob("*")):
                if path.is_file():
                    file.write(path, path.relative_to(settings.DATA).as_posix())


def _verify(packed: Path, entries: int, making: Path) -> None:
    """Open it again as a restore would, and count."""
    with zipfile.ZipFile(packed) as file:
        again = Path(file.extract(name_of_copy(), making / "again"))
    counted = look_through(again)
    if counted != entries:
        raise CopyError(f"the back-up holds {counted} entries where the book has {entries}")
    shutil.rmtree(again.parent)


def _to_disk(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def _notes() -> Path:
    return Path(settings.DATA) / "last-backup.json"


def _note(tried: LastTry) -> None:
    told = asdict(tried) | {"at": tried.at.isoformat(timespec="seconds")}
    try:
        _notes().write_text(json.dumps(told), encoding="utf-8")
    except OSError:
        log.warning("What came of the back-up could not be noted in %s", _notes())
