"""A back-up that an owner asks for on the Set-up screen: made beside the house's other work, with its progress."""

from __future__ import annotations

import logging
import threading
from dataclasses import dataclass
from datetime import datetime

from django.db import close_old_connections

from barnbook.house.keeping.backing_up import STEPS, BackUpError, back_up

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Progress:
    """state: "none" (not asked for since the house opened), "working", "ready" or "failed" (then why says it)."""

    state: str
    done: int = 0
    steps: int = STEPS
    why: str = ""


_lock = threading.Lock()
_now = Progress("none")


def progress() -> Progress:
    """How far the one is that was asked for last."""
    return _now


def start(now: datetime) -> Progress:
    """Begin one, unless one is being made already, and come back at once."""
    global _now
    with _lock:
        if _now.state != "working":
            _now = Progress("working")
            threading.Thread(target=_in_background, args=(now,), name="back-up", daemon=True).start()
    return _now


def _in_background(now: datetime) -> None:
    try:
        _make(now)
    finally:
        close_old_connections()


def _make(now: datetime) -> None:
    try:
        back_up("hand", now=now, tell=lambda done: _tell(Progress("working", done)))
    except BackUpError as error:
        _tell(Progress("failed", why=str(error)))
    except Exception:
        log.exception("The back-up that was asked for could not be made")
        _tell(Progress("failed", why="No back-up could be made, and the house's log says why: run `barnbook backup`."))
    else:
        _tell(Progress("ready", STEPS))


def _tell(told: Progress) -> None:
    global _now
    _now = told
