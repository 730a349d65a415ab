"""The laying year: when a cohort came into lay, and its eggs a hen in laying year 1 and 2.

    start of lay    the middle day of the first 7-day span at or above 50 % hen-day
    eggs a hen      sum over the year's days of eggs / hens;  year 1 is days 1-365 from start of lay, year 2 366-730

What was counted and what the laying curve foresees are kept apart. Year 2 is foreseen only when the curve
reaches 26 weeks past its peak; a young cohort may borrow the curve of an earlier cohort of its line, which is
then named.

Sources: definitions are the project's own. Forecast: the models' forecasts weighted by AICc with their spread
counted in, Burnham & Anderson (2002) section 4.3 (from memory). Coverage simulated in
tests/figures/test_laying_year.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason
from barnbook.figures.hen_days import CollectionInterval, by_day
from barnbook.figures.interval import expit, logit, t_quantile
from barnbook.figures.lay_curve import LayCurves

Array = NDArray[np.float64]

DAYS_A_YEAR = 365
SPAN_DAYS = 7
SHARE_IN_LAY = 0.5
WEEKS_PAST_PEAK_FOR_YEAR_2 = 26
WIDEST_SHARE = 0.5
"""Limits further apart than this many eggs a hen-day foresee nothing, and are not shown."""


@dataclass(frozen=True, slots=True)
class LayingYear:
    """Eggs a hen of one laying year [eggs/hen]: counted so far, foreseen for the other days, and both together.

    The counted part has no limits: it happened. The limits of `total` are those of the forecast moved up by
    it.
    """

    observed: Estimate
    forecast: Estimate
    total: Estimate


def start_of_lay(cages: Sequence[Sequence[CollectionInterval]]) -> date | Missing:
    """Day on which the cohort came into lay: it belongs to hens hatched together, not to one cage.

    cages: the intervals of each of the cohort's cages. Eggs of an interval of several days are spread evenly
    over it. Missing: NO_RECORDS; NOT_IN_LAY_YET while no 7 counted days in a row reach 50 %;
    FIRST_COUNTED_IN_LAY when the first 7 counted days already do, for then the start was not seen.
    """
    first, eggs, hen_days = by_day(cages)
    if first is None:
        return Missing(Reason.NO_RECORDS, "intervals", have=0, need=SPAN_DAYS)
    one = np.ones(SPAN_DAYS)
    counted = np.convolve(hen_days > 0, one, "valid") == SPAN_DAYS
    with np.errstate(divide="ignore", invalid="ignore"):
        rate = np.convolve(eggs, one, "valid") / np.convolve(hen_days, one, "valid")
    spans = np.flatnonzero(counted)
    in_lay = spans[rate[spans] >= SHARE_IN_LAY - 1e-9]
    if in_lay.size == 0:
        most = float(rate[spans].max()) if spans.size else None
        return Missing(Reason.NOT_IN_LAY_YET, "eggs/hen-day", have=most, need=SHARE_IN_LAY)
    if in_lay[0] == spans[0]:
        return Missing(Reason.FIRST_COUNTED_IN_LAY, "eggs/hen-day", have=float(rate[in_lay[0]]))
    return first + timedelta(days=int(in_lay[0]) + SPAN_DAYS // 2)


def weekly_rates(cages: Sequence[Sequence[CollectionInterval]], *, start: date) -> tuple[Array, Array, Array]:
    """Week in lay (1 begins at `start`), lay rate [eggs/hen-day] and hen-days of each whole week, shape (weeks,).

    For `lay_curve.fit_lay_curve`. Weeks without hen-days, and the week not over yet, are not there.
    """
    first, eggs, hen_days = by_day(cages)
    if first is None:
        return np.empty(0), np.empty(0), np.empty(0)
    week = (np.arange(len(eggs)) + (first - start).days) // 7 + 1
    whole = (week >= 1) & (week <= (len(eggs) + (first - start).days) // 7)
    count = int(week[whole].max()) if whole.any() else 0
    eggs_of = np.bincount(week[whole], eggs[whole], count + 1)[1:]
    hen_days_of = np.bincount(week[whole], hen_days[whole], count + 1)[1:]
    stood = hen_days_of > 0
    weeks = np.flatnonzero(stood).astype(np.float64) + 1
    return weeks, eggs_of[stood] / hen_days_of[stood], hen_days_of[stood].astype(np.float64)


def eggs_a_hen(
    cages: Sequence[Sequence[CollectionInterval]],
    *,
    start: date,
    year: int,
    curves: LayCurves | Missing,
    borrowed_from: str | None = None,
) -> LayingYear:
    """Eggs a hen in laying year 1 or 2 of a cohort that came into lay on `start`.

    cages: the intervals of the cohort's cages. curves: its laying curve, or why it has none, or that of an
    earlier cohort, then named in `borrowed_from` (note `borrowed_from:<name>`). Days without a settled count,
    past or to come, are forecast. The forecast says what hens like these will lay on those days, alive:
    losses are not foreseen. Daily rates above 1 are taken as 1.
    Year 2 needs a curve seen to 26 weeks past its peak (TOO_FEW_DAYS, weeks). NOT_IDENTIFIED when the limits
    are further apart than half an egg a hen-day: few hens, or a curve that may go either way. Raises
    ValueError for another year.
    """
    if year not in (1, 2):
        raise ValueError(f"Laying year {year} is not known: ask for year 1 or 2.")
    offset = (year - 1) * DAYS_A_YEAR
    rate = _daily_rate(cages, start=start, offset=offset)
    counted = np.isfinite(rate)
    first_day, last_day = start + timedelta(days=offset), start + timedelta(days=offset + DAYS_A_YEAR - 1)
    eggs_so_far, days_counted = float(rate[counted].sum()), int(counted.sum())
    if eggs_so_far > days_counted:
        fault = Missing(Reason.OUT_OF_RANGE, "eggs/hen-day", have=eggs_so_far / days_counted, need=1)
        return LayingYear(*(_part(first_day, last_day, missing=fault) for _ in range(3)))
    observed = (
        _part(first_day, last_day, value=eggs_so_far, n=days_counted, method="count", notes=("what_happened",))
        if days_counted
        else _part(first_day, last_day, missing=Missing(Reason.NO_RECORDS, "days", have=0, need=1))
    )
    if days_counted == DAYS_A_YEAR:
        none_left = _part(first_day, last_day, value=0.0, low=0.0, high=0.0, method="count")
        return LayingYear(observed, none_left, observed)
    days = offset + 1 + np.flatnonzero(~counted).astype(np.float64)
    missing = curves if isinstance(curves, Missing) else _not_seen_far_enough(curves, year)
    if missing is not None or isinstance(curves, Missing):
        unseen = _part(first_day, last_day, missing=missing)
        return LayingYear(observed, unseen, unseen)
    value, low, high = forecast_eggs(curves, days)
    if high - low > WIDEST_SHARE * len(days):
        wide = Missing(Reason.NOT_IDENTIFIED, "eggs/hen", have=high - low, need=WIDEST_SHARE * len(days))
        unseen = _part(first_day, last_day, missing=wide)
        return LayingYear(observed, unseen, unseen)
    notes = (f"borrowed_from:{borrowed_from}",) if borrowed_from else ()
    forecast = _part(
        first_day, last_day, value=value, low=low, high=high, n=len(days), method="aicc_weighted_curves", notes=notes
    )
    gaps = int((~counted[: int(np.flatnonzero(counted)[-1])]).sum()) if days_counted else 0
    total = _part(
        first_day,
        last_day,
        value=eggs_so_far + value,
        low=eggs_so_far + low,
        high=eggs_so_far + high,
        n=days_counted,
        method="count_and_forecast",
        notes=notes,
        left_out=(LeftOut("days", gaps, "not_counted_but_forecast"),) if gaps else (),
    )
    return LayingYear(observed, forecast, total)


def forecast_eggs(curves: LayCurves, days: Array) -> tuple[float, float, float]:
    """Eggs a hen over these days in lay (1 is the first), with 95 % limits of what will be laid [eggs/hen].

    days: shape (m,). Mean of the models' forecasts by Akaike weight. Its variance holds the parameters'
    (times the residuals' inflation), the spread between the models, and the weeks' own scatter. Limits are
    made on the logit scale of the mean rate, so they stay between none and one egg a day; Student's t with
    (n - p) / 4 degrees of freedom, for the long-run variance is a sum over neighbouring weeks (the 4 chosen by
    simulation, see the test).
    """
    weeks = (np.asarray(days, dtype=float) + 3) / 7  # day 4 is the middle of week 1
    values, variances = [], []
    for curve in curves.curves:
        values.append(float(np.clip(curve.rate(weeks), 0, 1).sum()))
        slope = curve.gradient(weeks).sum(axis=0)
        scatter = 49 * curve.residual_variance * len(days) / 7
        variances.append(curves.inflation * (float(slope @ curve.covariance @ slope) + scatter))
    share = np.array(curves.weights)
    value = float(share @ values)
    spread = float(share @ (np.array(variances) + (np.array(values) - value) ** 2))
    mean = min(max(value / len(days), 1e-6), 1 - 1e-6)
    freedom = max((curves.best.n - len(curves.best.parameters)) / 4, 1)
    step = t_quantile(freedom) * math.sqrt(spread) / len(days)
    step /= mean * (1 - mean)
    return value, len(days) * expit(logit(mean) - step), len(days) * expit(logit(mean) + step)


def _not_seen_far_enough(curves: LayCurves, year: int) -> Missing | None:
    need = curves.best.peak_week + WEEKS_PAST_PEAK_FOR_YEAR_2
    if year == 1 or curves.last_week >= need:
        return None
    return Missing(Reason.TOO_FEW_DAYS, "weeks", have=curves.last_week, need=math.ceil(need))


def _daily_rate(cages: Sequence[Sequence[CollectionInterval]], *, start: date, offset: int) -> Array:
    """Eggs a hen on each of the year's days, NaN where no settled count covers it; shape (365,)."""
    rate = np.full(DAYS_A_YEAR, np.nan)
    first, eggs, hen_days = by_day(cages)
    if first is None:
        return rate
    place = np.arange(len(eggs)) + (first - start).days - offset
    good = (hen_days > 0) & (place >= 0) & (place < DAYS_A_YEAR)
    rate[place[good]] = eggs[good] / hen_days[good]
    return rate


def _part(
    first_day: date,
    last_day: date,
    *,
    value: float | None = None,
    low: float | None = None,
    high: float | None = None,
    n: int = 0,
    method: str = "",
    notes: tuple[str, ...] = (),
    left_out: tuple[LeftOut, ...] = (),
    missing: Missing | None = None,
) -> Estimate:
    return Estimate(
        unit="eggs/hen",
        value=value,
        low=low,
        high=high,
        n=n,
        n_of="days",
        method=method,
        first_day=first_day,
        last_day=last_day,
        left_out=left_out,
        missing=missing,
        notes=notes,
    )
