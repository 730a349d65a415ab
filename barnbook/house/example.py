"""The example farm at home: made once, by a process of its own, and how far that has come.

A process of its own because the making takes half a minute and what it needs for it should not stay in the house's
memory. How far it is stands in a file of the data folder, so that every process of the house can tell.
"""

from __future__ import annotations

import json
import logging
import os
import secrets
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils import timezone

from barnbook.barn.models import Person
from barnbook.house.data_folder import take
from barnbook.house.example_farm import ZONE, make_example_farm, the_example_farm

log = logging.getLogger(__name__)

EASY_TO_READ = "abcdefghjkmnpqrstuvwxyz23456789"  # no l and 1, no o and 0
TELL_EVERY_SECONDS = 0.2
BROKEN_OFF = "The making of the example farm was broken off. Ask for it again."


@dataclass(frozen=True, slots=True)
class Progress:
    """state: "working", "ready" or "failed".  done of total: how far it is.  detail: why it failed."""

    state: str
    done: int = 0
    total: int = 1
    detail: str = ""


def owner() -> Person | None:
    """The owner of the example farm; None while there is none, or only half of one."""
    made = the_example_farm()
    return made.owner if made else None


def progress() -> Progress:
    """How far the making is. Broken off (power, a kill) counts as failed."""
    if owner() is not None:
        return Progress("ready", 1, 1)
    try:
        told = Progress(**json.loads(_file("example-progress.json").read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError):
        return Progress("failed", detail="The example farm has not been asked for yet.")
    if told.state == "working" and not _is_being_made() and _age_seconds(_file("example-progress.json")) > 20:
        return Progress("failed", told.done, told.total, BROKEN_OFF)
    return told


def start() -> Progress:
    """Begin making it in the background, unless it is made or being made already."""
    now = progress()
    if now.state in ("ready", "working"):
        return now
    _tell(Progress("working"))
    child = run(quiet=True)
    threading.Thread(target=_see_to, args=(child,), name="example-farm", daemon=True).start()
    return Progress("working")


def run(*, quiet: bool) -> subprocess.Popen[bytes]:
    """`barnbook example` as a process of its own."""
    command = [sys.executable, "-m", "barnbook", "example", *(["--quiet"] if quiet else [])]
    environment = os.environ | {"BARNBOOK_DATA": str(settings.DATA)}
    return subprocess.Popen(command, env=environment, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL)


def make(*, tell: Callable[[int, int], None]) -> Person:
    """Make the example farm here and now, unless it is there; `tell` hears how many of how many steps are done.

    Raises RuntimeError when another process is making it.
    """
    held = take(_file("example.lock"))
    if held is None:
        raise RuntimeError("another process is making it: wait for that")
    with held:
        there = owner()
        if there is not None:
            return there
        try:
            return _make(tell)
        except Exception as error:
            log.exception("The example farm could not be made")
            _tell(Progress("failed", detail=f"The example farm could not be made: {error}"))
            raise
        except BaseException:  # Ctrl-C
            _tell(Progress("failed", detail=BROKEN_OFF))
            raise


def sign_in() -> tuple[str, str]:
    """Name and password of the example's owner: drawn at random once, and kept where only the house's owner reads.

    Kept readable so that each start can print it: it opens an invented farm, and lies beside the book itself.
    """
    person = owner()
    if person is None:
        raise RuntimeError("There is no example farm yet.")
    path = _file("example-sign-in")
    try:
        password = path.read_text(encoding="ascii").strip()
    except OSError:
        password = ""
    if not (password and person.check_password(password)):
        password = "-".join("".join(secrets.choice(EASY_TO_READ) for _ in range(4)) for _ in range(3))
        path.unlink(missing_ok=True)
        path.touch(mode=0o600)
        path.write_text(password + "\n", encoding="ascii")
        person.set_password(password)
        person.save(update_fields=["password"])
    return person.name, password


def zone_here() -> str:
    """The time zone of this machine, so that the example's hours are those of whoever looks at it; else the story's
    own."""
    named = os.environ.get("TZ", "").lstrip(":") or str(Path("/etc/localtime").resolve()).partition("zoneinfo/")[2]
    try:
        return ZoneInfo(named).key if named else ZONE
    except (ValueError, OSError):
        return ZONE


def _make(tell: Callable[[int, int], None]) -> Person:
    last = 0.0

    def heard(done: int, total: int) -> None:
        nonlocal last
        tell(done, total)
        if time.monotonic() - last > TELL_EVERY_SECONDS:
            _tell(Progress("working", done, total))
            last = time.monotonic()

    zone = zone_here()
    made = make_example_farm(today=timezone.localdate(timezone=ZoneInfo(zone)), zone=zone, progress=heard)
    _tell(Progress("ready", 1, 1))
    return made.owner


def _see_to(child: subprocess.Popen[bytes]) -> None:
    if child.wait() != 0 and progress().state == "working" and not _is_being_made():
        _tell(Progress("failed", detail=BROKEN_OFF))


def _is_being_made() -> bool:
    file = take(_file("example.lock"))
    if file is not None:
        file.close()
    return file is None


def _tell(told: Progress) -> None:
    path = _file("example-progress.json")
    new = path.with_suffix(f".{os.getpid()}")
    with suppress(OSError):  # a full disk must not end the making for want of a progress bar
        new.write_text(json.dumps(asdict(told)), encoding="utf-8")
        new.replace(path)


def _age_seconds(path: Path) -> float:
    try:
        return time.time() - path.stat().st_mtime
    except OSError:
        return 0.0


def _file(name: str) -> Path:
    return Path(settings.DATA) / name
