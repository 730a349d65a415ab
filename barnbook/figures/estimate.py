"""The shape of a figure: a number that someone decides by, never bare.

A figure carries its value, its 95 % interval and how that was made, n, the span of days, what was left out and
why. With too little data it carries no value but what is missing, as data (`Missing`), so that a screen can say
"12 more days of counts" in the reader's own language.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum


class Reason(StrEnum):
    """Why a figure may not be shown yet. The screen turns the word into a sentence."""

    NO_RECORDS = "no_records"
    TOO_FEW_RECORDS = "too_few_records"
    TOO_FEW_DAYS = "too_few_days"
    TOO_FEW_BIRDS = "too_few_birds"
    TOO_FEW_GROUPS = "too_few_groups"
    NOT_CANDLED = "not_candled"
    NOT_IDENTIFIED = "not_identified"
    NO_PEAK_SEEN = "no_peak_seen"
    CONTRADICTION = "contradiction"
    NO_VARIATION = "no_variation"
    OUT_OF_RANGE = "out_of_range"
    NOT_RANDOM_MATING = "not_random_mating"
    NOT_IN_LAY_YET = "not_in_lay_yet"
    FIRST_COUNTED_IN_LAY = "first_counted_in_lay"


@dataclass(frozen=True, slots=True)
class Missing:
    """What a figure still needs before it may be shown.

    reason: why.  have, need: counts of `what` [unit named by `what`: "days", "hens", "trays", ...].
    detail: a fact for the reader that no count can say ("hens below zero on 2026-03-04").
    """

    reason: Reason
    what: str = ""
    have: float | None = None
    need: float | None = None
    detail: str = ""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Records that a figure did not use: how many of `what`, and why: a word that the screen turns into a sentence."""

    what: str
    count: int
    why: str


@dataclass(frozen=True, slots=True)
class Estimate:
    """One figure.

    value, low, high: in `unit`; low and high are the 95 % limits made by `method` (a machine word). All three are
    None when `missing` is set. n: the number of `n_of` it stands on. first_day, last_day: the span, both ends in.
    notes: machine words for what must be printed with the figure ("day_of_death_counts").
    """

    unit: str
    value: float | None = None
    low: float | None = None
    high: float | None = None
    n: float = 0
    n_of: str = "records"
    method: str = ""
    first_day: date | None = None
    last_day: date | None = None
    left_out: tuple[LeftOut, ...] = ()
    missing: Missing | None = None
    notes: tuple[str, ...] = field(default=())

    def __post_init__(self) -> None:
        if (self.value is None) == (self.missing is None):
            raise ValueError("A figure has either a value or says what is missing: give exactly one of the two.")

    @property
    def shown(self) -> bool:
        """True when the figure may be shown as a number."""
        return self.missing is None
