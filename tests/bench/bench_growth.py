"""Growth curves on 5,000 weighings: Gompertz, logistic and Richards by sex, beside SciPy's curve_fit.

Run: python tests/bench/bench_growth.py. Prints seconds (median of the runs) and the ratio; the target is at
most 1 s. curve_fit is what someone would reach for instead: the same three curves by sex, started from the
same guess, with its own covariance; no choice of curve, no birds told apart, no refusal of a curve not seen
whole.
"""

from __future__ import annotations

import functools
import statistics
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
from scipy.optimize import curve_fit

sys.path.insert(0, str(Path(__file__).parents[2]))

from barnbook.figures import growth, growth_curve
from barnbook.figures.growth_curve import curve_weight_g

TARGET_S = 1.0
RUNS = 7


def flock(weighings: int = 5000) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Invented birds, each weighed about nine times in ten weeks; ages in whole days, 70 of them."""
    rng = np.random.default_rng(1)
    bird = np.arange(weighings) % (weighings // 9)
    hen = bird % 2 == 0
    age = rng.integers(0, 71, weighings).astype(float)
    own = np.exp(rng.normal(0, 0.09, weighings))[bird] * np.where(hen, 1.12, 1.0)
    mean = curve_weight_g(age, asymptote_g=285, rate_per_day=0.075, inflection_day=15, shape=0.1)
    return age, mean * own * np.exp(rng.normal(0, 0.03, weighings)), np.where(hen, "hen", "cock"), bird


def gompertz(t: np.ndarray, a: float, k: float, i: float) -> np.ndarray:
    return a * np.exp(-np.exp(-k * (t - i)))


def logistic(t: np.ndarray, a: float, k: float, i: float) -> np.ndarray:
    return a / (1 + np.exp(-k * (t - i)))


def richards(t: np.ndarray, a: float, k: float, i: float, m: float) -> np.ndarray:
    return a * (1 + m * np.exp(-k * (t - i))) ** (-1 / m)


def with_curve_fit(age: np.ndarray, weight: np.ndarray, sex: np.ndarray, *, guesses: Sequence[float]) -> None:
    """The same curves by SciPy's general routine, its default settings, from each guess of the asymptote."""
    for name in ("cock", "hen"):
        here = sex == name
        for multiple in guesses:
            start = (multiple * weight[here].max(), 0.08, 15.0)
            for curve, guess in ((gompertz, start), (logistic, start), (richards, (*start, 0.5))):
                curve_fit(curve, age[here], weight[here], guess, maxfev=20_000)


def seconds(work: Callable[[], object]) -> float:
    """Median over the runs after one to warm up [s]."""
    work()
    taken = []
    for _ in range(RUNS):
        begun = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begun)
    return statistics.median(taken)


def main() -> int:
    """Prints the figures; returns 1 when the target is missed."""
    age, weight, sex, bird = flock()
    ours = seconds(lambda: growth.curves_by_sex(age, weight, sexes=sex, birds=bird))
    print(f"growth curves, {len(age)} weighings, 3 forms, 2 sexes: {ours * 1000:8.1f} ms (target {TARGET_S:g} s)")
    for name, guesses in (("one good guess", (1.0,)), ("three guesses", growth_curve.START_ASYMPTOTES)):
        theirs = seconds(functools.partial(with_curve_fit, age, weight, sex, guesses=guesses))
        print(f"scipy curve_fit, the same six curves, {name:14}: {theirs * 1000:8.1f} ms, ratio {theirs / ours:.2f}")
    return int(ours > TARGET_S)


if __name__ == "__main__":
    raise SystemExit(main())
