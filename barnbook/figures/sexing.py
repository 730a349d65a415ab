"""Sexing: when a brood is looked at, and when its unsure birds are looked at again.

    first_day = hatched_on + from_day                [days from hatch; the day of hatch is day 0]
    last_day  = hatched_on + to_day                  [both ends in]

The usual span, 42 to 56 days, is the line's own setting and may be edited. It agrees with the literature as
far as that goes: foam shows in the first cocks at about six weeks, in the last only by week ten (Central
Avian Research Institute, poulvet.com, japanese_quail), so a bird without foam may be unsure, but is no
proven hen.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

FROM_DAY = 42
TO_DAY = 56
LOOK_AGAIN_AFTER_DAYS = 7


@dataclass(frozen=True, slots=True)
class Window:
    """The days on which a piece of work should be done, both ends in."""

    first_day: date
    last_day: date

    def is_open(self, day: date) -> bool:
        """True when `day` lies inside the window."""
        return self.first_day <= day <= self.last_day

    def is_late(self, day: date) -> bool:
        """True when the last day of the window has passed by `day`."""
        return day > self.last_day


def sexing_window(hatched_on: date, *, from_day: int = FROM_DAY, to_day: int = TO_DAY) -> Window:
    """Days on which a brood hatched on `hatched_on` should be sexed.

    from_day, to_day: age at the first and the last day [days from hatch, day of hatch = 0].
    Raises ValueError when the window opens before the hatch or closes before it opens.

    >>> sexing_window(date(2026, 3, 1))
    Window(first_day=datetime.date(2026, 4, 12), last_day=datetime.date(2026, 4, 26))
    """
    if from_day < 0:
        raise ValueError(
            f"The sexing window opens at day {from_day}, before the hatch: give an age of 0 days or more."
        )
    if to_day < from_day:
        raise ValueError(
            f"The sexing window closes at day {to_day} but opens at day {from_day}: "
            "give a last day that is not before the first."
        )
    return Window(hatched_on + timedelta(days=from_day), hatched_on + timedelta(days=to_day))


def look_again(last_looked: date, *, after_days: int = LOOK_AGAIN_AFTER_DAYS) -> date:
    """Day on which birds left unsure on `last_looked` are due again [date].

    Raises ValueError when `after_days` is below 1: the same look cannot be due again on its own day.
    """
    if after_days < 1:
        raise ValueError(f"Unsure birds are due again after {after_days} days: give 1 day or more.")
    return last_looked + timedelta(days=after_days)
