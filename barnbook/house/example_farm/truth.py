"""What is true on the example farm and stands in no book: for checking figures against what they estimate."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta


@dataclass(frozen=True, slots=True)
class CageDay:
    """One cage on one day.

    hens: those alive at the start of the day, a hen found dead that morning among them [hens].
    expected: sum of the hens' true chances to lay that day [eggs].  laid: what they did lay [eggs].
    """

    hens: int
    expected: float
    laid: int


@dataclass(frozen=True, slots=True)
class TrueBird:
    """A bird of a brood as it really is. weight_g: at 56 days of age, without the scale's error.  breeding_g: what
    of it is inherited."""

    id: str
    sex: str
    plumage: str
    weight_g: float
    breeding_g: float


@dataclass(frozen=True, slots=True)
class TrueTray:
    """A tray of a setting. fertile: the chance of each of its eggs to be so."""

    cage: str
    eggs: int
    fertile: float


@dataclass(slots=True)
class Truth:
    """first_day: of the book.  cages: by code, one CageDay for each day of the book up to yesterday (a cage put up
    later has days without hens before).  hatched: by brood of the story.  birds: of each brood that was looked at.
    codes: the brood's code in the book.  settings: its trays, by the setting's code.  heat: first and last day of the
    heat wave, or None outside the book.
    """

    first_day: date
    cages: dict[str, list[CageDay]] = field(default_factory=dict)
    hatched: dict[str, date] = field(default_factory=dict)
    codes: dict[str, str] = field(default_factory=dict)
    birds: dict[str, list[TrueBird]] = field(default_factory=dict)
    settings: dict[str, list[TrueTray]] = field(default_factory=dict)
    heat: tuple[date, date] | None = None
    fell_off: tuple[str, date] = ("", date.min)

    def lay_rate(self, cage: str, *, first_day: date, last_day: date) -> float:
        """The true lay rate of a cage over a span, both ends in [eggs/hen-day]; nan without hens."""
        days = self.cages[cage][(first_day - self.first_day).days : (last_day - self.first_day).days + 1]
        hen_days = sum(day.hens for day in days)
        return sum(day.expected for day in days) / hen_days if hen_days else float("nan")

    def day(self, cage: str, day: date) -> CageDay:
        return self.cages[cage][(day - self.first_day).days]

    @property
    def last_day(self) -> date:
        return self.first_day + timedelta(days=len(next(iter(self.cages.values()))) - 1)
