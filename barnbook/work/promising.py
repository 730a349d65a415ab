"""What can be promised of a line, day by day, and how sure the promises given are (barnbook.figures.promise).

The hens that are counted on are those of cages counted in the last two weeks, as many as stand there now, as long as
no withdrawal span holds their eggs back: young hens that have not been counted in lay yet promise nothing. Eggs of the
store within a span are left out, and so are as many of the oldest as were taken with no day given. Eggs that are
planned to be set are not promised.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import Any

from barnbook.barn.models import Cage, CanPromise, Collection, EggMove, EggStore, Farm, Gone, Line
from barnbook.barn.models.row import changed
from barnbook.barn.reads import head_changes_of, stocked_empty_days
from barnbook.barn.standing.egg_moves import laid_on
from barnbook.barn.standing.subject import tell_gone
from barnbook.figures import hen_days
from barnbook.figures.estimate import Missing
from barnbook.figures.line_forecast import DAYS_A_WEEK, MOST_WEEKS, line_forecast
from barnbook.figures.promise import Use, futures, most_by_day, standing
from barnbook.work.dues import DueNow
from barnbook.work.figure_rows import plain_missing
from barnbook.work.order_dues import lay_order_dues_down, order_dues, promised_of
from barnbook.work.plan_dues import PlanLeft, plans_left, see_eggs_set
from barnbook.work.withheld import Span, egg_spans, lay_withheld_down, see_withheld, waits_on

AHEAD_DAYS = 42
FURTHEST_DAYS = 200  # a promise further ahead than this is not simulated to its day
DRAWS = 2_000
MOST_SETTINGS = 8  # of one plan
MOST_ANEW = 20  # orders of a line that are weighed anew, those promised first: each costs as much as the line itself
GIVES = (EggMove.How.COLLECTED, EggMove.How.SEEN)
COUNTED_WITHIN_DAYS = 14
NOT_COUNTED_DAYS = 5  # the forecast begins at most so many days back: longer without a count, and nobody knows


@dataclass(frozen=True, slots=True)
class LineSeen:
    """What the barn knows of a line: its cages' intervals of lay (sound eggs), hens, store, and orders promised.

    planned: eggs to be set.  hens: now, by cage.  counted: the last day of lay that was counted.  spans: days on which
    a cage's eggs wait.
    """

    intervals: Mapping[uuid.UUID, Sequence[hen_days.CollectionInterval]]
    hens: Mapping[uuid.UUID, int]
    counted: Mapping[uuid.UUID, date]
    spans: Mapping[uuid.UUID, Sequence[Span]]
    store: Mapping[date, int]
    withheld: Mapping[date, int]
    promised: Sequence[Use]
    planned: Sequence[Use]
    limit_days: int


@dataclass(frozen=True, slots=True)
class PromisesNow:
    """As the line's rows of `can_promise` and `withheld`, and the dues of its orders, hold it."""

    from_day: date
    withheld: Mapping[date, int]
    packing: Mapping[str, Sequence[DueNow]] = field(default_factory=dict)
    most: list[int] = field(default_factory=list)
    orders: list[dict[str, Any]] = field(default_factory=list)
    hens: int = 0
    unknown_before: int = 0
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
        planned=planned_uses(
            plans_left(line.plans, see_eggs_set(farm, line)), limit_days=line.storage_limit_days, today=today
        ),
        limit_days=line.storage_limit_days,
    )


def _store(farm: Farm, line: Line, withheld: Mapping[date, int], *, today: date) -> dict[date, int]:
    """What may be sold of each day laid. Eggs taken lately with no day given are taken from the oldest."""
    rows = EggStore.objects.of(farm).filter(line=line.pk)
    recent = rows.filter(laid_on__gte=today - timedelta(days=60)).order_by("laid_on")
    left = {
        day: max(0, eggs - withheld.get(day, 0))
        for day, eggs in recent.values_list("laid_on", "left")
        if day is not None
    }
    unknown, _ = unknown_taken(farm, line, today=today)
    oldest = _oldest_kept(line, today)
    for day in sorted(day for day in left if day >= oldest):
        taken = min(left[day], unknown)
        left[day], unknown = left[day] - taken, unknown - taken
    return left


