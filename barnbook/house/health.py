"""Whether the house is well, in plain words: what an owner should know, and what to do about it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from statistics import median

from django.conf import settings
from django.db.models import QuerySet

from barnbook.barn.models import Device, Farm, ToReckon
from barnbook.house.data_folder import take
from barnbook.house.heartbeat import last_beat
from barnbook.house.keeping import shelf
from barnbook.house.keeping.backing_up import last_try
from barnbook.house.phone_address import noted
from barnbook.journal.models import Entry, SetAside

LEAST_FREE_BYTES = 1_000_000_000
BACK_UP_OLD = timedelta(days=3)
WORKER_SLOW = timedelta(minutes=15)
PHONE_AWAY = timedelta(days=7)
CERTIFICATE_DAYS = 30
AUTHORITY_DAYS = 90
CLOCK_OFF = timedelta(minutes=5)
PHONE_LATELY = timedelta(days=2)


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing looked at. well: nothing to do about it.  sentence: what was found, and if not well, what to do."""

    about: str
    well: bool
    sentence: str


def look(now: datetime, farm: Farm | None = None) -> list[Finding]:
    """Everything that is looked at, in one order. farm: what is of farms, of this one alone; else of each that is no
    example."""
    return [
        *_disk(),
        *_back_ups(now),
        *_certificate(now),
        *_address(now, farm),
        *_worker(now),
        *_figures(now, farm),
        *_clocks(now, farm),
        *_phones(now, farm),
        *_contradictions(farm),
    ]


def _farms(farm: Farm | None) -> QuerySet[Farm]:
    return Farm.objects.filter(pk=farm.pk) if farm else Farm.objects.filter(example=False).order_by("name")


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
    folder = Path(settings.DATA) / "home"
    certificate, authority = folder / "house.pem", folder / "authority.pem"
    if not certificate.exists() or not authority.exists():
        return
    # What reads certificates is 14 MB: not for a house that has none.
    from barnbook.house.home.authority import days_left

    try:
        left, of_authority = days_left(certificate, now), days_left(authority, now)
    except ValueError:
        yield Finding(
            "Certificate", False, "It cannot be read: close the house and open it again, which makes it anew."
        )
        return
    if of_authority < AUTHORITY_DAYS:
        yield Finding(
            "Certificate",
            False,
            f"What phones were told to trust ends in {of_authority} days: close the house, move {authority} and "
            "authority.key away, open it again, and bring each phone in anew.",
        )
    elif left < CERTIFICATE_DAYS:
        yield Finding("Certificate", False, f"It lasts {left} days more: start the house again, which renews it.")
    else:
        yield Finding(
            "Certificate",
            True,
            f"It lasts {left} days more, and is renewed by itself. What phones trust lasts {of_authority} days.",
        )


def _address(now: datetime, farm: Farm | None) -> Iterator[Finding]:
    """Whether phones that know the house by a number still find it there."""
    at = noted()
    if at.address is None:
        return
    if not at.former:
        yield Finding("Address", True, f"Phones find the house at {at.address}.")
        return
    former, since = max(at.former.items(), key=lambda each: each[1])
    first = min(at.former.values())
    lost = [
        device.name
        for device in _known(farm)
        # Heard before it changed, and not since. One not heard for much longer is told of as away.
        if first - PHONE_AWAY <= (device.last_seen or device.first_seen) < since
    ]
    if not lost:
        yield Finding("Address", True, f"Phones find the house at {at.address}; all have been here since it changed.")
        return
    yield Finding(
        "Address",
        False,
        f"It changed from {former} to {at.address} on {since.astimezone():%Y-%m-%d}. Not heard since: "
        f"{_listed(lost)}. Give the house its old address again in the router and let it stay reserved; or save the "
        "outbox on the phone as a file, bring the phone in anew, and read the file with `barnbook read_outbox FILE`.",
    )


def _worker(now: datetime) -> Iterator[Finding]:
    at = last_beat()
    if at is not None and timedelta(0) <= now - at <= WORKER_SLOW:
        yield Finding("Worker", True, f"At work at {at.astimezone():%H:%M}.")
        return
    since = f"since {at.astimezone():%Y-%m-%d %H:%M}" if at else "yet"
    held = take(Path(settings.DATA) / "house.lock")
    if held is None:
        yield Finding("Worker", False, f"The house is open, but its worker was not at work {since}: start it again.")
        return
    held.close()
    yield Finding(
        "Worker",
        False,
        f"The house is closed, and nothing was done {since}: open it with `barnbook serve`. Phones keep their entries.",
    )


