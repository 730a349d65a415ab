"""The folder of back-ups: what lies in it, and which of the nightly ones are kept.

A back-up is one zip file, `barnbook-2026-03-14T021500Z-night.zip`: the moment in UTC, and what it was made for.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.conf import settings

DAYS, WEEKS, MONTHS = 7, 5, 12
UPGRADES = 5
A_DAY = timedelta(days=1)
VARIABLE = "BARNBOOK_BACKUPS"
REASONS = ("night", "hand", "upgrade", "aside")  # aside: the book that a restore took the place of

_NAME = re.compile(r"barnbook-(\d{4}-\d\d-\d\dT\d{6}Z)-(night|hand|upgrade|aside)(?:-(\d+))?\.zip")
_MOMENT = "%Y-%m-%dT%H%M%SZ"


@dataclass(frozen=True, slots=True)
class BackUp:
    """One back-up. made_at is in UTC."""

    path: Path
    made_at: datetime
    reason: str

    @property
    def size(self) -> int:
        """Bytes."""
        return self.path.stat().st_size


def folder() -> Path:
    """Where the back-ups lie: BARNBOOK_BACKUPS (another disk, best), else `backups` in the data folder."""
    chosen = os.environ.get(VARIABLE)
    return Path(chosen).expanduser().absolute() if chosen else Path(settings.DATA) / "backups"


def found(where: Path | None = None) -> list[BackUp]:
    """All back-ups there, the newest first; other files are passed over."""
    where = folder() if where is None else where
    try:
        names = [path for path in where.iterdir() if _NAME.fullmatch(path.name)]
    except OSError:
        return []
    return sorted((read(path) for path in names), key=lambda each: (each.made_at, each.path.name), reverse=True)


def read(path: Path) -> BackUp:
    """What a back-up's name says of it. The name must be one of ours."""
    match = _NAME.fullmatch(path.name)
    assert match is not None
    return BackUp(path, datetime.strptime(match[1], _MOMENT).replace(tzinfo=UTC), match[2])


def free_name(where: Path, made_at: datetime, reason: str) -> Path:
    """A name that no file there has."""
    stem = f"barnbook-{made_at.astimezone(UTC).strftime(_MOMENT)}-{reason}"
    path, number = where / f"{stem}.zip", 1
    while path.exists():
        number += 1
        path = where / f"{stem}-{number}.zip"
    return path


def to_drop(back_ups: Iterable[BackUp], *, now: datetime) -> list[BackUp]:
    """Those that need not be kept any more.

    Of the nightly ones the newest of each of the last 7 days, 5 weeks (Monday to Sunday) and 12 months that have one
    are kept: days, weeks and months without any are not counted, so a house that was closed for a winter keeps what
    it has. Those of a day to come were made under a wrong clock, and are counted by themselves. Of those made before
    an upgrade the last 5 are kept. What was made by hand or put aside is the owner's to delete.
    """
    newest_first = sorted(back_ups, key=lambda each: (each.made_at, each.path.name), reverse=True)
    nights = [each for each in newest_first if each.reason == "night"]
    to_come = [each for each in nights if each.made_at > now + A_DAY]
    kept: set[Path] = set()
    for most, span in ((DAYS, _day), (WEEKS, _week), (MONTHS, _month)):
        kept |= _newest_of_each(to_come, span, most)
        kept |= _newest_of_each(nights[len(to_come) :], span, most)
    upgrades = [each for each in newest_first if each.reason == "upgrade"]
    return [each for each in nights if each.path not in kept] + upgrades[UPGRADES:]


def _newest_of_each(newest_first: list[BackUp], span: Callable[[datetime], Hashable], most: int) -> set[Path]:
    seen: dict[Hashable, Path] = {}
    for each in newest_first:
        seen.setdefault(span(each.made_at), each.path)
    return set(list(seen.values())[:most])


def _day(moment: datetime) -> Hashable:
    return moment.date()


def _week(moment: datetime) -> Hashable:
    return tuple(moment.isocalendar())[:2]


def _month(moment: datetime) -> Hashable:
    return (moment.year, moment.month)
