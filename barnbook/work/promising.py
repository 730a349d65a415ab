"""What can be promised of a line, day by day, and how sure the promises given are (barnbook.figures.promise).

The hens that are counted on are those of cages counted in the last two weeks, as many as stand there now, as long as
no withdrawal span holds their eggs back: young hens that have not been counted in lay yet promise nothing. Eggs of the
store within a span are left out, and so are as many of the oldest as were taken with no day given.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any

from barnbook.barn.models import Cage, CanPromise, Collection, EggMove, EggStore, Farm, Gone, Line, Order, Shipment
from barnbook.barn.models.row import changed
from barnbook.barn.reads import head_changes_of, stocked_empty_days
from barnbook.barn.standing.egg_moves import laid_on
from barnbook.barn.standing.subject import tell_gone
from barnbook.figures import hen_days
from barnbook.figures.estimate import Missing
from barnbook.figures.line_forecast import DAYS_A_WEEK, MOST_WEEKS, line_forecast
from barnbook.figures.promise import Use, futures, most_by_day, standing
from barnbook.work.figure_rows import plain_missing
from barnbook.work.withheld import Span, egg_spans, lay_withheld_down, see_withheld, waits_on

AHEAD_DAYS = 42
FURTHEST_DAYS = 200  # a promise further ahead than this is not simulated to its day
DRAWS = 2_000
GIVES = (EggMove.How.COLLECTED, EggMove.How.SEEN)
COUNTED_WITHIN_DAYS = 14
NOT_COUNTED_DAYS = 5  # the forecast begins at most so many days back: longer without a count, and nobody knows


@dataclass(frozen=True, slots=True)
class LineSeen:
    """What the barn knows of a line: its cages' intervals of lay (sound eggs), hens, store, and orders promised.

    hens: now, by cage.  counted: the last day of lay that was counted.  spans: days on which a cage's eggs wait.
    """

    intervals: Mapping[uuid.UUID, Sequence[hen_days.CollectionInterval]]
    hens: Mapping[uuid.UUID, int]
    counted: Mapping[uuid.UUID, date]
    spans: Mapping[uuid.UUID, Sequence[Span]]
    store: Mapping[date, int]
    withheld: Mapping[date, int]
    promised: Sequence[Use]
    limit_days: int


@dataclass(frozen=True, slots=True)
class PromisesNow:
    """As the line's rows of `can_promise` and `withheld` hold it."""

    from_day: date
    withheld: Mapping[date, int]
    most: list[int] = field(default_factory=list)
    orders: list[dict[str, Any]] = field(default_factory=list)
    hens: int = 0
    lay_rate: float | None = None
    missing: dict[str, Any] | None = None


def see_line(farm: Farm, line: Line, *, today: date) -> LineSeen:
    cages = dict(Cage.objects.of(farm).filter(line_id=line.pk, closed=False).values_list("pk", "hens"))
    since = today - timedelta(days=(MOST_WEEKS + 1) * DAYS_A_WEEK)
    counts: dict[uuid.UUID, list[hen_days.Collection]] = defaultdict(list)
    for row in Collection.objects.of(farm).filter(cage__in=cages, day__gte=since).order_by("day", "round"):
        last = laid_on(farm, day=row.day, round_=row.round)
        counts[row.cage].append(hen_days.Collection(last, row.sound, row.clash))
    changes = head_changes_of(farm, list(counts))
    intervals = {}
    for cage, collections in counts.items():
        events = [
            hen_days.HeadEvent(each.day, hen_days.HeadEventKind(each.kind), each.hens) for each in changes.get(cage, [])
        ]
        empty = stocked_empty_days(changes.get(cage, []))
        intervals[cage] = hen_days.collection_intervals(collections, events, stocked_empty_days=empty)
    spans = egg_spans(farm, since=today - timedelta(days=60))
    withheld = see_withheld(farm, line.pk, spans=spans, today=today)
    return LineSeen(
        intervals=intervals,
        hens=cages,
        counted={cage: max(each.last_day_of_lay for each in found) for cage, found in counts.items()},
        spans=spans,
        store=_store(farm, line, withheld, today=today),
        withheld=withheld,
        promised=_promised(farm, line, today=today),
        limit_days=line.storage_limit_days,
    )


def _store(farm: Farm, line: Line, withheld: Mapping[date, int], *, today: date) -> dict[date, int]:
    """What may be sold of each day laid. Eggs taken lately with no day given are taken from the oldest; what was taken
    longer ago than the line's eggs keep was never of these."""
    rows = EggStore.objects.of(farm).filter(line=line.pk)
    recent = rows.filter(laid_on__gte=today - timedelta(days=60)).order_by("laid_on")
    left = {
        day: max(0, eggs - withheld.get(day, 0))
        for day, eggs in recent.values_list("laid_on", "left")
        if day is not None
    }
    oldest = today - timedelta(days=max(line.storage_limit_days, 1))
    taken_lately = EggMove.objects.of(farm).filter(line=line.pk, laid_on=None, day__gte=oldest)
    unknown = sum(taken_lately.exclude(how__in=GIVES).values_list("eggs", flat=True))
    for day in sorted(day for day in left if day >= oldest):
        taken = min(left[day], unknown)
        left[day], unknown = left[day] - taken, unknown - taken
    return left


