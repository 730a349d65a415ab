"""A stated growth, for carrying a weight to the standard age before a line has a curve of its own.

    weight(age) = A exp(-B exp(-k age)),  Gompertz through 180.44, 226.45 and 265.23 g at 28, 35 and 42 days

The three weights are those of meat quail of both sexes, group A2 of Indian Journal of Animal Research BF-1579 (read;
check-values 11.1). Three ages one week apart fix the three numbers exactly:

    r = ln(w42 / w35) / ln(w35 / w28),   k = -ln(r) / 7,   ln A = ln w42 + ln(w42 / w35) r / (1 - r)

Past 42 days it is read beyond what was weighed, and it is no line's own: whoever shows a weight made with it says so.
Only ratios of nearby days are used, so a line that is heavier throughout is served as well.
"""

from __future__ import annotations

import math

from barnbook.figures.growth import STANDARD_AGE_REACH_DAYS

STATED_WEIGHTS_G = {28: 180.44, 35: 226.45, 42: 265.23}
SOURCE = "meat quail of both sexes at 28, 35 and 42 days, Indian Journal of Animal Research BF-1579, group A2"


def stated_weight_g(age_days: float) -> float:
    """The stated weight at an age [g, days from hatch]. Raises ValueError for an age below 0, NaN or infinity."""
    if not (math.isfinite(age_days) and age_days >= 0):
        raise ValueError(f"An age of {age_days} days is none: give days from hatch, 0 or more.")
    asymptote, k = _fixed()
    left = math.log(asymptote / STATED_WEIGHTS_G[42])
    return asymptote * math.exp(-left * math.exp(-k * (age_days - 42)))


def stated_factors(standard_age_days: int) -> dict[int, float]:
    """Factor from each day of age within 7 of the standard age to that age, by the stated growth.

    Raises ValueError for a standard age that is not a whole number of days, 0 or more.
    """
    if standard_age_days % 1 or standard_age_days < 0:
        raise ValueError(f"A standard age of {standard_age_days} days is not whole: give whole days from hatch.")
    there = stated_weight_g(standard_age_days)
    first = max(0, standard_age_days - STANDARD_AGE_REACH_DAYS)
    days = range(first, standard_age_days + STANDARD_AGE_REACH_DAYS + 1)
    return {day: there / stated_weight_g(day) for day in days}


def _fixed() -> tuple[float, float]:
    """The asymptote [g] and the rate [1/day]."""
    first, second, third = (math.log(STATED_WEIGHTS_G[day]) for day in (28, 35, 42))
    ratio = (third - second) / (second - first)
    return math.exp(third + (third - second) * ratio / (1 - ratio)), -math.log(ratio) / 7
