"""Line forecast: what a line's hens may be expected to lay in the weeks to come, from its last weeks.

    r = sum y / sum h;   phi = sum (y_b - r h_b)^2 / (r (1 - r) h_b) / (m - 1)
    limits: logit r -+ t sqrt(phi / (r (1 - r) sum h))

over m whole weeks of y_b sound eggs from h_b hen-days, all cages of the line together, t with m - 1 degrees of
freedom. It foresees the next weeks as the last ones: not heat, moult, nor hens that come into lay.
Source: quasi-binomial dispersion, McCullagh & Nelder (1989) section 4.5; limits on the logit scale by the delta
method. That promises made on it are kept as often as they say is simulated in tests/figures/test_line_forecast.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from barnbook.figures.estimate import Estimate, Missing, Reason
from barnbook.figures.hen_days import CollectionInterval, by_day
from barnbook.figures.interval import expit, logit, t_quantile

MOST_WEEKS = 12
LEAST_WEEKS = 4
LEAST_DISPERSION = 0.05
DAYS_A_WEEK = 7


@dataclass(frozen=True, slots=True)
class LineForecast:
    """rate: sound eggs a hen-day with its 95 % limits.  dispersion: of weekly totals over binomial chance, with its
    degrees of freedom. As `promise.futures` takes them."""

    rate: Estimate
    dispersion: float
    degrees_of_freedom: float


def line_forecast(cages: Sequence[Sequence[CollectionInterval]]) -> LineForecast | Missing:
    """The forecast of a line from the intervals of its cages, eggs being the sound ones.

    Weeks end on the last day counted; at most the last 12, of those with hen-days. TOO_FEW_DAYS (weeks) under 4;
    OUT_OF_RANGE above one egg a hen-day; NO_VARIATION when none or all laid, for then nothing is known of how
    weeks differ.
    """
    first, eggs, hen_days = by_day(cages)
    weeks = len(eggs) // DAYS_A_WEEK
    if first is None or weeks < LEAST_WEEKS:
        return Missing(Reason.TOO_FEW_DAYS, "weeks", have=weeks, need=LEAST_WEEKS)
    kept = min(weeks, MOST_WEEKS) * DAYS_A_WEEK
    y = eggs[-kept:].reshape(-1, DAYS_A_WEEK).sum(axis=1)
    h = hen_days[-kept:].reshape(-1, DAYS_A_WEEK).sum(axis=1)
    y, h = y[h > 0], h[h > 0]
    if len(h) < LEAST_WEEKS:
        return Missing(Reason.TOO_FEW_DAYS, "weeks", have=len(h), need=LEAST_WEEKS)
    rate = float(y.sum() / h.sum())
    if rate > 1:
        return Missing(Reason.OUT_OF_RANGE, "eggs/hen-day", have=rate, need=1)
    if not 0 < rate < 1:
        return Missing(Reason.NO_VARIATION, "weeks", have=len(h), need=LEAST_WEEKS)
    freedom = len(h) - 1
    dispersion = max(float(((y - rate * h) ** 2 / (rate * (1 - rate) * h)).sum()) / freedom, LEAST_DISPERSION)
    step = t_quantile(freedom) * math.sqrt(dispersion / (rate * (1 - rate) * float(h.sum())))
    last: date = first + timedelta(days=len(eggs) - 1)
    return LineForecast(
        rate=Estimate(
            unit="eggs/hen-day",
            value=rate,
            low=expit(logit(rate) - step),
            high=expit(logit(rate) + step),
            n=float(np.sum(h)),
            n_of="hen-days",
            method="quasi_binomial_weeks",
            first_day=last - timedelta(days=kept - 1),
            last_day=last,
            notes=("sound_eggs",),
        ),
        dispersion=dispersion,
        degrees_of_freedom=freedom,
    )
