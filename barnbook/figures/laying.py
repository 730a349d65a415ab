"""Laying: eggs per hen per day.

    lay_rate = eggs / hen_days            [eggs/hen-day]
    hen_housed = eggs / hens_at_start     [eggs/hen]

A hen-day is one hen alive at the start of a day. So a hen that died on a day counts for that day, and a hen
moved on a day counts in the cage she left for that day and in the cage she came to from the next. (Sources
disagree on the day of death: dagris.ilri.cgiar.org/node/2277 counts hens alive "that day". Ours is printed
with the figure, note `day_of_death_counts`.)

A count belongs to the days of lay since the cage was last collected: the day of that last collection
excluded, its own last day of lay included. Days without a round in between are part of the interval and are
not zeros; days after the last count are unfinished and stay out. A first count only anchors, unless the cage
was stocked empty.

`lay_rate` says what happened in a span. What the cage may be expected to do in the long run is another
figure, with wider limits: see `lay_long_run.py`.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from barnbook.figures import interval, lay_long_run
from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason
from barnbook.figures.hen_days import (
    Collection,
    CollectionInterval,
    Contradiction,
    HeadEvent,
    HeadEventKind,
    HensByDay,
    checked_days,
    collection_intervals,
    hens_by_day,
    intervals_in_span,
)
from barnbook.figures.lay_long_run import LineVariance

__all__ = [
    "Collection",
    "CollectionInterval",
    "Contradiction",
    "HeadEvent",
    "HeadEventKind",
    "HensByDay",
    "LineVariance",
    "collection_intervals",
    "hen_housed_eggs",
    "hens_by_day",
    "intervals_in_span",
    "lay_rate",
]

LEAST_DAYS = 7
"""Days of lay below which no lay rate is shown: less than one week says nothing of a hen that pauses."""
LEAST_INTERVALS = 3
"""Collection intervals below which the spread between them, and so the interval, cannot be had."""


def lay_rate(
    collections: Sequence[Collection],
    events: Sequence[HeadEvent],
    *,
    first_day: date,
    last_day: date,
    stocked_empty_days: Sequence[date] = (),
    pooled_variance: LineVariance | None = None,
) -> Estimate:
    """Lay rate of one cage over the span first_day to last_day, both ends in [eggs/hen-day].

    Without `pooled_variance`: what happened (note `what_happened`). The limits are quasi-Poisson over the
    collection intervals (`interval.quasi_poisson_rate`, dispersion at least 0.05), capped at 1: they show the
    spread between collections of this span and no more. With the line's variance
    (`lay_long_run.line_variance`): the long-run rate (note `long_run`), limits on the logit scale.

    Give counts and events from before the span too: the count before it anchors the first interval. Only
    whole intervals inside the span are used. Left out, and listed: intervals partly inside the span, counts
    that only anchor, clashes, intervals with eggs or without while no hen stood there, days after the last
    count.

    Not shown: on hens below zero (CONTRADICTION); no interval (NO_RECORDS); under 7 days or 3
    intervals (TOO_FEW_DAYS, TOO_FEW_RECORDS); more than one egg a hen-day (OUT_OF_RANGE, the rate in
    `detail`): a fault in the data. Raises ValueError when last_day is before first_day.
    Source: definition dagris.ilri.cgiar.org/node/2277; interval McCullagh & Nelder (1989) section 9.2.
    """
    checked_days(first_day, last_day)
    every = collection_intervals(collections, events, stocked_empty_days=stocked_empty_days)
    used, left_out = intervals_in_span(every, first_day=first_day, last_day=last_day)
    left_out += _unanchored(collections, every, first_day, last_day)
    if used:
        seen = hens_by_day(events, first_day=used[0].first_day, last_day=used[-1].last_day)
        if seen.contradictions:
            return _not_shown(_below_zero(seen.contradictions[0]), used, left_out, first_day, last_day)
    missing = _not_enough(used)
    if missing is not None:
        return _not_shown(missing, used, left_out, first_day, last_day)
    if pooled_variance is not None:
        return lay_long_run.long_run_lay_rate(used, variance=pooled_variance, left_out=left_out)
    found = interval.quasi_poisson_rate([i.eggs for i in used], [i.hen_days for i in used])
    return Estimate(
        unit="eggs/hen-day",
        value=found.value,
        low=found.low,
        high=min(found.high, 1.0),
        n=sum(i.hen_days for i in used),
        n_of="hen-days",
        method=found.method,
        first_day=used[0].first_day,
        last_day=used[-1].last_day,
        left_out=left_out,
        notes=("what_happened", "day_of_death_counts"),
    )


def hen_housed_eggs(
    collections: Sequence[Collection],
    events: Sequence[HeadEvent],
    *,
    first_day: date,
    last_day: date,
    stocked_empty_days: Sequence[date] = (),
) -> Estimate:
    """Eggs of the span for each hen that stood in the cage at its start [eggs/hen]: losses are not hidden.

    The same intervals as `lay_rate`. No interval is given with it: it is a count, and hens come and go as one
    decides. Hens at the start are those alive at the start of the first interval used; with none there,
    TOO_FEW_BIRDS. Hens moved in later lay eggs that no hen at the start answers for: note `hens_came_later`.
    Source: dagris.ilri.cgiar.org/node/2278.
    """
    rate = lay_rate(collections, events, first_day=first_day, last_day=last_day, stocked_empty_days=stocked_empty_days)
    if rate.value is None or rate.first_day is None or rate.last_day is None:
        return Estimate(
            unit="eggs/hen",
            first_day=first_day,
            last_day=last_day,
            left_out=rate.left_out,
            missing=rate.missing,
        )
    housed = int(hens_by_day(events, first_day=rate.first_day, last_day=rate.first_day).hens[0])
    if housed == 0:
        missing = Missing(Reason.TOO_FEW_BIRDS, "hens", have=0, need=1)
        return Estimate(
            unit="eggs/hen", first_day=first_day, last_day=last_day, left_out=rate.left_out, missing=missing
        )
    came = any(event.kind is HeadEventKind.MOVED_IN and rate.first_day <= event.day < rate.last_day for event in events)
    return Estimate(
        unit="eggs/hen",
        value=rate.value * rate.n / housed,
        n=housed,
        n_of="hens",
        method="count",
        first_day=rate.first_day,
        last_day=rate.last_day,
        left_out=rate.left_out,
        notes=("hens_came_later",) if came else (),
    )


def _unanchored(
    collections: Sequence[Collection], every: Sequence[CollectionInterval], first_day: date, last_day: date
) -> tuple[LeftOut, ...]:
    """Counts in the span that close no interval, and days of the span after its last count."""
    closed = {i.last_day for i in every}
    counted = [c.last_day_of_lay for c in collections if first_day <= c.last_day_of_lay <= last_day]
    anchors = sum(1 for day in counted if day not in closed)
    unfinished = (last_day - max(counted)).days if counted else 0
    reasons = (
        LeftOut("counts", anchors, "only_anchors"),
        LeftOut("days", unfinished, "after_the_last_count"),
    )
    return tuple(reason for reason in reasons if reason.count > 0)


def _not_enough(used: Sequence[CollectionInterval]) -> Missing | None:
    if not used:
        return Missing(Reason.NO_RECORDS, "intervals", have=0, need=LEAST_INTERVALS)
    days = sum(i.days for i in used)
    if days < LEAST_DAYS:
        return Missing(Reason.TOO_FEW_DAYS, "days", have=days, need=LEAST_DAYS)
    if len(used) < LEAST_INTERVALS:
        return Missing(Reason.TOO_FEW_RECORDS, "intervals", have=len(used), need=LEAST_INTERVALS)
    rate = sum(i.eggs for i in used) / sum(i.hen_days for i in used)
    if rate > 1:
        return Missing(Reason.OUT_OF_RANGE, "eggs/hen-day", have=rate, need=1, detail=f"{rate:.3f} eggs/hen-day")
    return None


def _below_zero(contradiction: Contradiction) -> Missing:
    detail = f"{contradiction.hens} hens on {contradiction.day.isoformat()}"
    return Missing(Reason.CONTRADICTION, "hens", have=contradiction.hens, need=0, detail=detail)


def _not_shown(
    missing: Missing,
    used: Sequence[CollectionInterval],
    left_out: tuple[LeftOut, ...],
    first_day: date,
    last_day: date,
) -> Estimate:
    return Estimate(
        unit="eggs/hen-day",
        n=sum(i.hen_days for i in used),
        n_of="hen-days",
        first_day=first_day,
        last_day=last_day,
        left_out=left_out,
        missing=missing,
    )
