"""How fast the laying figures are, beside the general library someone would use instead.

Run: python tests/bench/bench_laying.py
"""

from __future__ import annotations

import time
import warnings
from datetime import date, timedelta

import numpy as np
import statsmodels.api as sm
from scipy.optimize import curve_fit

from barnbook.figures import lay_curve, lay_fell_off, laying, laying_many

CAGES, DAYS, COMPARED = 1000, 1000, 100


def seconds(work, *, times=5):
    """Median wall time of `work` [s]."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return float(np.median(taken))


def lay_rates_of_a_big_barn() -> None:
    rng = np.random.default_rng(1)
    first, last = date(2023, 1, 1), date(2023, 1, 1) + timedelta(days=DAYS - 1)
    events = [laying.HeadEvent(first - timedelta(days=1), laying.HeadEventKind.MOVED_IN, 5)]
    hens = np.full((CAGES, DAYS), 5)
    eggs = rng.binomial(5, 0.82, (CAGES, DAYS))
    cage, day = (index.ravel() for index in np.indices((CAGES, DAYS)))
    counts = eggs.ravel()

    def work() -> None:
        alive = np.array([laying.hens_by_day(events, first_day=first, last_day=last).hens for _ in range(CAGES)])
        laying_many.lay_rates(cage, day, counts, hens=alive, first_day=1, last_day=DAYS - 1)

    ours = seconds(work)

    def general() -> None:
        for row in eggs[:COMPARED, 1:]:
            model = sm.GLM(row, np.ones((DAYS - 1, 1)), family=sm.families.Poisson(), exposure=hens[0, 1:])
            model.fit(scale="X2").conf_int()

    theirs = seconds(general, times=1) * CAGES / COMPARED
    print(
        f"lay rate with hens by day, {CAGES} cages x {DAYS} days: {ours:.3f} s (at most 0.5); "
        f"statsmodels GLM, measured on {COMPARED} cages and scaled: {theirs:.2f} s; ratio {theirs / ours:.0f}"
    )


def laying_curve() -> None:
    rng = np.random.default_rng(2)
    weeks = np.arange(1, 61.0)
    truth = 0.92 * np.exp(-0.006 * weeks) / (1 + np.exp(-1.3 * (weeks - 2.2)))
    rates = rng.binomial(210, truth) / 210
    ours = seconds(lambda: lay_curve.fit_lay_curve(weeks, rates), times=20)

    def general() -> None:
        def wood(t, a, b, c):
            return a * t**b * np.exp(-c * t)

        def mcmillan(t, a, b, c, d):
            return a * (1 - np.exp(-c * (t - d))) * np.exp(-b * t)

        def yang(t, a, b, c, d):
            return a * np.exp(-b * t) / (1 + np.exp(-c * (t - d)))

        starts = ((wood, (0.5, 0.3, 0.02)), (mcmillan, (0.9, 0.005, 1, 0)), (yang, (0.9, 0.005, 1, 2)))
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            for form, start in starts:
                curve_fit(form, weeks, rates, p0=start, maxfev=5000)

    theirs = seconds(general, times=20)
    print(
        f"laying curve, 60 weeks, three forms, several starts: {1000 * ours:.1f} ms (at most 50); SciPy curve_fit of "
        f"the three from one good start each: {1000 * theirs:.1f} ms; ratio {theirs / ours:.2f}"
    )


def alarm_limit() -> None:
    def work() -> None:
        lay_fell_off.alarm_limit.cache_clear()
        lay_fell_off.alarm_limit(5, rate=0.85, dispersion=5.0, baseline_weeks=12)

    print(f"limit of 'lay fell off' for one kind of cage, simulated: {1000 * seconds(work):.0f} ms")


if __name__ == "__main__":
    lay_rates_of_a_big_barn()
    laying_curve()
    alarm_limit()
