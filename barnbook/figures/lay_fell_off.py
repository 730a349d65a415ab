"""Lay fell off: has a cage laid less, these four weeks, than it was wont to?

    p       lay rate of the baseline, the 4 to 12 weeks before the watched span; frozen: the span does not touch it
    z_d     (eggs_d - p h_d) / sqrt(p (1 - p) h_d)             h_d hens on watched day d
    S_d     min(0, (1 - lambda) S_(d-1) + lambda z_d)          one-sided EWMA over the last 28 days
    alarm   S below -limit

The limit is set by simulation for this cage's hens, rate, length of baseline and the line's dispersion (hens
that pause ten days at a time), so that a cage that lays as ever is named at most once a year. It is seeded:
the same cage always gets the same limit. Heat, moult and light are the keeper's to judge.

Sources: EWMA, Roberts (1959) and NIST/SEMATECH e-Handbook 6.3.2.4; dispersion of hens that pause, renewal
theory, Cox (1962) Renewal Theory ch. 7 (from memory). False alarms and delays, beside a likelihood-ratio
CUSUM: tests/figures/test_lay_fell_off.py.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from barnbook.figures.estimate import Estimate, Missing, Reason
from barnbook.figures.hen_days import CollectionInterval, by_day
from barnbook.figures.interval import normal_quantile

Array = NDArray[np.float64]

WATCHED_DAYS = 28
LEAST_BASELINE_DAYS = 28
MOST_BASELINE_DAYS = 84
LEAST_RATE = 0.3
"""A cage that lays less than this is not in lay; a further fall of it says nothing."""
USUAL_DISPERSION = 5.0
"""Taken when the line's own is not known: ten-day pauses, about three a hen and year."""
PAUSE_DAYS = 10
FALSE_ALARMS_A_YEAR = 0.75
"""Aimed at, so that at most one a cage-year is left after what the simulation cannot know."""
QUIET_NIGHTS = 7
"""Alarms of one cage within so many nights of each other are one alarm."""
MOST_HENS = 12


@dataclass(frozen=True, slots=True)
class FellOff:
    """What watching a cage found.

    fell: the alarm. expected: lay rate of the baseline. score, limit: S and the level it must pass (below
    -limit). began: the watched day from which the fall fits best, None when there is no alarm. drop: share of
    the expected eggs not laid since then; its limits do not know that the day was chosen by looking (note).
    """

    fell: bool
    expected: float
    score: float
    limit: float
    began: date | None
    drop: Estimate | None


def lay_fell_off(
    intervals: Sequence[CollectionInterval],
    *,
    last_day: date,
    dispersion: float = USUAL_DISPERSION,
    decline_a_week: float = 0.0,
) -> FellOff | Missing:
    """Judge the 28 days up to `last_day` of one cage by the up to 84 days before them.

    intervals: the cage's, in order of days; unsettled counts and days without hens are passed over.
    dispersion: the line's (`lay_long_run.LineVariance.dispersion`); below 1 counts as 1. decline_a_week:
    share of its rate that lay is expected to lose each week with age (from the laying curve), 0 to below 0.2.
    Missing: NO_RECORDS when nothing is counted; TOO_FEW_DAYS under 28 counted baseline days, or with none
    watched; NOT_IN_LAY_YET when the baseline is under 0.3; OUT_OF_RANGE when it is above one egg a hen-day.
    Raises ValueError.
    """
    if not (dispersion > 0 and math.isfinite(dispersion)) or not 0 <= decline_a_week < 0.2:
        raise ValueError(
            f"Dispersion {dispersion} or decline {decline_a_week} a week is not possible: "
            "give a dispersion above 0 and a decline of 0 to 0.2."
        )
    first, eggs, hens = by_day([[i for i in intervals if i.last_day <= last_day]])
    if first is None:
        return Missing(Reason.NO_RECORDS, "days", have=0, need=LEAST_BASELINE_DAYS)
    ago = (last_day - first).days - np.arange(len(eggs))
    stood = hens > 0
    base = stood & (ago >= WATCHED_DAYS) & (ago < WATCHED_DAYS + MOST_BASELINE_DAYS)
    watched = stood & (ago < WATCHED_DAYS)
    if base.sum() < LEAST_BASELINE_DAYS:
        return Missing(Reason.TOO_FEW_DAYS, "days", have=int(base.sum()), need=LEAST_BASELINE_DAYS)
    if not watched.any():
        return Missing(Reason.TOO_FEW_DAYS, "watched_days", have=0, need=1)
    rate = float(eggs[base].sum() / hens[base].sum())
    if rate > 1:
        return Missing(Reason.OUT_OF_RANGE, "eggs/hen-day", have=rate, need=1, detail=f"{rate:.3f} eggs/hen-day")
    if rate < LEAST_RATE:
        return Missing(Reason.NOT_IN_LAY_YET, "eggs/hen-day", have=rate, need=LEAST_RATE)
    rate = float(_bounded(np.array(rate), float(hens[base].sum())))
    weeks_on = (float(ago[base].mean()) - ago[watched]) / 7
    expected = rate * (1 - decline_a_week) ** weeks_on
    usual_hens = max(1, min(MOST_HENS, round(float(hens[watched].mean()))))
    limit = limit_for(usual_hens, rate=rate, dispersion=dispersion, baseline_days=int(base.sum()))
    scale = np.sqrt(expected * (1 - expected) * hens[watched])
    residuals = (eggs[watched] - expected * hens[watched]) / scale
    score = float(one_sided_ewma(residuals, weight=ewma_weight(usual_hens, dispersion)))
    if score >= -limit:
        return FellOff(fell=False, expected=rate, score=score, limit=limit, began=None, drop=None)
    since = _best_start(eggs[watched], hens[watched], expected)
    days = np.flatnonzero(watched)[since:]
    began = first + timedelta(days=int(days[0]))
    drop = _drop(
        eggs[days],
        hens[days],
        expected[since:],
        baseline=float(hens[base].sum()),
        dispersion=dispersion,
        began=began,
        last_day=last_day,
    )
    return FellOff(fell=True, expected=rate, score=score, limit=limit, began=began, drop=drop)


