"""Laying: hens that pause for days, cages that differ, cohorts that grow old."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from barnbook.figures import egg_weight, interval, lay_curve, lay_long_run, laying_year
from barnbook.figures.egg_weight import EggWeighing
from barnbook.figures.hen_days import CollectionInterval
from barnbook.figures.lay_long_run import LineVariance
from tests.figures.coverage import Case, Held, held, holds

Array = NDArray[np.float64]
DAY = date(2026, 1, 1)


def intervals(eggs: Array, *, hens: int) -> list[CollectionInterval]:
    """One count a day."""
    return [
        CollectionInterval(DAY + timedelta(days=i), DAY + timedelta(days=i), int(n), hens) for i, n in enumerate(eggs)
    ]


def pausing_eggs(
    rng: np.random.Generator,
    *,
    cages: int,
    hens: int,
    days: int,
    in_lay: Array | float = 0.9,
    between: int = 60,
    pause: int = 10,
) -> Array:
    """Eggs of each cage and day, shape (cages, days); each hen falls into a pause at 1 / `between` a day.

    in_lay: chance of an egg on a day outside pauses, one or one a cage.
    """
    left = np.zeros(cages * hens, dtype=int)
    laying = np.empty((cages * hens, days + 300), dtype=bool)
    for day in range(days + 300):  # the first 300 days wear off the start
        left = np.where((left == 0) & (rng.random(left.size) < 1 / between), pause, np.maximum(left - 1, 0))
        laying[:, day] = left == 0
    chance = np.repeat(np.broadcast_to(in_lay, cages), hens)[:, None]
    eggs = laying[:, 300:] & (rng.random((cages * hens, days)) < chance)
    return np.asarray(eggs.reshape(cages, hens, days).sum(axis=1), dtype=np.float64)


def long_run_truth(*, in_lay: float = 0.9, between: int = 60, pause: int = 10) -> float:
    """Renewal theory: laying days between pauses are geometric, mean between - 1 after the day a pause may start."""
    return in_lay * (between - 1) / (between - 1 + pause)


def what_happened(rng: np.random.Generator, repeats: int) -> Held:
    """5 hens whose days are independent, 25 collections of 1 to 3 days each; truth 0.8."""
    out = []
    for _ in range(repeats):
        lengths = rng.integers(1, 4, 25)
        found = interval.quasi_poisson_rate(rng.binomial(5 * lengths, 0.8).tolist(), (5 * lengths).tolist())
        out.append(holds(found, 0.8))
    return held(out)


def cage_in_the_long_run(days: int) -> Callable[[np.random.Generator, int], Held]:
    """One cage of 5 hens with ten-day pauses; the variance from the 120 days of six cages of its line."""

    def hold(rng: np.random.Generator, repeats: int) -> Held:
        out = []
        for _ in range(repeats // 6):
            cages = [intervals(row, hens=5) for row in pausing_eggs(rng, cages=6, hens=5, days=120)]
            variance = lay_long_run.line_variance(cages)
            assert isinstance(variance, LineVariance)
            found = (lay_long_run.long_run_lay_rate(cage[:days], variance=variance) for cage in cages)
            out += [holds(one, long_run_truth()) for one in found]
        return held(out)

    return hold


def line(cages: int, *, differ: bool) -> Callable[[np.random.Generator, int], Held]:
    """A line over cages of 5 hens with ten-day pauses, 60 days; they differ: lay outside pauses 0.75 to 1."""

    def hold(rng: np.random.Generator, repeats: int) -> Held:
        in_lay = rng.uniform(0.75, 1, (repeats, cages)) if differ else np.full((repeats, cages), 0.9)
        truth = long_run_truth(in_lay=0.875 if differ else 0.9)
        eggs = pausing_eggs(rng, cages=repeats * cages, hens=5, days=60, in_lay=in_lay.ravel()).sum(axis=1)
        out = []
        for of_line in eggs.reshape(repeats, cages):
            whole = [[CollectionInterval(DAY, DAY + timedelta(days=59), int(n), 300)] for n in of_line]
            out.append(holds(lay_long_run.line_lay_rate(whole), truth))
        return held(out)

    return hold


TRUE_CURVES: dict[str, Callable[[Array], Array]] = {
    "yang": lambda t: np.asarray(0.90 * np.exp(-0.006 * t) / (1 + np.exp(-1.2 * (t - 2)))),
    "mcmillan": lambda t: np.asarray(0.85 * np.exp(-0.004 * t) * (1 - np.exp(-0.8 * t))),
    "wood": lambda t: np.minimum(0.55 * t**0.18 * np.exp(-0.016 * t), 0.86),
}


def pausing_cohorts(
    rng: np.random.Generator, rate: Array, *, runs: int, hens: int, pause: int = 10, between: int = 60
) -> Array:
    """Eggs by run and day of hens that fall into ten-day pauses; `rate` is the hen-day rate with them counted in."""
    free = (between - 1) / (between - 1 + pause)
    left = np.zeros((runs, hens), dtype=np.int16)
    eggs = np.zeros((runs, len(rate)))
    for day in range(-60, len(rate)):
        starts = rng.random((runs, hens), dtype=np.float32) < 1 / between
        left = np.where((left == 0) & starts, pause, np.maximum(left - 1, 0)).astype(np.int16)
        if day >= 0:
            laid = rng.random((runs, hens), dtype=np.float32) < min(rate[day] / free, 1)
            eggs[:, day] = ((left == 0) & laid).sum(axis=1)
    return eggs


def laying_year_forecast(
    *, year: int, weeks_seen: tuple[int, int], most_missing: float
) -> Callable[[np.random.Generator, int], Held]:
    """What is foreseen of a laying year, against what the same hens then lay: three true forms, 10 or 40 hens.

    most_missing: share of the cohorts that may be told "not enough yet".
    """

    def hold(rng: np.random.Generator, repeats: int) -> Held:
        out, missing = [], 0
        days = np.arange(1, 731)
        unseen = slice(365, 730)
        for truth in TRUE_CURVES.values():
            for hens in (10, 40):
                cohorts = pausing_cohorts(rng, truth((days + 3) / 7), runs=-(-repeats // 6), hens=hens)
                for run, eggs in enumerate(cohorts):
                    seen = weeks_seen[run % 2]
                    rates = eggs[: 7 * seen].reshape(-1, 7).sum(axis=1) / (7 * hens)
                    curves = lay_curve.fit_lay_curve(np.arange(1, seen + 1), rates, np.full(seen, 7 * hens))
                    counted = [intervals(eggs[: 7 * seen], hens=hens)] if year == 1 else []
                    found = laying_year.eggs_a_hen(counted, start=DAY, year=year, curves=curves).forecast
                    missing += not found.shown
                    if year == 1:
                        unseen = slice(7 * seen, 365)
                    if found.shown:
                        out.append(holds(found, eggs[unseen].sum() / hens))
        assert missing <= most_missing * (missing + len(out)), missing
        return held(out)

    return hold


def mean_egg_weight(rng: np.random.Generator, repeats: int) -> Held:
    """12 cages of 8 to 19 eggs; cages differ with SD 0.6 g, eggs within with SD 0.8 g; truth 11 g."""
    out = []
    for _ in range(repeats):
        weighings = [
            EggWeighing(float(w), group=str(cage))
            for cage in range(12)
            for w in rng.normal(rng.normal(11, 0.6), 0.8, rng.integers(8, 20))
        ]
        out.append(holds(egg_weight.egg_weight(weighings, band_low_g=10, band_high_g=12).mean, 11))
    return held(out)


PAUSES = "5 hens a cage, each pausing ten days at a time"
CASES = (
    Case("lay rate, what happened", "5 hens, steady, 25 collections of 1 to 3 days", what_happened, 3000),
    Case("long-run lay rate of a cage, 120 days", f"{PAUSES}; variance of 6 cages", cage_in_the_long_run(120), 2400),
    Case(
        "long-run lay rate of a cage, 14 days",
        f"{PAUSES}; variance of 6 cages over 120 days",
        cage_in_the_long_run(14),
        2400,
        stated=(0.95, 0.985),
    ),
    Case("lay rate of a line, 4 cages", f"{PAUSES}, 60 days", line(4, differ=False), 2000),
    Case("lay rate of a line, 6 cages", f"{PAUSES}, 60 days", line(6, differ=False), 2000),
    Case("lay rate of a line, 6 cages that differ", f"{PAUSES}, 60 days", line(6, differ=True), 2000),
    Case("lay rate of a line, 20 cages that differ", f"{PAUSES}, 60 days", line(20, differ=True), 600),
    Case(
        "laying year 1, what is foreseen",
        "3 true curves, 10 or 40 hens that pause, 26 or 39 weeks seen",
        laying_year_forecast(year=1, weeks_seen=(26, 39), most_missing=0.4),
        480,
        seed=1,
    ),
    Case(
        "laying year 2, what is foreseen",
        "3 true curves, 10 or 40 hens that pause, 40 or 52 weeks seen",
        laying_year_forecast(year=2, weeks_seen=(40, 52), most_missing=0.15),
        480,
    ),
    Case("mean egg weight", "12 cages, SD 0.6 g between, 0.8 g within", mean_egg_weight, 5000),
)
