"""What the barn knows for the costs of a line: outlays, and what they were used up for, month by month."""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from barnbook.barn.models import Brood, Cage, EggMove, Farm, Line, Outlay, Processing, Setting, Tray
from barnbook.barn.reads import head_changes_of
from barnbook.barn.standing.egg_moves import line_on
from barnbook.journal.models import Entry

MONTHS = 18  # shown are twelve; what a bird cost goes back to the eggs that it came of


@dataclass(frozen=True, slots=True)
class Reared:
    """A brood up to the line's weighing age. alive: chicks less those found dead by then. set_in: the eggs' month."""

    brood: uuid.UUID
    line: uuid.UUID
    aged_on: date
    chicks: int
    alive: int
    set_in: date | None


@dataclass(frozen=True, slots=True)
class Dressed:
    """Birds of a brood processed together. dressed_g: of all of them; None: not weighed."""

    brood: uuid.UUID | None
    line: uuid.UUID | None
    day: date
    birds: int
    dressed_g: float | None


@dataclass(frozen=True, slots=True)
class CostsSeen:
    """months: the first day of each, oldest first; none before the first outlay.

    bird_days: of (month, row, line) in cages.  sound: eggs of this line laid in a month, sound when collected.
    set_: (eggs set, eggs of trays hatched, chicks) of (month, line).  stated_price: of a kg of feed, told for the line.
    """

    line: uuid.UUID
    months: Sequence[date]
    outlays: Sequence[Outlay]
    bird_days: Mapping[tuple[date, str, uuid.UUID], float]
    sound: Mapping[date, int]
    set_: Mapping[tuple[date, uuid.UUID], tuple[int, int, int]]
    reared: Sequence[Reared]
    dressed: Sequence[Dressed]
    stated_price: tuple[float, str] | None = None


def first_of(day: date) -> date:
    return day.replace(day=1)


def month_after(month: date) -> date:
    return (month + timedelta(days=31)).replace(day=1)


def last_of(month: date) -> date:
    return month_after(month) - timedelta(days=1)


def see_costs(farm: Farm, line: Line, *, today: date) -> CostsSeen:
    """Of the last months that are over."""
    outlays = list(Outlay.objects.of(farm).order_by("day", "entry"))
    months = _months(outlays, today)
    prices = line.prices if isinstance(line.prices, dict) else None
    return CostsSeen(
        line=line.pk,
        months=months,
        outlays=outlays,
        bird_days=_bird_days(farm, months) if months else {},
        sound=_sound(farm, line, months) if months else {},
        set_=_set(farm),
        reared=_reared(farm) if months else (),
        dressed=_dressed(farm) if months else (),
        stated_price=(float(prices["feed_per_kg"]), str(prices["currency"])) if prices else None,
    )


def _months(outlays: Sequence[Outlay], today: date) -> list[date]:
    if not outlays:
        return []
    first = min(each.from_day for each in outlays)
    months: list[date] = []
    month = first_of(today)
    while len(months) < MONTHS and month > first_of(first):
        month = first_of(month - timedelta(days=1))
        months.append(month)
    return months[::-1]


def _bird_days(farm: Farm, months: Sequence[date]) -> dict[tuple[date, str, uuid.UUID], float]:
    """A day counts for the birds that stood in the cage at its start, and for those put in on it."""
    found: dict[tuple[date, str, uuid.UUID], float] = defaultdict(float)
    cages = list(Cage.objects.of(farm))
    changes = head_changes_of(farm, [cage.pk for cage in cages])
    end = last_of(months[-1])
    for cage in cages:
        events, at, birds = changes.get(cage.pk, []), 0, 0
        day = min((event.day for event in events), default=end + timedelta(days=1))
        while day <= end:
            before = birds
            while at < len(events) and events[at].day <= day:
                event = events[at]
                birds = {"moved_in": birds + event.birds, "checked": event.birds}.get(event.kind, birds - event.birds)
                at += 1
            line = line_on(cage.lines, day)
            if line is not None and day >= months[0]:
                found[first_of(day), cage.walk_row, line] += max(before, birds, 0)
            day += timedelta(days=1)
    return dict(found)


def _sound(farm: Farm, line: Line, months: Sequence[date]) -> dict[date, int]:
    found: dict[date, int] = defaultdict(int)
    rows = EggMove.objects.of(farm).filter(how=EggMove.How.COLLECTED, line=line.pk, laid_on__gte=months[0])
    for laid_on, eggs in rows.values_list("laid_on", "eggs"):
        if laid_on is not None:
            found[first_of(laid_on)] += eggs
    return dict(found)


def _set(farm: Farm) -> dict[tuple[date, uuid.UUID], tuple[int, int, int]]:
    found: dict[tuple[date, uuid.UUID], tuple[int, int, int]] = {}
    for row in Tray.objects.of(farm).select_related("setting"):
        key = (first_of(row.setting.set_on), row.line)
        eggs, hatched_eggs, chicks = found.get(key, (0, 0, 0))
        told = row.hatched_on is not None
        found[key] = (eggs + row.eggs, hatched_eggs + row.eggs * told, chicks + row.hatched * told)
    return found


def _reared(farm: Farm) -> list[Reared]:
    ages = dict(Line.objects.of(farm).values_list("pk", "weighing_age_days"))
    set_on = dict(Setting.objects.of(farm).values_list("pk", "set_on"))
    dead: dict[str, list[tuple[date, int]]] = defaultdict(list)
    found = Entry.objects.of(farm).filter(kind="found_dead", state=Entry.State.STANDS, struck_by=None)
    for day, body in found.values_list("day", "body"):
        if body["brood"]:
            dead[body["brood"]].append((day, body["hens"] + body["cocks"] + body["unsexed"]))
    rows = []
    for brood in Brood.objects.of(farm).filter(bought_in=False):
        if brood.line_id not in ages:
            continue
        aged_on = brood.hatched_on + timedelta(days=ages[brood.line_id])
        gone = sum(birds for day, birds in dead[str(brood.pk)] if day <= aged_on)
        day_set = set_on.get(brood.setting) if brood.setting else None
        set_in = first_of(day_set) if day_set else None
        alive = max(brood.chicks - gone, 0)
        rows.append(Reared(brood.pk, brood.line_id, aged_on, brood.chicks, alive, set_in))
    return rows


def _dressed(farm: Farm) -> list[Dressed]:
    lines: dict[Any, uuid.UUID] = dict(Brood.objects.of(farm).values_list("pk", "line_id"))
    return [
        Dressed(row.brood, lines.get(row.brood), row.day, row.hens + row.cocks + row.unsexed, row.dressed_g)
        for row in Processing.objects.of(farm).order_by("day", "entry")
    ]