def limit_for(hens: int, *, rate: float, dispersion: float, baseline_days: int) -> float:
    """`alarm_limit` at the nearest rate (in fortieths), whole dispersion of 1 to 10 and whole weeks of baseline."""
    return alarm_limit(
        hens,
        rate=min(max(round(rate * 40) / 40, LEAST_RATE), 0.975),
        dispersion=float(min(max(round(dispersion), 1), 10)),
        baseline_weeks=baseline_days // 7,
    )


def ewma_weight(hens: int, dispersion: float) -> float:
    """lambda: few hens, or unruly ones, need a longer memory; 0.05 to 0.25 (the rule found by simulation)."""
    return min(max(0.04 * hens / math.sqrt(min(max(dispersion, 1), 10)), 0.05), 0.25)


def one_sided_ewma(residuals: Iterable[Array], *, weight: float) -> Array:
    """S after the last residual, from S = 0 before the first: min(0, (1 - weight) S + weight z).

    residuals: in order of days, each a number or an array of cages. Source: NIST/SEMATECH e-Handbook 6.3.2.4,
    held at 0.
    """
    score = np.zeros(())
    for residual in residuals:
        score = np.minimum((1 - weight) * score + weight * residual, 0)
    return score


@lru_cache(maxsize=4096)
def alarm_limit(hens: int, *, rate: float, dispersion: float, baseline_weeks: int) -> float:
    """The limit that a cage of such hens, laying as ever, passes 0.75 times a year [the unit of S].

    hens: 1 to 12.  rate: 0.3 to 0.95.  dispersion: 1 or more.  baseline_weeks: 4 to 12. 150 cages are
    simulated over two years each, judged every night as `lay_fell_off` would, and the limit found by
    bisection. Deterministic.
    """
    rng = np.random.default_rng(20_180)
    baseline = 7 * baseline_weeks
    eggs = simulated_eggs(rng, 150, baseline + WATCHED_DAYS + 730, hens=hens, rate=rate, dispersion=dispersion)
    scores = nightly_scores(eggs, hens=hens, dispersion=dispersion, baseline_days=baseline)
    low, high = 0.0, float(-scores.min())
    for _ in range(20):
        limit = (low + high) / 2
        low, high = (limit, high) if alarms_a_year(scores, limit) > FALSE_ALARMS_A_YEAR else (low, limit)
    return high


def simulated_eggs(
    rng: np.random.Generator,
    cages: int,
    days: int,
    *,
    hens: int,
    rate: float,
    dispersion: float,
    falls_on: int | None = None,
    fall: float = 0.0,
) -> Array:
    """Eggs by cage and day, shape (cages, days), of hens that lay `rate` and pause ten days now and then.

    Pauses come as often as gives the dispersion. From day index `falls_on` each hen lays the share `fall`
    less.
    """
    between = _days_between_pauses(rate, dispersion)
    paused_share = PAUSE_DAYS / (between + PAUSE_DAYS)
    in_lay = min(rate / (1 - paused_share), 1.0)
    start = np.where(rng.random((cages, hens)) < paused_share, rng.integers(1, PAUSE_DAYS + 1, (cages, hens)), 0)
    left = start.astype(np.int8)
    eggs = np.empty((cages, days))
    for day in range(days):
        begins = rng.random((cages, hens), dtype=np.float32) < 1 / (between + 1)
        left = np.where((left == 0) & begins, PAUSE_DAYS, np.maximum(left - 1, 0)).astype(np.int8)
        lays = in_lay * (1 - fall) if falls_on is not None and day >= falls_on else in_lay
        eggs[:, day] = ((left == 0) & (rng.random((cages, hens), dtype=np.float32) < lays)).sum(axis=1)
    return eggs


