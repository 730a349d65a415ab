"""What the barn knows for the costs of a line: outlays, and what they were used up for, month by month."""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Min, Q

from barnbook.barn.models import Brood, Cage, EggMove, Farm, Line, Outlay, Processing, Setting, Tray
from barnbook.barn.reads import HeadChange, head_changes_of
from barnbook.barn.standing.egg_moves import line_on
from barnbook.journal.models import Entry

MONTHS = 18  # shown are twelve; what a bird cost goes back to the eggs that it came of
PRICE_MONTHS = 3  # the price of feed is that of so many months


@dataclass(frozen=True, slots=True)
class Reared:
    """A brood up to the line's weighing age. alive: chicks less those found dead by then. set_in: the eggs' month.

    bought_in: then nobody wrote down what its birds cost.
    """

    brood: uuid.UUID
    line: uuid.UUID
    aged_on: date
    chicks: int
    alive: int
    set_in: date | None
    bought_in: bool = False


@dataclass(frozen=True, slots=True)
class Dressed:
    """Birds processed together. brood None: nobody said, as of spent hens from a cage. dressed_g: of all of them; None:
    not weighed."""

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
    rows = Outlay.objects.of(farm)
    months = _months(rows.aggregate(first=Min("from_day"))["first"], today)
    prices = line.prices if isinstance(line.prices, dict) else None
    return CostsSeen(
        line=line.pk,
        months=months,
        outlays=_outlays(farm, months) if months else [],
        bird_days=_bird_days(farm, months) if months else {},
        sound=_sound(farm, line, months) if months else {},
        set_=_set(farm, months) if months else {},
        reared=_reared(farm, months) if months else [],
        dressed=_dressed(farm, months) if months else [],
        stated_price=(float(prices["feed_per_kg"]), str(prices["currency"])) if prices else None,
    )


def _months(first: date | None, today: date) -> list[date]:
    if first is None:
        return []
    months: list[date] = []
    month = first_of(today)
    while len(months) < MONTHS and month > first_of(first):
        month = first_of(month - timedelta(days=1))
        months.append(month)
    return months[::-1]


def _outlays(farm: Farm, months: Sequence[date]) -> list[Outlay]:
    """Those of these months, and of feed bought before them what a price may still stand on: the months before the
    first, and the last of each currency."""
    rows = Outlay.objects.of(farm).order_by("day", "entry")
    since = months[0]
    for _ in range(PRICE_MONTHS - 1):
        since = first_of(since - timedelta(days=1))
    bought = rows.filter(sort=Outlay.Sort.BOUGHT, amount__isnull=False, day__lt=since)
    before: dict[str, Outlay] = {}
    for currency in bought.order_by().values_list("currency", flat=True).distinct():
        last = bought.filter(currency=currency).last()
        if last is not None:
            before[currency] = last
    lately = rows.filter(Q(sort=Outlay.Sort.BOUGHT, day__gte=since) | Q(day__gte=months[0]))
    return [*sorted(before.values(), key=lambda each: (each.day, str(each.entry))), *lately]


def _bird_days(farm: Farm, months: Sequence[date]) -> dict[tuple[date, str, uuid.UUID], float]:
    """A day counts for the birds that stood in the cage at its start, and for those put in on it. A cage stands in the
    row that it was of on that day, whatever the row is called now."""
    found: dict[tuple[date, str, uuid.UUID], float] = defaultdict(float)
    cages = list(Cage.objects.of(farm))
    changes = head_changes_of(farm, [cage.pk for cage in cages])
    rows = _rows_by_day(farm)
    end = last_of(months[-1])
    for cage in cages:
        events, at, birds = changes.get(cage.pk, []), 0, 0
        first = min((event.day for event in events), default=end + timedelta(days=1))
        day = max(first, months[0])
        while at < len(events) and events[at].day < day:
            birds = _after(birds, events[at])
            at += 1
        while day <= end:
            before = birds
            while at < len(events) and events[at].day <= day:
                birds = _after(birds, events[at])
                at += 1
            line = line_on(cage.lines, day)
            if line is not None:
                row = _row_on(rows.get(str(cage.pk), ()), day, cage.walk_row)
                found[first_of(day), row, line] += max(before, birds, 0)
            day += timedelta(days=1)
    return dict(found)