def _promised(farm: Farm, line: Line, *, today: date) -> list[Use]:
    """What is still to be packed of the orders promised, in the order in which they were promised. Once a shipment for
    an order was sent, it is done. One that is late is for today."""
    packed: dict[str, int] = defaultdict(int)
    sent: set[str] = set()
    for eggs, sent_on in Shipment.objects.of(farm).values_list("eggs", "sent_on"):
        for each in eggs:
            if each["order"] is not None and each["line"] == str(line.pk):
                packed[each["order"]] += each["eggs"]
                sent |= {each["order"]} if sent_on else set()
    rows = Order.objects.of(farm).filter(line=line.pk, withdrawn_on=None).exclude(promised_for=None)
    uses = []
    for row in rows.order_by("promised_on", "taken_on", "pk"):
        eggs = (row.promised_eggs or 0) - packed[str(row.pk)]
        if eggs > 0 and str(row.pk) not in sent:
            day = max(row.promised_for or today, today)
            uses.append(Use(str(row.pk), day, eggs, oldest_days=row.oldest_days or line.storage_limit_days))
    return uses


def promises_of(seen: LineSeen, *, today: date) -> PromisesNow:
    """What can be promised of the line from today on."""
    counted_on = {
        cage
        for cage, last in seen.counted.items()
        if last >= today - timedelta(days=COUNTED_WITHIN_DAYS) and seen.hens.get(cage, 0) > 0
    }
    forecast = line_forecast([seen.intervals[cage] for cage in sorted(counted_on)])
    hens = sum(seen.hens[cage] for cage in counted_on)
    if isinstance(forecast, Missing):
        return PromisesNow(today, seen.withheld, hens=hens, missing=plain_missing(forecast))
    reached = max(seen.counted[cage] for cage in counted_on)
    first_day = max(reached + timedelta(days=1), today - timedelta(days=NOT_COUNTED_DAYS))
    within = [use for use in seen.promised if use.day <= today + timedelta(days=FURTHEST_DAYS)]
    last_day = max([today + timedelta(days=AHEAD_DAYS - 1), *(use.day for use in within)])
    days = [first_day + timedelta(days=at) for at in range((last_day - first_day).days + 1)]
    drawn = futures(
        forecast.rate,
        hens=[
            sum(seen.hens[cage] for cage in counted_on if not waits_on(seen.spans.get(cage, ()), day)) for day in days
        ],
        first_day=first_day,
        dispersion=forecast.dispersion,
        degrees_of_freedom=forecast.degrees_of_freedom,
        draws=DRAWS,
    )
    if isinstance(drawn, Missing):
        return PromisesNow(today, seen.withheld, hens=hens, missing=plain_missing(drawn))
    store = {day: eggs for day, eggs in seen.store.items() if day < first_day}
    ahead = [today + timedelta(days=at) for at in range(AHEAD_DAYS)]
    asked = [day for day in ahead if day >= first_day]  # a round already walked this evening: today is in the store
    uses = [use if use.day >= first_day else _on(use, first_day) for use in within]
    most = most_by_day(drawn, days=asked, oldest_days=seen.limit_days, before=uses, store=store)
    orders = standing(drawn, uses=uses, store=store)
    return PromisesNow(
        from_day=today,
        withheld=seen.withheld,
        most=[0] * (len(ahead) - len(asked)) + most,
        orders=[{"order": each.name, "sure": round(each.sure, 3), "short": each.short} for each in orders],
        hens=hens,
        lay_rate=forecast.rate.value,
    )


def _on(use: Use, day: date) -> Use:
    return Use(use.name, day, use.eggs, use.youngest_days, use.oldest_days, use.sold)


def reckon_promises(farm: Farm, line: Line, today: date) -> PromisesNow:
    return promises_of(see_line(farm, line, today=today), today=today)


FIELDS = ("from_day", "most", "orders", "hens", "lay_rate", "missing")


def lay_promises_down(farm: Farm, line: uuid.UUID, wanted: PromisesNow | None, *, now: datetime) -> None:
    """Make the line's rows be `wanted`, or be away. Hold the farm's lock, and save its `last_seq`."""
    lay_withheld_down(farm, line, wanted.withheld if wanted else {})
    row = CanPromise.objects.of(farm).filter(line=line).first()
    if wanted is None:
        if row is not None:
            row.delete()
            tell_gone(farm, "can_promise", [str(line)])
        return
    values = {name: getattr(wanted, name) for name in FIELDS}
    if row is not None and all(getattr(row, name) == value for name, value in values.items()):
        return
    is_new = row is None
    row = row or CanPromise(farm=farm, line=line)
    for name, value in values.items():
        setattr(row, name, value)
    row.computed_at = now
    changed(farm, [row])
    row.save()
    if is_new:
        Gone.objects.of(farm).filter(table="can_promise", row_id=str(line)).delete()
