"""When the worker was last at work: noted by itself every few minutes, in a file beside the book."""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime
from pathlib import Path

from django.conf import settings


def beat(now: datetime) -> None:
    """The worker is at work. A disk that takes no more ends no work: `barnbook check` tells of it."""
    with suppress(OSError):
        _file().write_text(now.isoformat(timespec="seconds"), encoding="ascii")


def last_beat() -> datetime | None:
    """None where it has not been at work yet."""
    try:
        return datetime.fromisoformat(_file().read_text(encoding="ascii"))
    except (OSError, ValueError):
        return None


def _file() -> Path:
    return Path(settings.DATA) / "worker-at-work"