def nightly_scores(eggs: Array, *, hens: int, dispersion: float, baseline_days: int) -> Array:
    """S of each cage on each night that has a whole baseline and span behind it, shape (cages, nights).

    eggs: shape (cages, days). The baseline of each night is the `baseline_days` before its 28 watched days.
    """
    days = eggs.shape[1]
    nights = np.arange(baseline_days + WATCHED_DAYS, days + 1)
    total = np.concatenate((np.zeros((len(eggs), 1)), np.cumsum(eggs, axis=1)), axis=1)
    laid = total[:, nights - WATCHED_DAYS] - total[:, nights - WATCHED_DAYS - baseline_days]
    rate = _bounded(laid / (hens * baseline_days), float(hens * baseline_days))
    scale = np.sqrt(rate * (1 - rate) * hens)
    residuals = ((eggs[:, nights - back] - rate * hens) / scale for back in range(WATCHED_DAYS, 0, -1))
    return one_sided_ewma(residuals, weight=ewma_weight(hens, dispersion))


def alarms_a_year(scores: Array, limit: float) -> float:
    """Alarms a cage-year; one that follows another within 7 nights is the same alarm. scores: (cages, nights)."""
    over = scores < -limit
    seen = np.concatenate((np.zeros((len(over), 1), dtype=int), np.cumsum(over, axis=1)), axis=1)
    nights = np.arange(over.shape[1])
    fresh = over & (seen[:, nights] == seen[:, np.maximum(nights - QUIET_NIGHTS, 0)])
    return float(fresh.sum() / (over.size / 365))


def _days_between_pauses(rate: float, dispersion: float) -> float:
    """Mean days in lay m between pauses of D = 10 days that give the dispersion; bisection on the log scale.

    phi p (1 - p) = q (1 - q) s + q^2 D^2 m^2 / (D + m)^3,    s = m / (m + D),  q = p / s
    """
    low, high = 1.0, 1e7
    for _ in range(60):
        m = math.sqrt(low * high)
        share = m / (m + PAUSE_DAYS)
        in_lay = rate / share
        spread = in_lay * (1 - in_lay) * share + in_lay**2 * PAUSE_DAYS**2 * m**2 / (PAUSE_DAYS + m) ** 3
        if in_lay > 1 or spread > dispersion * rate * (1 - rate):
            low = m
        else:
            high = m
    return high


def _bounded(rate: Array, hen_days: float) -> Array:
    """Away from 0 and 1 by half an egg: a baseline without a miss must not make one miss a wonder."""
    return np.clip(rate, 0.5 / hen_days, 1 - 0.5 / hen_days)


def _best_start(eggs: Array, hens: Array, expected: Array) -> int:
    """Index of the day from which what is missing is largest for its chance variation (least squares change point)."""
    missing = np.cumsum((expected * hens - eggs)[::-1])[::-1]
    chance = np.cumsum((expected * (1 - expected) * hens)[::-1])[::-1]
    return int(np.argmax(np.where(missing > 0, missing**2 / chance, 0)))


def _drop(
    eggs: Array, hens: Array, expected: Array, *, baseline: float, dispersion: float, began: date, last_day: date
) -> Estimate:
    """1 - eggs / expected eggs, limits on the log scale: variance of both rates, (1 - p) / (p N) times dispersion."""
    foreseen, hen_days = float((expected * hens).sum()), float(hens.sum())
    laid = max(float(eggs.sum()), 0.5)  # half an egg keeps the logarithm finite when none was laid
    now, before = laid / hen_days, foreseen / hen_days
    variance = max(dispersion, 1.0) * ((1 - now) / laid + (1 - before) / (before * baseline))
    step = normal_quantile() * math.sqrt(variance)
    kept = laid / foreseen
    return Estimate(
        unit="share",
        value=1 - float(eggs.sum()) / foreseen,
        low=max(1 - kept * math.exp(step), -1.0),
        high=1 - kept * math.exp(-step) if eggs.any() else 1.0,
        n=hen_days,
        n_of="hen-days",
        method="log_ratio_dispersed",
        first_day=began,
        last_day=last_day,
        notes=("start_chosen_by_looking",),
    )
