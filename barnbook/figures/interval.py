"""Intervals: how far a share, a rate or a mean may be off, at 95 %.

    share   k of n              Wilson, Clopper-Pearson, Jeffreys      [0 to 1]
    rate    count / exposure    Poisson (exact), quasi-Poisson         [count per unit of exposure]
    mean    of n values         Student's t                            [unit of the values]

The ends (0 of n, n of n, a count of 0) are written out, never left to rounding: a bare "0 % to 0 %" after an
unlucky hatch would be a lie. NaN, infinities and impossible counts are refused with a ValueError.

Sources: Wilson (1927) and Newcombe (1998) Stat. Med. 17:857-872, method 3; Clopper & Pearson (1934); Brown,
Cai & DasGupta (2001) Statist. Sci. 16:101-133 (Jeffreys); Garwood (1936) Biometrika 28:437 (Poisson);
McCullagh & Nelder (1989) sections 4.5 and 9.2 (quasi-likelihood). Forms from memory. Checked in
tests/figures/test_interval.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from scipy.special import betaincinv, gammaincinv, stdtrit

LEVEL = 0.95
DISPERSION_FLOOR = 0.05
"""Least variance-to-mean ratio believed: a short, lucky run of equal counts must not give a zero-width interval."""

WIDEST_LOG_STEP = 100.0
"""Beyond a factor of e^100 a rate is not known at all; the limit stays a number."""


@dataclass(frozen=True, slots=True)
class Interval:
    """A value with its limits [in the value's unit] at `level`; `method` names how they were made.

    dispersion: variance over what pure chance would give, where the method estimated one.
    """

    value: float
    low: float
    high: float
    method: str
    level: float = LEVEL
    dispersion: float | None = None


def normal_quantile(level: float = LEVEL) -> float:
    """Two-sided standard normal quantile: 1.959964 at 0.95."""
    return NormalDist().inv_cdf(0.5 + _checked_level(level) / 2)


def t_quantile(degrees_of_freedom: float, *, level: float = LEVEL) -> float:
    """Two-sided quantile of Student's t; `degrees_of_freedom` above 0, infinite for the normal. Raises ValueError."""
    if not degrees_of_freedom > 0:
        raise ValueError(
            f"Student's t needs more than 0 degrees of freedom, not {degrees_of_freedom}: give more values."
        )
    return float(stdtrit(degrees_of_freedom, 0.5 + _checked_level(level) / 2))


def wilson(k: float, n: float, *, level: float = LEVEL) -> Interval:
    """Wilson score interval of a share, without continuity correction.

    k, n: 0 <= k <= n, n > 0 [counts; n may be an effective number and need not be whole].
    Lower limit at k = 0 is exactly 0, upper limit at k = n exactly 1. Raises ValueError.
    Source: Newcombe (1998), method 3.
    """
    k, n = _checked_share(k, n)
    z = normal_quantile(level)
    share = k / n
    centre = (share + z * z / (2 * n)) / (1 + z * z / n)
    half = z / (1 + z * z / n) * math.sqrt(share * (1 - share) / n + z * z / (4 * n * n))
    low = 0.0 if k == 0 else centre - half
    high = 1.0 if k == n else centre + half
    return Interval(share, low, high, "wilson", level)


def clopper_pearson(k: float, n: float, *, level: float = LEVEL) -> Interval:
    """Exact (Clopper-Pearson) interval of a share: covers at least `level`, usually more.

    k, n: 0 <= k <= n, n > 0 [counts]. Raises ValueError. Source: Clopper & Pearson (1934), beta quantile
    form.
    """
    k, n = _checked_share(k, n)
    tail = (1 - _checked_level(level)) / 2
    low = 0.0 if k == 0 else float(betaincinv(k, n - k + 1, tail))
    high = 1.0 if k == n else float(betaincinv(k + 1, n - k, 1 - tail))
    return Interval(k / n, low, high, "clopper_pearson", level)


def jeffreys(k: float, n: float, *, level: float = LEVEL) -> Interval:
    """Jeffreys interval of a share: plain quantiles of Beta(k + 1/2, n - k + 1/2).

    The quantiles are left as they are at the ends, so the lower limit at k = 0 is above 0 (many packages set it
    to 0). The value k/n then lies outside, which is why our figures show Wilson and use this where a posterior
    is meant.
    k, n: 0 <= k <= n, n > 0 [counts]. Raises ValueError. Source: Brown, Cai & DasGupta (2001).
    """
    k, n = _checked_share(k, n)
    tail = (1 - _checked_level(level)) / 2
    low, high = (float(betaincinv(k + 0.5, n - k + 0.5, p)) for p in (tail, 1 - tail))
    return Interval(k / n, low, high, "jeffreys", level)


def poisson_rate(count: float, exposure: float, *, level: float = LEVEL) -> Interval:
    """Exact interval of a rate, count / exposure, when events come singly and independently.

    count >= 0 [events]; exposure > 0 [hen-days, eggs, ...]. Lower limit at a count of 0 is exactly 0; the
    upper one is then 3.689 / exposure. Raises ValueError. Source: Garwood (1936), gamma quantile form.
    """
    count, exposure = _checked_rate(count, exposure)
    tail = (1 - _checked_level(level)) / 2
    low = 0.0 if count == 0 else float(gammaincinv(count, tail)) / exposure
    high = float(gammaincinv(count + 1, 1 - tail)) / exposure
    return Interval(count / exposure, low, high, "poisson_exact", level)


def pearson_dispersion(counts: Sequence[float], exposures: Sequence[float]) -> float:
    """Pearson's X2 over its degrees of freedom: 1 for pure chance, above 1 where events cluster.

        sum (y_i - r e_i)^2 / (r e_i) / (m - 1),    r = sum y / sum e

    counts, exposures: shape (m,), m >= 2, exposures > 0, sum of counts > 0. Raises ValueError.
    Source: McCullagh & Nelder (1989), sections 4.5 and 6.2.
    """
    if len(counts) != len(exposures):
        raise ValueError(f"{len(counts)} counts stand beside {len(exposures)} exposures: give one for each.")
    if len(counts) < 2:
        raise ValueError("Dispersion needs at least two counts: give more, or use the Poisson interval.")
    for count, exposure in zip(counts, exposures, strict=True):
        _checked_rate(count, exposure)
    rate = math.fsum(counts) / math.fsum(exposures)
    if rate == 0:
        raise ValueError("Dispersion is unknown when every count is 0: use the Poisson interval.")
    chi2 = math.fsum((y - rate * e) ** 2 / (rate * e) for y, e in zip(counts, exposures, strict=True))
    return chi2 / (len(counts) - 1)


def quasi_poisson_rate(
    counts: Sequence[float],
    exposures: Sequence[float],
    *,
    dispersion_floor: float = DISPERSION_FLOOR,
    level: float = LEVEL,
) -> Interval:
    """Interval of a rate over m spans whose counts vary more, or less, than chance alone.

        r = sum y / sum e;    limits r exp(-+ t sqrt(phi / sum y)),   t with m - 1 degrees of freedom

    phi is Pearson's dispersion, at least `dispersion_floor`. With every count 0 the dispersion is unknown and
    the exact Poisson interval is given instead (its `method` says so).
    counts, exposures: shape (m,), m >= 2 [events; hen-days, ...], exposures > 0. Raises ValueError.
    Source: McCullagh & Nelder (1989), section 9.2, on the log scale so that the lower limit stays above 0.
    """
    if counts and len(counts) == len(exposures) and not any(counts):
        return poisson_rate(0, math.fsum(exposures), level=level)
    if not 0 <= dispersion_floor < math.inf:
        raise ValueError(f"A least dispersion of {dispersion_floor} is none: give 0 or more.")
    dispersion = max(pearson_dispersion(counts, exposures), dispersion_floor)
    total = math.fsum(counts)
    rate = total / math.fsum(exposures)
    step = t_quantile(len(counts) - 1, level=level) * math.sqrt(dispersion / total)
    step = min(step, WIDEST_LOG_STEP)
    return Interval(rate, rate * math.exp(-step), rate * math.exp(step), "quasi_poisson_t", level, dispersion)


def mean_t(values: Sequence[float], *, level: float = LEVEL) -> Interval:
    """Mean of n values with Student's t interval; n - 1 degrees of freedom.

    values: shape (n,), n >= 2, finite. Equal values give a zero-width interval: the caller decides whether
    that may be shown. Raises ValueError. Source: Student (1908).
    """
    n = len(values)
    if n < 2:
        raise ValueError("The interval of a mean needs at least two values: give more.")
    if not all(math.isfinite(value) for value in values):
        raise ValueError("A value is not a finite number: leave it out and say so.")
    mean = math.fsum(values) / n
    sd = math.sqrt(math.fsum((value - mean) ** 2 for value in values) / (n - 1))
    half = t_quantile(n - 1, level=level) * sd / math.sqrt(n)
    return Interval(mean, mean - half, mean + half, "student_t", level)


def logit(share: float) -> float:
    """ln(p / (1 - p)) of a share strictly between 0 and 1. Raises ValueError."""
    if not 0 < share < 1:
        raise ValueError(f"The logit needs a share strictly between 0 and 1, not {share}.")
    return math.log(share) - math.log1p(-share)


def expit(x: float) -> float:
    """The share whose logit is x, also at the infinities (0 and 1). Raises ValueError for NaN."""
    if math.isnan(x):
        raise ValueError("The share of a logit that is not a number is unknown: look at what it was made from.")
    return 1 / (1 + math.exp(-x)) if x >= 0 else math.exp(x) / (1 + math.exp(x))


def _checked_level(level: float) -> float:
    if not 0 < level < 1:
        raise ValueError(f"The level of an interval lies between 0 and 1, not {level}: 0.95 is usual.")
    return level


def _checked_share(k: float, n: float) -> tuple[float, float]:
    if not (math.isfinite(k) and math.isfinite(n)) or n <= 0 or not 0 <= k <= n:
        raise ValueError(f"{k} of {n} is not a share: give 0 <= k <= n with n above 0.")
    return float(k), float(n)


def _checked_rate(count: float, exposure: float) -> tuple[float, float]:
    if not (math.isfinite(count) and math.isfinite(exposure)) or count < 0 or exposure <= 0:
        raise ValueError(f"{count} over {exposure} is not a rate: give a count of 0 or more and an exposure above 0.")
    return float(count), float(exposure)