def _after(birds: int, event: HeadChange) -> int:
    return {"moved_in": birds + event.birds, "checked": event.birds}.get(event.kind, birds - event.birds)


def _rows_by_day(farm: Farm) -> dict[str, list[tuple[date, str]]]:
    """(day, row) of each cage, as the entries that describe it say: a row renamed was called otherwise before."""
    found: dict[str, list[tuple[date, str]]] = defaultdict(list)
    entries = Entry.objects.of(farm).filter(kind="cage", state=Entry.State.STANDS, struck_by=None)
    for day, body in entries.order_by("day", "stamp", "id").values_list("day", "body"):
        found[body["cage"]].append((day, body["row"]))
    return dict(found)


def _row_on(rows: Sequence[tuple[date, str]], day: date, now: str) -> str:
    """The row of a cage on a day; before the first entry that says, that one's."""
    if not rows:
        return now
    found = rows[0][1]
    for since, row in rows:
        if since <= day:
            found = row
    return found


def _sound(farm: Farm, line: Line, months: Sequence[date]) -> dict[date, int]:
    found: dict[date, int] = defaultdict(int)
    rows = EggMove.objects.of(farm).filter(how=EggMove.How.COLLECTED, line=line.pk, laid_on__gte=months[0])
    for laid_on, eggs in rows.values_list("laid_on", "eggs"):
        if laid_on is not None:
            found[first_of(laid_on)] += eggs
    return dict(found)


def _set(farm: Farm, months: Sequence[date]) -> dict[tuple[date, uuid.UUID], tuple[int, int, int]]:
    found: dict[tuple[date, uuid.UUID], tuple[int, int, int]] = {}
    for row in Tray.objects.of(farm).filter(setting__set_on__gte=months[0]).select_related("setting"):
        key = (first_of(row.setting.set_on), row.line)
        eggs, hatched_eggs, chicks = found.get(key, (0, 0, 0))
        told = row.hatched_on is not None
        found[key] = (eggs + row.eggs, hatched_eggs + row.eggs * told, chicks + row.hatched * told)
    return found


def _reared(farm: Farm, months: Sequence[date]) -> list[Reared]:
    """Of the broods that come of age in these months, and those fed in them."""
    ages = dict(Line.objects.of(farm).values_list("pk", "weighing_age_days"))
    oldest = months[0] - timedelta(days=max(ages.values(), default=0))
    fed = Outlay.objects.of(farm).filter(day__gte=months[0]).exclude(brood=None).order_by().values("brood").distinct()
    broods = Brood.objects.of(farm).filter(Q(hatched_on__gte=oldest) | Q(pk__in=fed))
    set_on = dict(Setting.objects.of(farm).values_list("pk", "set_on"))
    dead: dict[str, list[tuple[date, int]]] = defaultdict(list)
    found = Entry.objects.of(farm).filter(kind="found_dead", day__gte=oldest, state=Entry.State.STANDS, struck_by=None)
    for day, body in found.values_list("day", "body"):
        if body["brood"]:
            dead[body["brood"]].append((day, body["hens"] + body["cocks"] + body["unsexed"]))
    rows = []
    for brood in broods:
        if brood.line_id not in ages:
            continue
        aged_on = brood.hatched_on + timedelta(days=ages[brood.line_id])
        gone = sum(birds for day, birds in dead[str(brood.pk)] if day <= aged_on)
        day_set = set_on.get(brood.setting) if brood.setting else None
        set_in = first_of(day_set) if day_set else None
        alive = max(brood.chicks - gone, 0)
        rows.append(Reared(brood.pk, brood.line_id, aged_on, brood.chicks, alive, set_in, brood.bought_in))
    return rows


def _dressed(farm: Farm, months: Sequence[date]) -> list[Dressed]:
    lines: dict[Any, uuid.UUID] = dict(Brood.objects.of(farm).values_list("pk", "line_id"))
    cages: dict[Any, Any] = dict(Cage.objects.of(farm).values_list("pk", "lines"))
    found = []
    for row in Processing.objects.of(farm).filter(day__gte=months[0]).order_by("day", "entry"):
        line = lines.get(row.brood) if row.brood else line_on(cages.get(row.cage, []), row.day)
        found.append(Dressed(row.brood, line, row.day, row.hens + row.cocks + row.unsexed, row.dressed_g))
    return found
