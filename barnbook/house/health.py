"""Whether the house is well, in plain words: what an owner should know, and what to do about it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from django.conf import settings

from barnbook.barn.models import Device, Farm, ToReckon
from barnbook.house.home.authority import days_left
from barnbook.house.keeping import shelf
from barnbook.house.keeping.backing_up import last_try
from barnbook.journal.models import Entry, SetAside

LEAST_FREE_BYTES = 1_000_000_000
BACK_UP_OLD = timedelta(days=3)
WORKER_SLOW = timedelta(minutes=15)
PHONE_AWAY = timedelta(days=7)
CERTIFICATE_DAYS = 30
CLOCK_OFF = timedelta(minutes=5)
PHONE_LATELY = timedelta(days=2)


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing looked at. well: nothing to do about it.  sentence: what was found, and if not well, what to do."""

    about: str
    well: bool
    sentence: str


def look(now: datetime) -> list[Finding]:
    """Everything that is looked at, in one order."""
    return [
        *_disk(),
        *_back_ups(now),
        *_certificate(now),
        *_worker(now),
        *_clock(now),
        *_phones(now),
        *_contradictions(),
    ]


def _disk() -> Iterator[Finding]:
    free = shutil.disk_usage(settings.DATA).free
    shown = f"{free / 1e9:.1f} GB are free where the book lies"
    if free < LEAST_FREE_BYTES:
        yield Finding("Disk", False, f"{shown}: make room, or nothing more can be written.")
    else:
        yield Finding("Disk", True, f"{shown}.")


def _back_ups(now: datetime) -> Iterator[Finding]:
    made, tried = shelf.found(), last_try()
    if tried is not None and tried.failed:
        yield Finding("Back-up", False, f"The last one failed ({tried.failed}): run `barnbook backup` and see.")
    elif not made:
        yield Finding("Back-up", False, "There is none yet: run `barnbook backup`.")
    elif now - made[0].made_at > BACK_UP_OLD:
        days = (now - made[0].made_at).days
        yield Finding(
            "Back-up", False, f"The last one is {days} days old: leave the house open, or run `barnbook backup`."
        )
    else:
        yield Finding("Back-up", True, f"The last one is of {made[0].made_at.astimezone():%Y-%m-%d %H:%M}.")
    where = shelf.folder()
    if where.exists() and where.stat().st_dev == Path(settings.DATA).stat().st_dev:
        yield Finding(
            "Back-up",
            False,
            "All lie on the book's own disk: copy one away (`barnbook backup --to`), or set BARNBOOK_BACKUPS.",
        )


def _certificate(now: datetime) -> Iterator[Finding]:
    certificate = Path(settings.DATA) / "home" / "house.pem"
    if not certificate.exists():
        return
    left = days_left(certificate, now)
    if left < CERTIFICATE_DAYS:
        yield Finding("Certificate", False, f"It lasts {left} days more: start the house again, which renews it.")
    else:
        yield Finding("Certificate", True, f"It lasts {left} days more, and is renewed by itself.")


def _worker(now: datetime) -> Iterator[Finding]:
    oldest = ToReckon.objects.order_by("since").values_list("since", flat=True).first()
    if oldest is not None and now - oldest > WORKER_SLOW:
        yield Finding(
            "Figures",
            False,
            f"Some wait since {oldest.astimezone():%Y-%m-%d %H:%M}: is the house open? Else start it again.",
        )
    else:
        yield Finding("Figures", True, "Nothing waits to be reckoned for long.")


def _clock(now: datetime) -> Iterator[Finding]:
    """Phones that were here lately and agree with one another, but not with the house, tell of its own clock."""
    lately = Device.objects.filter(last_seen__gte=now - PHONE_LATELY, unpaired_at=None)
    off = sorted(lately.values_list("clock_offset_ms", flat=True))
    if not off:
        return
    middle = timedelta(milliseconds=off[len(off) // 2])
    if abs(middle) > CLOCK_OFF:
        minutes = round(abs(middle).total_seconds() / 60)
        yield Finding(
            "Clock", False, f"House and phones are {minutes} minutes apart: set this machine's clock by the network."
        )
    else:
        yield Finding("Clock", True, "House and phones agree on the time.")


def _phones(now: datetime) -> Iterator[Finding]:
    known = Device.objects.filter(unpaired_at=None, last_seen__isnull=False, farm__example=False)
    away = list(known.filter(last_seen__lt=now - PHONE_AWAY).order_by("last_seen"))
    for device in away:
        waited = f", {device.waiting} entries waited on it then" if device.waiting else ""
        assert device.last_seen is not None
        yield Finding(
            "Phones",
            False,
            f"{device.name} was last here {(now - device.last_seen).days} days ago{waited}: open the book on it, or "
            "unpair it in Set-up.",
        )
    if not away:
        yield Finding("Phones", True, f"All {known.count()} were here within a week.")


def _contradictions() -> Iterator[Finding]:
    for farm in Farm.objects.filter(example=False).order_by("name"):
        entries = Entry.objects.of(farm).filter(struck_by=None)
        asked = entries.filter(state=Entry.State.STANDS).exclude(code="").count()
        waiting = entries.filter(state=Entry.State.WAITS).count()
        aside = SetAside.objects.of(farm).filter(mended_by=None).count()
        if asked or waiting or aside:
            yield Finding(
                "Book",
                False,
                f"{farm.name}: {asked} entries are asked about, {waiting} wait for something, {aside} are set aside. "
                "They stand on Today.",
            )
        else:
            yield Finding("Book", True, f"{farm.name}: nothing contradicts itself.")
