"""Questions to the barn, answered in plain numbers, for many cages at once."""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Collection as Some
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from barnbook.barn.models import Collection, Farm, HeadEvent


@dataclass(frozen=True, slots=True)
class Count:
    """The eggs of one round of one day. last_day_of_lay: the latest day whose eggs it holds (ruling 12)."""

    round: str
    day: date
    last_day_of_lay: date
    eggs: int
    clash: bool


@dataclass(frozen=True, slots=True)
class HeadChange:
    """One change of a cage's head count. kind: a HeadEvent.Kind.  birds: hens, cocks and unsexed together."""

    day: date
    kind: str
    hens: int
    birds: int


def counts_of(farm: Farm, cages: Some[uuid.UUID]) -> dict[uuid.UUID, list[Count]]:
    """Every count of each of these cages, by day. A round before the day's lay finds the eggs of days up to the day
    before; one after it, those of its own day too."""
    after_lay = {each["key"]: bool(each["after_lay"]) for each in farm.rounds}
    found: dict[uuid.UUID, list[Count]] = defaultdict(list)
    for cage in cages:  # a query each: reading the cage's id back with every count cost more than all the rest
        rows = Collection.objects.of(farm).filter(cage=cage).order_by("day", "round")
        for round_, day, eggs, clash in rows.values_list("round", "day", "eggs", "clash").iterator():
            last = day if after_lay.get(round_, False) else day - timedelta(days=1)
            found[cage].append(Count(round=round_, day=day, last_day_of_lay=last, eggs=eggs, clash=clash))
    return found


def head_changes_of(farm: Farm, cages: Some[uuid.UUID]) -> dict[uuid.UUID, list[HeadChange]]:
    """Every change of each of these cages' head counts, in the order in which they happened."""
    found: dict[uuid.UUID, list[HeadChange]] = defaultdict(list)
    rows = HeadEvent.objects.of(farm).filter(cage__in=cages).order_by("place")
    for cage, day, kind, hens, cocks, unsexed in rows.values_list("cage", "day", "kind", "hens", "cocks", "unsexed"):
        found[cage].append(HeadChange(day=day, kind=kind, hens=hens, birds=hens + cocks + unsexed))
    return found


def stocked_empty_days(changes: Iterable[HeadChange]) -> list[date]:
    """The days on which birds were put into the cage while nobody stood in it."""
    days: list[date] = []
    birds = 0
    for change in changes:
        before = birds
        match change.kind:
            case HeadEvent.Kind.MOVED_IN:
                birds += change.birds
            case HeadEvent.Kind.CHECKED:
                birds = change.birds
            case _:
                birds -= change.birds
        if before <= 0 < birds:
            days.append(change.day)
    return days
