"""Hen-days: who stood in a cage on each day, and the spans of lay that its counts close.

A hen-day is one hen alive at the start of a day. So a hen that died on a day counts for that day, and a hen
moved on a day counts in the cage she left for that day and in the cage she came to from the next.

A count belongs to the days of lay since the cage was last collected: the day of that last collection
excluded, its own last day of lay included. Days without a round in between are part of the interval and are
not zeros; days after the last count are unfinished. A first count only anchors, unless the cage was stocked
empty.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from barnbook.figures.estimate import LeftOut

ONE_DAY = timedelta(days=1)


class HeadEventKind(StrEnum):
    """What changed, or settled, the number of hens in a cage."""

    MOVED_IN = "moved_in"
    MOVED_OUT = "moved_out"
    DIED = "died"
    CHECKED = "checked"


@dataclass(frozen=True, slots=True)
class HeadEvent:
    """Hens that came, went or died on `day`; for CHECKED the absolute number found. hens: 0 or more [hens]."""

    day: date
    kind: HeadEventKind
    hens: int

    def __post_init__(self) -> None:
        _check_whole(self.hens, "hens", self.day)


@dataclass(frozen=True, slots=True)
class Collection:
    """One count of one round. last_day_of_lay: the latest day whose eggs it holds. eggs: every egg found.

    clash: the round was counted twice with different numbers and the owner has not settled it.
    """

    last_day_of_lay: date
    eggs: int
    clash: bool = False

    def __post_init__(self) -> None:
        _check_whole(self.eggs, "eggs", self.last_day_of_lay)


@dataclass(frozen=True, slots=True)
class Contradiction:
    """The entries say that fewer than no hens were left on `day`: `hens` is the (negative) number reached."""

    day: date
    hens: int


@dataclass(frozen=True, slots=True)
class HensByDay:
    """hens[i]: hens alive at the start of first_day + i [hens], shape (days,); negative where entries contradict."""

    first_day: date
    hens: NDArray[np.int64]
    contradictions: tuple[Contradiction, ...]

    @property
    def hen_days(self) -> int:
        """Sum over the days [hen-days]."""
        return int(self.hens.sum())


def hens_by_day(events: Iterable[HeadEvent], *, first_day: date, last_day: date) -> HensByDay:
    """Hens alive at the start of each day, from moves, deaths and head checks.

    An event of a day takes effect at the start of the next; events of one day are taken in the order given; a
    head check resets the count. Before the first event there are none. Going below zero is a contradiction:
    it is listed and the negative number stays in the array. A head check before `first_day` settles the
    contradictions before it. Raises ValueError when last_day is before first_day.
    """
    days = checked_days(first_day, last_day)
    hens = np.zeros(days, dtype=np.int64)
    contradictions: list[Contradiction] = []
    alive = 0
    for day, of_day in groupby(sorted(events, key=lambda event: event.day), key=lambda event: event.day):
        if day > last_day:
            break
        at_start = alive
        for event in of_day:
            if event.kind is HeadEventKind.CHECKED:
                if day < first_day:
                    contradictions.clear()
                elif alive < min(at_start, 0):
                    contradictions.append(Contradiction(day, alive))
                alive = event.hens
            else:
                alive += event.hens if event.kind is HeadEventKind.MOVED_IN else -event.hens
        if alive < 0:
            contradictions.append(Contradiction(day, alive))
        hens[max((day - first_day).days + 1, 0) :] = alive
    return HensByDay(first_day, hens, tuple(contradictions))


@dataclass(frozen=True, slots=True)
class CollectionInterval:
    """Days of lay first_day to last_day, both in, whose eggs were collected together.

    eggs: all found at its end [eggs].  hen_days: of those days [hen-days].  clash: the count is not settled.
    """

    first_day: date
    last_day: date
    eggs: int
    hen_days: int
    clash: bool = False

    def __post_init__(self) -> None:
        _check_whole(self.eggs, "eggs", self.last_day)
        if self.hen_days % 1 or self.last_day < self.first_day:  # below zero where entries contradict
            raise ValueError(f"{self} is no interval: give whole hen-days, the last day not before the first.")

    @property
    def days(self) -> int:
        """Length [days]."""
        return (self.last_day - self.first_day).days + 1


def collection_intervals(
    collections: Iterable[Collection],
    events: Iterable[HeadEvent],
    *,
    stocked_empty_days: Iterable[date] = (),
) -> tuple[CollectionInterval, ...]:
    """The intervals of lay that the counts of one cage close, in order of days.

    Counts with the same last day of lay add up (rounds of one day). The first count only anchors, unless the
    cage was stocked empty before it: the interval then begins the day after stocking. Hens come from
    `hens_by_day`; where the entries contradict, an interval's hen-days may be negative: ask `hens_by_day`
    before using them.
    """
    eggs_on: dict[date, int] = {}
    clash_on: dict[date, bool] = {}
    for count in collections:
        day = count.last_day_of_lay
        eggs_on[day] = eggs_on.get(day, 0) + count.eggs
        clash_on[day] = clash_on.get(day, False) or count.clash
    if not eggs_on:
        return ()
    ends = sorted({*eggs_on, *(day for day in stocked_empty_days if day < max(eggs_on))})
    if len(ends) < 2:
        return ()
    hens = hens_by_day(events, first_day=ends[0], last_day=ends[-1]).hens
    alive_before = np.concatenate(([0], np.cumsum(hens)))
    position = [(day - ends[0]).days + 1 for day in ends]
    return tuple(
        CollectionInterval(
            first_day=previous + ONE_DAY,
            last_day=day,
            eggs=eggs_on[day],
            hen_days=int(alive_before[until] - alive_before[since]),
            clash=clash_on[day],
        )
        for previous, since, day, until in zip(ends, position, ends[1:], position[1:], strict=False)
        if day in eggs_on
    )


def intervals_in_span(
    every: Sequence[CollectionInterval], *, first_day: date, last_day: date
) -> tuple[tuple[CollectionInterval, ...], tuple[LeftOut, ...]]:
    """The intervals that a figure of this span may use, and what it may not, with the reason."""
    whole = [i for i in every if first_day <= i.first_day and i.last_day <= last_day]
    touching = sum(1 for i in every if i.last_day >= first_day and i.first_day <= last_day)
    settled = [i for i in whole if not i.clash]
    henless = [i for i in settled if i.hen_days == 0]
    reasons = (
        LeftOut("intervals", touching - len(whole), "partly_outside_the_span"),
        LeftOut("intervals", sum(1 for i in whole if i.clash), "two_counts_of_one_round"),
        LeftOut("intervals", sum(1 for i in henless if i.eggs == 0), "no_hens"),
        LeftOut("eggs", sum(i.eggs for i in henless), "no_hens"),
    )
    used = tuple(i for i in settled if i.hen_days != 0)
    return used, tuple(reason for reason in reasons if reason.count > 0)


def by_day(
    cages: Sequence[Sequence[CollectionInterval]],
) -> tuple[date | None, NDArray[np.float64], NDArray[np.float64]]:
    """First day counted, and eggs and hen-days of each day since; unsettled counts and empty cages passed over."""
    every = [i for cage in cages for i in cage if not i.clash and i.hen_days > 0]
    if not every:
        return None, np.empty(0), np.empty(0)
    first = min(i.first_day for i in every)
    length = (max(i.last_day for i in every) - first).days + 1
    eggs, hen_days = np.zeros(length), np.zeros(length)
    for i in every:
        at = slice((i.first_day - first).days, (i.last_day - first).days + 1)
        eggs[at] += i.eggs / i.days
        hen_days[at] += i.hen_days / i.days
    return first, eggs, hen_days


def checked_days(first_day: date, last_day: date) -> int:
    """Days from first_day to last_day, both in. Raises ValueError when the span ends before it begins."""
    days = (last_day - first_day).days + 1
    if days < 1:
        raise ValueError(f"The span ends on {last_day} before it begins on {first_day}: swap the two days.")
    return days


def _check_whole(count: float, what: str, day: date) -> None:
    if not (0 <= count < math.inf) or count % 1:
        raise ValueError(f"{count} {what} on {day} is not a count: give a whole number, 0 or more.")
