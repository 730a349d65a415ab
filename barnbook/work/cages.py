"""The figures of a cage: its lay rate over three spans, and what it usually gives in each round.

A span of a week or four ends on the last day of lay that the cage's counts reach, not on today: eggs laid since the
last round are in nobody's hands yet. It begins with the collection interval that holds its first day, when that
interval began at most three days earlier: so a round missed a week ago does not cost the week its figure. Once the
last count is older than the whole span there is no figure of it any more, rather than one of long ago.
"""

from __future__ import annotations

import uuid
from collections.abc import Collection as Some
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from barnbook.barn.models import Cage, Farm
from barnbook.barn.reads import Count, HeadChange, counts_of, head_changes_of, stocked_empty_days
from barnbook.figures.estimate import Estimate, Missing, Reason
from barnbook.figures.laying import (
    LEAST_INTERVALS,
    Collection,
    HeadEvent,
    HeadEventKind,
    collection_intervals,
    lay_rate,
)
from barnbook.figures.usual_count import LAST_COUNTS, usual_count

SPANS_DAYS = {"7d": 7, "28d": 28}
SINCE_PLACED = "since_placed"
BEGINS_EARLIER_DAYS = 3


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A figure with its place: its name and its span."""

    name: str
    span: str
    estimate: Estimate


@dataclass(frozen=True, slots=True)
class CageSeen:
    """What the barn knows of a cage: since when its present birds stand there, its counts, its head changes."""

    stocked_on: date | None
    counts: Sequence[Count]
    changes: Sequence[HeadChange]


def see_cages(farm: Farm, ids: Some[uuid.UUID]) -> dict[uuid.UUID, CageSeen]:
    """Those of the cages that stand, as the barn has them now."""
    there = dict(Cage.objects.of(farm).filter(pk__in=ids).values_list("pk", "stocked_on"))
    counts, changes = counts_of(farm, there), head_changes_of(farm, there)
    return {
        id_: CageSeen(stocked_on=stocked_on, counts=counts.get(id_, []), changes=changes.get(id_, []))
        for id_, stocked_on in there.items()
    }


def figures_of(cage: CageSeen, *, rounds: Sequence[str], today: date) -> list[Reckoned]:
    """Every figure of the cage. rounds: the keys of the farm's rounds.  today: the farm's calendar day."""
    return [*_lay_rates(cage, today=today), *(_usual(cage, key) for key in rounds)]


def _lay_rates(cage: CageSeen, *, today: date) -> list[Reckoned]:
    collections = [Collection(count.last_day_of_lay, count.eggs, count.clash) for count in cage.counts]
    events = [HeadEvent(change.day, HeadEventKind(change.kind), change.hens) for change in cage.changes]
    stocked = stocked_empty_days(cage.changes)
    every = collection_intervals(collections, events, stocked_empty_days=stocked)
    reached = max((each.last_day_of_lay for each in collections), default=None)

    def rate(first_day: date, last_day: date) -> Estimate:
        return lay_rate(collections, events, first_day=first_day, last_day=last_day, stocked_empty_days=stocked)

    found = []
    for span, days in SPANS_DAYS.items():
        if reached is None or reached < today - timedelta(days=days):
            found.append(Reckoned("lay_rate", span, _no_counts()))
            continue
        first = reached - timedelta(days=days - 1)
        earlier = (i.first_day for i in every if i.first_day < first <= i.last_day)
        begun = next((day for day in earlier if (first - day).days <= BEGINS_EARLIER_DAYS), first)
        found.append(Reckoned("lay_rate", span, rate(begun, reached)))
    if cage.stocked_on is None:
        since = Estimate(
            unit="eggs/hen-day",
            n_of="hen-days",
            missing=Missing(Reason.TOO_FEW_BIRDS, "birds", have=0, need=1, detail="Nobody stands in this cage."),
        )
    elif reached is None or reached < cage.stocked_on:
        since = _no_counts()
    else:
        since = rate(cage.stocked_on, reached)
    return [*found, Reckoned("lay_rate", SINCE_PLACED, since)]


def _no_counts() -> Estimate:
    """Without days: what is not there has no span, and the row need not change every night."""
    missing = Missing(Reason.NO_RECORDS, "intervals", have=0, need=LEAST_INTERVALS)
    return Estimate(unit="eggs/hen-day", n_of="hen-days", missing=missing)


def _usual(cage: CageSeen, key: str) -> Reckoned:
    """Of the birds that stand there now: the counts of those before them say nothing of theirs."""
    stocked_on = cage.stocked_on
    own = [
        count
        for count in cage.counts
        if count.round == key and stocked_on is not None and count.last_day_of_lay >= stocked_on
    ]
    settled = [count for count in own if not count.clash]
    looked_back = settled[-LAST_COUNTS:]
    clashes = sum(count.clash and count.day >= looked_back[0].day for count in own) if looked_back else 0
    return Reckoned("usual_count", key, usual_count([(c.day, c.eggs) for c in looked_back], clashes=clashes))