def _figures(now: datetime, farm: Farm | None) -> Iterator[Finding]:
    waiting = ToReckon.objects.filter(farm=farm) if farm else ToReckon.objects.all()
    oldest = waiting.order_by("since").values_list("since", flat=True).first()
    if oldest is not None and now - oldest > WORKER_SLOW:
        yield Finding(
            "Figures",
            False,
            f"Some wait since {oldest.astimezone():%Y-%m-%d %H:%M}: is the house open? Else start it again.",
        )
    else:
        yield Finding("Figures", True, "Nothing waits to be reckoned for long.")


def _clocks(now: datetime, farm: Farm | None) -> Iterator[Finding]:
    """Phones set their clocks by their network, so their middle tells of the house's; one far from the middle of
    several is wrong itself."""
    lately = list(_known(farm).filter(last_seen__gte=now - PHONE_LATELY))
    if not lately:
        return
    middle = timedelta(milliseconds=median(device.clock_offset_ms for device in lately))
    if abs(middle) > CLOCK_OFF:
        which = f"{_minutes(middle)} {'behind' if middle > timedelta(0) else 'ahead of'}"
        if len(lately) == 1:
            sentence = f"This machine is {which} the one phone that was here ({lately[0].name}): see which is right, "
            sentence += "and set the other by the network."
        else:
            sentence = f"This machine is {which} the middle of {len(lately)} phones: set its clock by the network."
        yield Finding("Clock", False, sentence)
        return
    wrong = [device for device in lately if abs(timedelta(milliseconds=device.clock_offset_ms) - middle) > CLOCK_OFF]
    for device in wrong:
        off = timedelta(milliseconds=device.clock_offset_ms) - middle
        yield Finding(
            "Clock",
            False,
            f"{device.name} is {_minutes(off)} {'ahead of' if off > timedelta(0) else 'behind'} the others: set its "
            "clock by the network.",
        )
    if not wrong:
        yield Finding("Clock", True, "House and phones agree on the time.")


def _minutes(off: timedelta) -> str:
    minutes = round(abs(off).total_seconds() / 60)
    return f"{minutes} minutes" if minutes < 120 else f"{round(minutes / 60)} hours"


def _known(farm: Farm | None) -> QuerySet[Device]:
    """The phones of those farms that are paired."""
    return Device.objects.filter(unpaired_at=None, farm__in=_farms(farm)).order_by("last_seen", "name")


def _phones(now: datetime, farm: Farm | None) -> Iterator[Finding]:
    known = _known(farm).filter(last_seen__isnull=False)
    away = list(known.filter(last_seen__lt=now - PHONE_AWAY))
    for device in away:
        waited = f", and {_amount(device.waiting, 'entry', 'entries')} waited on it then" if device.waiting else ""
        assert device.last_seen is not None
        yield Finding(
            "Phones",
            False,
            f"{device.name} was last here {(now - device.last_seen).days} days ago{waited}: open the book on it, or "
            "unpair it in Set-up.",
        )
    if not away:
        n = known.count()
        sentence = "None has sent anything yet." if n == 0 else "All were here within a week."
        yield Finding("Phones", True, "The one that is known was here within a week." if n == 1 else sentence)


def _contradictions(farm: Farm | None) -> Iterator[Finding]:
    for each in _farms(farm):
        entries = Entry.objects.of(each).filter(struck_by=None)
        asked = entries.filter(state=Entry.State.STANDS).exclude(code="").count()
        waiting = entries.filter(state=Entry.State.WAITS).count()
        aside = SetAside.objects.of(each).filter(mended_by=None).count()
        found = [
            *([f"{_amount(asked, 'entry is', 'entries are')} asked about"] if asked else []),
            *([f"{_amount(waiting, 'waits', 'wait')} for something that is not here yet"] if waiting else []),
            *([f"{_amount(aside, 'is', 'are')} set aside"] if aside else []),
        ]
        if found:
            yield Finding("Book", False, f"{each.name}: {', '.join(found)}. They stand on Today.")
        else:
            yield Finding("Book", True, f"{each.name}: nothing contradicts itself.")


def _amount(n: int, one: str, many: str) -> str:
    return f"{n} {one if n == 1 else many}"


def _listed(names: list[str]) -> str:
    shown = ", ".join(names[:5])
    return f"{shown} and {len(names) - 5} more" if len(names) > 5 else shown