def _oldest_kept(line: Line, today: date) -> date:
    return today - timedelta(days=max(line.storage_limit_days, 1))


def unknown_taken(farm: Farm, line: Line, *, today: date) -> tuple[int, int]:
    """Eggs of the line taken with no day given: those that may be of the eggs in the store now, and the others.

    What was taken longer ago than the line's eggs keep was never of these, nor what was taken before somebody last
    counted them: what was seen there stands against all that was written before.
    """
    oldest = _oldest_kept(line, today)
    moves = EggMove.objects.of(farm).filter(line=line.pk)
    seen = moves.filter(how=EggMove.How.SEEN, laid_on__gte=oldest).values_list("day", "stamp")
    last_seen = max(seen, default=(oldest, -1))
    lately = before = 0
    for day, stamp, eggs in moves.filter(laid_on=None).exclude(how__in=GIVES).values_list("day", "stamp", "eggs"):
        if (day, stamp) > last_seen and day >= oldest:
            lately += eggs
        else:
            before += eggs
    return lately, before


def _promised(farm: Farm, line: Line, *, today: date) -> list[Use]:
    """What is still to be packed of the orders promised, in the order in which they were promised. One that is late is
    for today."""
    return [
        Use(each.order, max(each.day, today), each.left, oldest_days=each.oldest_days or line.storage_limit_days)
        for each in promised_of(farm, line)
    ]


def planned_uses(plans: Sequence[PlanLeft], *, limit_days: int, today: date) -> list[Use]:
    """The eggs that planned settings take: of a plan that reaches over more days than eggs keep, alike in as many
    settings as it takes, the last on its last day."""
    uses = []
    for plan in plans:
        last = max(plan.by_day, today)
        days = [last]
        while len(days) < MOST_SETTINGS and days[-1] - timedelta(days=limit_days) >= max(plan.from_day, today):
            days.append(days[-1] - timedelta(days=limit_days))
        each, more = divmod(plan.left, len(days))
        uses += [
            Use(f"plan/{plan.plan}", day, each + (at < more), oldest_days=limit_days, sold=False)
            for at, day in enumerate(days)
            if each + (at < more) > 0
        ]
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
    furthest = today + timedelta(days=FURTHEST_DAYS)
    within = [use for use in (*seen.promised, *seen.planned) if use.day <= furthest]
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

    def anew(place: int) -> list[int]:
        """What that order could be promised for, day by day, were it withdrawn: it is not counted before itself."""
        rest = [use for at, use in enumerate(uses) if at != place]
        found = most_by_day(drawn, days=asked, oldest_days=seen.limit_days, before=rest, store=store)
        return [0] * (len(ahead) - len(asked)) + found

    return PromisesNow(
        from_day=today,
        withheld=seen.withheld,
        most=[0] * (len(ahead) - len(asked)) + most,
        orders=[
            {
                "order": each.name,
                "sure": round(each.sure, 3),
                "short": each.short,
                "anew": anew(at) if at < MOST_ANEW else [],
            }
            for at, each in enumerate(orders)
            if uses[at].sold
        ],
        hens=hens,
        lay_rate=forecast.rate.value,
    )


def _on(use: Use, day: date) -> Use:
    return Use(use.name, day, use.eggs, use.youngest_days, use.oldest_days, use.sold)


def reckon_promises(farm: Farm, line: Line, today: date) -> PromisesNow:
    found = promises_of(see_line(farm, line, today=today), today=today)
    packing = order_dues(promised_of(farm, line), today=today)
    return replace(found, packing=packing, unknown_before=unknown_taken(farm, line, today=today)[1])


FIELDS = ("from_day", "most", "orders", "hens", "unknown_before", "lay_rate", "missing")


def lay_promises_down(farm: Farm, line: uuid.UUID, wanted: PromisesNow | None, *, now: datetime) -> None:
    """Make the line's rows be `wanted`, or be away. Hold the farm's lock, and save its `last_seq`."""
    lay_withheld_down(farm, line, wanted.withheld if wanted else {})
    lay_order_dues_down(farm, line, wanted.packing if wanted else {})
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
