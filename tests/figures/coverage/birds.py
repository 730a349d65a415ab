"""Growth, processing and cost: birds weighed again and again, broods that differ, a few carcasses weighed."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date
from typing import Any

import numpy as np

from barnbook.figures import cost, growth, off_type_weight, wait_or_process
from barnbook.figures.cost import Expense
from barnbook.figures.growth import GrowthCurve
from barnbook.figures.growth_curve import Floats, curve_weight_g
from tests.figures.coverage import Case, Held, held, holds

Hold = Callable[[np.random.Generator, int], Held]
TRUTH = {"rate_per_day": 0.075, "inflection_day": 15.0, "shape": 0.0}
AGES = (0, 7, 14, 21, 28, 42, 56)


def flock(
    rng: np.random.Generator,
    *,
    birds: int,
    ages: tuple[int, ...] = AGES,
    seen: float = 0.8,
    asymptote_g: float = 280.0,
) -> tuple[Floats, Floats, np.ndarray]:
    """Weighings of birds that each keep their own place about one curve; 9 % between birds, 3 % a weighing."""
    own = asymptote_g * np.exp(rng.normal(0, 0.09, birds))
    who, at = np.nonzero(rng.random((birds, len(ages))) < seen)
    age = np.array(ages, dtype=float)[at]
    weight = own[who] * np.exp(rng.normal(0, 0.03, len(age))) * curve_weight_g(age, asymptote_g=1.0, **TRUTH)
    return age, weight, who


def mean_weight_g(age_days: float, *, spreads: tuple[float, ...]) -> float:
    """Mean over birds whose logarithms spread so."""
    asymptote_g = 280 * math.exp(sum(spread**2 for spread in spreads) / 2)
    return float(curve_weight_g(age_days, asymptote_g=asymptote_g, **TRUTH))


def curve(age: Floats, weight: Floats, birds: np.ndarray) -> GrowthCurve:
    """The chosen curve, which there must be."""
    found = growth.choose_curve(age, weight, birds=birds)
    assert isinstance(found, GrowthCurve)
    return found


def expected_weight(birds: int) -> Hold:
    """At 56 days (seen) and at 70 (two weeks on), birds weighed four times in five."""

    def hold(rng: np.random.Generator, repeats: int) -> Held:
        out = []
        for _ in range(repeats):
            chosen = curve(*flock(rng, birds=birds))
            for day in (56, 70):
                truth = mean_weight_g(day, spreads=(0.09, 0.03))
                out.append(holds(growth.expected_weight(chosen, age_days=day), truth))
        return held(out)

    return hold


def expected_weight_over_broods(rng: np.random.Generator, repeats: int) -> Held:
    """8 broods of 12, 5 % between broods, 8 % between birds: the brood is what is drawn as one."""
    ages = np.array(AGES, dtype=float)
    brood = np.repeat(np.arange(8), 12)
    truth = mean_weight_g(56, spreads=(0.05, 0.08, 0.03))
    out = []
    for _ in range(repeats):
        own = 280 * np.exp(rng.normal(0, 0.05, 8))[brood] * np.exp(rng.normal(0, 0.08, 96))
        who, at = np.nonzero(rng.random((96, 7)) < 0.7)
        weight = own[who] * np.exp(rng.normal(0, 0.03, len(at))) * curve_weight_g(ages[at], asymptote_g=1.0, **TRUTH)
        out.append(holds(growth.expected_weight(curve(ages[at], weight, brood[who]), age_days=56), truth))
    return held(out)


def day_to_process(rng: np.random.Generator, repeats: int) -> Held:
    """40 cocks weighed weekly to 77 days; the right day from the true curve. Whole days make it cover a little more."""
    ages = np.arange(28, 78)
    truth = {"asymptote_g": 300.0, "rate_per_day": 0.07, "inflection_day": 16.0, "shape": 0.0}
    money: dict[str, Any] = {
        "age_days": ages,
        "feed_g": np.full(49, 28.0),
        "feed_price_per_kg": 0.6,
        "price_per_kg": 6.0,
    }
    right = wait_or_process.wait_or_process(curve_weight_g(ages, **truth), **money).process_at.value
    assert right is not None
    at = np.repeat(np.arange(0.0, 78, 7), 40)
    who = np.tile(np.arange(40), 12)
    out = []
    for seed in range(repeats):
        weight = curve_weight_g(at, **truth) * rng.normal(1, 0.09, 40)[who] * rng.normal(1, 0.03, len(at))
        chosen = curve(at, weight, who)
        draws = growth.draw_weights(chosen, age_days=ages, draws=500, seed=seed)
        found = wait_or_process.wait_or_process(chosen.fit.weight_g(ages), drawn_weight_g=draws, **money).process_at
        out.append(holds(found, right))
    return held(out)


def off_type_difference(rng: np.random.Generator, repeats: int) -> Held:
    """80 birds of 3 broods 12 g apart (SD), 30 % off-types 8 g lighter, hens 25 g heavier, 18 g within."""
    out = []
    for _ in range(repeats):
        brood, sex, off = rng.integers(0, 3, 80), rng.choice(["cock", "hen"], 80), rng.random(80) < 0.3
        weight = 290 + rng.normal(0, 12, 3)[brood] + 25 * (sex == "hen") - 8.0 * off + rng.normal(0, 18, 80)
        found = off_type_weight.weight_difference(weight, off_type=off, sexes=sex, broods=brood)
        out.append(holds(found, -8))
    return held(out)


def cost_of_a_kilogram(rng: np.random.Generator, repeats: int) -> Held:
    """40 birds processed, 12 carcasses weighed, 180 g with SD 16 g."""
    out = []
    for _ in range(repeats):
        dressed = rng.normal(180, 16, 40)
        found = cost.cost_of_kg_dressed(
            [Expense("processing day", 12.0)],
            dressed_weight_g=dressed[:12].tolist(),
            birds_processed=40,
            cost_of_bird=0.965,
            currency="EUR",
            first_day=date(2026, 3, 1),
            last_day=date(2026, 4, 30),
        ).each
        out.append(holds(found, (12 + 40 * 0.965) / (dressed.sum() / 1000)))
    return held(out)


CASES = (
    Case("expected weight, 12 birds", "Gompertz, at 56 days and two weeks on", expected_weight(12), 400),
    Case("expected weight, 40 birds", "Gompertz, at 56 days and two weeks on", expected_weight(40), 300),
    Case("expected weight, 8 broods", "5 % between broods, at 56 days", expected_weight_over_broods, 400),
    Case("day to process", "40 cocks, Gompertz", day_to_process, 250, stated=(0.93, 0.985)),
    Case("weight of an off-type", "80 birds of 3 broods", off_type_difference, 3000),
    Case("cost of a kilogram dressed", "12 of 40 carcasses weighed", cost_of_a_kilogram, 4000),
)
