"""Planning: back from the day a cage's hens reach their last day to the day its eggs must be set.

    hens of the old cage out           = hatched + their life
    new hens standing and in lay       = that day - overlap
    new hens hatched                   = in lay - the greatest of (start of lay, end of sexing, weighing age)
    eggs set                           = hatched - incubation
    eggs kept back                     = from eggs set - storage, that many days

A line has a laying life and breeding lives, apart (fertility falls long before lay does: docs/sources.md: best
at 11 to 18 weeks, falling past 41; hens replaced at about 48 weeks; hens out before about 26 months is common
practice). Whichever life ends is given here as a day. Each step has the last day on which it still does, and the
first day on which it may be done without more than `early_days` of young hens waiting.
Defaults: 18 days of incubation (poultryhub.org), full lay by 50 days (Primefact 602), eggs at most 7 days old
(Mississippi State Univ. Ext.); lockdown on day 14 (hobby pages only, weak); all the line's own settings.
Checked in: fixtures/checks/planning.csv
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from barnbook.figures.eggs_to_set import EggsToSet
from barnbook.figures.estimate import Missing
from barnbook.figures.promise import Use
from barnbook.figures.sexing import FROM_DAY, TO_DAY, sexing_window

MOST_DAYS = 36_500
"""A hundred years: more is a slip of the pen."""


class Work(StrEnum):
    """A step on the way to young hens in the cage. The screen turns the word into a sentence."""

    KEEP_EGGS = "keep_eggs"
    SET = "set"
    LOCKDOWN = "lockdown"
    HATCH = "hatch"
    SEX = "sex"
    WEIGH = "weigh"
    IN_LAY = "in_lay"
    OLD_HENS_OUT = "old_hens_out"


@dataclass(frozen=True, slots=True)
class Step:
    """Work due from first_day to last_day, both in."""

    work: Work
    first_day: date
    last_day: date


@dataclass(frozen=True, slots=True)
class LineAges:
    """The line's own settings [days]. Ages count from hatch; lockdown from setting; storage before setting."""

    incubation_days: int = 18
    lockdown_day: int = 14
    sexing_from_days: int = FROM_DAY
    sexing_to_days: int = TO_DAY
    weighing_days: int = 56
    start_of_lay_days: int = 50
    storage_days: int = 7

    def __post_init__(self) -> None:
        numbers = [getattr(self, name) for name in self.__slots__]
        if (
            any(not 1 <= number <= MOST_DAYS or number % 1 for number in numbers)
            or not self.lockdown_day < self.incubation_days
        ):
            raise ValueError(
                "Every age of the line is a whole number of days, at least 1, and lockdown comes before the end of "
                "incubation: correct the line's settings."
            )
        if self.sexing_to_days < self.sexing_from_days:
            raise ValueError("The window for sexing ends before it begins: correct its first or last day.")

    @property
    def ready_days(self) -> int:
        """Age at which a hen is sexed, weighed and in lay [days]."""
        return max(self.start_of_lay_days, self.sexing_to_days, self.weighing_days)


@dataclass(frozen=True, slots=True)
class Replacement:
    """What must be done, and when, so that young hens follow the old ones.

    steps: in the order of the work.  in_lay: the day on which young hens stand and lay.  late_days: how many days
    after the day wanted that is, because setting starts today; 0 when there is time.  eggs: to set, if that is known.
    """

    steps: tuple[Step, ...]
    set_day: date
    in_lay: date
    late_days: int
    eggs: EggsToSet | Missing | None
    storage_days: int

    def set_aside(self, name: str) -> Use | None:
        """The eggs to set as a use of the egg store, so that they are not promised away; None while unknown."""
        if not isinstance(self.eggs, EggsToSet):
            return None
        return Use(name, self.set_day, self.eggs.eggs, youngest_days=0, oldest_days=self.storage_days, sold=False)


def last_day_of_life(hatched: date, *, life_days: int) -> date:
    """The last day of a life (laying, or breeding) of birds hatched on `hatched`.

    life_days: whole days, from 1 to a hundred years. Raises ValueError.
    """
    if not 1 <= life_days <= MOST_DAYS or life_days % 1:
        raise ValueError(f"A life of {life_days} days ends before it begins: set the line's laying and breeding lives.")
    return hatched + timedelta(days=life_days)


def replacement(
    last_day: date,
    *,
    today: date,
    ages: LineAges,
    eggs: EggsToSet | Missing | None = None,
    overlap_days: int = 0,
    early_days: int = 7,
) -> Replacement:
    """Work back from the last day of the old hens.

    today: the day the plan is made; eggs cannot be set before it.  eggs: the answer of eggs_to_set for the hens
    wanted.
    overlap_days: how long young and old hens lay side by side.  early_days: how much sooner a step may be done.
    Raises ValueError for days below 0, broken or endless.
    """
    if any(not 0 <= days <= MOST_DAYS or days % 1 for days in (overlap_days, early_days)):
        raise ValueError("Days of overlap and days early are whole numbers, at least 0: correct them.")
    wanted = last_day - timedelta(days=overlap_days)
    best = wanted - timedelta(days=ages.ready_days + ages.incubation_days)
    set_day = max(best, today)
    late = (set_day - best).days
    early = min(early_days, (set_day - today).days)
    hatched = set_day + timedelta(days=ages.incubation_days)
    sexing = sexing_window(hatched, from_day=ages.sexing_from_days, to_day=ages.sexing_to_days)
    in_lay = hatched + timedelta(days=ages.ready_days)
    steps = (
        Step(Work.KEEP_EGGS, max(set_day - timedelta(days=ages.storage_days + early), today), set_day),
        _by(Work.SET, set_day, early),
        _by(Work.LOCKDOWN, set_day + timedelta(days=ages.lockdown_day), early),
        _by(Work.HATCH, hatched, early),
        Step(Work.SEX, sexing.first_day, sexing.last_day),
        _by(Work.WEIGH, hatched + timedelta(days=ages.weighing_days), 0),
        _by(Work.IN_LAY, in_lay, early),
        _by(Work.OLD_HENS_OUT, last_day, 0),
    )
    return Replacement(steps, set_day, in_lay, late, eggs, ages.storage_days)


def _by(work: Work, last: date, early: int) -> Step:
    return Step(work, last - timedelta(days=early), last)


def replacements(
    last_days: Sequence[tuple[str, date]], *, today: date, ages: LineAges, within_days: int = 120
) -> list[tuple[str, Replacement]]:
    """Plans of the cages (name, last day) whose eggs must be set within so many days from today, soonest first.

    within_days: 0 or more [days]. Raises ValueError as `replacement`.
    """
    if not within_days >= 0:
        raise ValueError(f"Nothing falls within {within_days} days: give 0 or more.")
    plans = [(cage, replacement(last_day, today=today, ages=ages)) for cage, last_day in last_days]
    soon = [(cage, plan) for cage, plan in plans if (plan.set_day - today).days <= within_days]
    return sorted(soon, key=lambda named: (named[1].set_day, -named[1].late_days, named[0]))
