"""Egg weight: mean, spread, share inside the line's band, and how it grows with the age of the hens.

    mean      sum of grams / sum of eggs
    SD        of eggs weighed one by one; n eggs on the scale at once give n to the mean and nothing to the SD
    inside    share of the eggs weighed one by one that lie in the band, both ends in

Eggs of one hen, cage or day are alike, so the interval of the mean takes the group, not the egg, as what was
drawn.

Sources: ratio estimator, Cochran (1977) Sampling Techniques ch. 6 (from memory); straight line, Draper &
Smith (1998) ch. 1 (from memory). Checked against R and agridat in tests/figures/test_egg_weight.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import chdtri

from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason
from barnbook.figures.interval import LEVEL, t_quantile, wilson

LEAST_EGGS = 10
LEAST_GROUPS = 3
LEAST_AGES = 3
LEAST_EGG_G, MOST_EGG_G = 2.0, 40.0
"""Outside of these a mean egg weight is a slip of the scale or the pen for Coturnix (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class EggWeighing:
    """`eggs` eggs that weighed `weight_g` together. group: what makes them alike (cage, day); empty stands alone."""

    weight_g: float
    eggs: int = 1
    group: str = ""

    def __post_init__(self) -> None:
        if not (math.isfinite(self.weight_g) and self.weight_g > 0) or self.eggs < 1 or self.eggs % 1:
            raise ValueError(
                f"{self.weight_g} g for {self.eggs} eggs is no weighing: give grams above 0 and whole eggs from 1."
            )


@dataclass(frozen=True, slots=True)
class EggWeight:
    """Mean [g], standard deviation of single eggs [g], and share of single eggs inside the band [share]."""

    mean: Estimate
    sd: Estimate
    inside_band: Estimate


def egg_weight(
    weighings: Sequence[EggWeighing],
    *,
    band_low_g: float,
    band_high_g: float,
    least_egg_g: float = LEAST_EGG_G,
    most_egg_g: float = MOST_EGG_G,
) -> EggWeight:
    """Egg weight of a line or cage and how much of it lies in the band.

    Weighings whose mean lies outside least_egg_g to most_egg_g are left out and counted. Missing:
    TOO_FEW_RECORDS under 10 eggs (for SD and share: 10 weighed one by one); TOO_FEW_GROUPS when the mean
    stands on fewer than 3 groups; NO_VARIATION when all weighed the same, for then the scale is too coarse to
    tell. The limits of the SD suppose normal weights (chi-square), those of the share independent eggs
    (Wilson). Raises ValueError when the band is upside down or not finite.
    """
    for what, low_g, high_g in (("band", band_low_g, band_high_g), ("range of what can be", least_egg_g, most_egg_g)):
        if not -math.inf < low_g < high_g < math.inf:
            raise ValueError(f"The {what} of {low_g} to {high_g} g is upside down or endless: lower end first.")
    good = [w for w in weighings if least_egg_g <= w.weight_g / w.eggs <= most_egg_g]
    out = len(weighings) - len(good)
    left_out = (LeftOut("weighings", out, "weight_not_possible"),) if out else ()
    single = np.array([w.weight_g for w in good if w.eggs == 1])
    return EggWeight(
        mean=_mean(good, left_out),
        sd=_sd(single, left_out),
        inside_band=_inside(single, band_low_g, band_high_g, left_out),
    )


@dataclass(frozen=True, slots=True)
class EggWeightByAge:
    """The straight line of egg weight on age: grams at `mean_age_days`, and `slope` [g/day] with its interval."""

    slope: Estimate
    intercept_g: float | None = None
    mean_age_days: float | None = None
    r_squared: float | None = None


def egg_weight_by_age(age_days: ArrayLike, weight_g: ArrayLike) -> EggWeightByAge:
    """How fast eggs grow heavier with the hens' age; eggs one by one, age of the hen that day.

    age_days, weight_g: shape (n,), finite.  TOO_FEW_RECORDS under 10 eggs; TOO_FEW_GROUPS under 3 different
    ages. Least squares; Student's t with n - 2 degrees of freedom; holds within the ages seen. Raises
    ValueError.
    """
    age, weight = np.asarray(age_days, dtype=float), np.asarray(weight_g, dtype=float)
    if age.shape != weight.shape or age.ndim != 1 or not (np.isfinite(age).all() and np.isfinite(weight).all()):
        raise ValueError("Ages and weights must be finite and one of each an egg: leave out what is missing.")
    n, ages = len(age), len(np.unique(age))
    missing = None
    if n < LEAST_EGGS:
        missing = Missing(Reason.TOO_FEW_RECORDS, "eggs", have=n, need=LEAST_EGGS)
    elif ages < LEAST_AGES:
        missing = Missing(Reason.TOO_FEW_GROUPS, "ages", have=ages, need=LEAST_AGES)
    if missing is not None:
        return EggWeightByAge(Estimate(unit="g/day", n=n, n_of="eggs", missing=missing))
    spread = age - age.mean()
    slope = float(spread @ weight / (spread @ spread))
    residual = weight - weight.mean() - slope * spread
    error = math.sqrt(float(residual @ residual) / (n - 2) / float(spread @ spread))
    step = t_quantile(n - 2) * error
    total = float(((weight - weight.mean()) ** 2).sum())
    return EggWeightByAge(
        slope=Estimate(
            unit="g/day",
            value=slope,
            low=slope - step,
            high=slope + step,
            n=n,
            n_of="eggs",
            method="least_squares_t",
        ),
        intercept_g=float(weight.mean() - slope * age.mean()),
        mean_age_days=float(age.mean()),
        r_squared=1 - float(residual @ residual) / total if total > 0 else None,
    )


def _mean(good: Sequence[EggWeighing], left_out: tuple[LeftOut, ...]) -> Estimate:
    """Ratio estimator over groups:  SE = sqrt(k / (k - 1) sum (grams_j - mean eggs_j)^2) / eggs,  t with k - 1."""
    eggs = sum(w.eggs for w in good)
    grams_of: dict[str, float] = {}
    eggs_of: dict[str, int] = {}
    for i, w in enumerate(good):
        group = w.group or f"weighing {i}"
        grams_of[group] = grams_of.get(group, 0.0) + w.weight_g
        eggs_of[group] = eggs_of.get(group, 0) + w.eggs
    k = len(grams_of)
    missing = None
    if eggs < LEAST_EGGS:
        missing = Missing(Reason.TOO_FEW_RECORDS, "eggs", have=eggs, need=LEAST_EGGS)
    elif k < LEAST_GROUPS:
        missing = Missing(Reason.TOO_FEW_GROUPS, "groups", have=k, need=LEAST_GROUPS)
    elif len({w.weight_g / w.eggs for w in good}) == 1:
        missing = Missing(Reason.NO_VARIATION, "eggs", have=eggs)
    if missing is not None:
        return Estimate(unit="g", n=eggs, n_of="eggs", left_out=left_out, missing=missing)
    mean = math.fsum(grams_of.values()) / eggs
    squares = math.fsum((grams_of[g] - mean * eggs_of[g]) ** 2 for g in grams_of)
    step = t_quantile(k - 1) * math.sqrt(k / (k - 1) * squares) / eggs
    return Estimate(
        unit="g",
        value=mean,
        low=mean - step,
        high=mean + step,
        n=eggs,
        n_of="eggs",
        method="ratio_over_groups_t",
        left_out=left_out,
    )


def _sd(single: NDArray[np.float64], left_out: tuple[LeftOut, ...]) -> Estimate:
    n = len(single)
    missing = None
    if n < LEAST_EGGS:
        missing = Missing(Reason.TOO_FEW_RECORDS, "eggs_one_by_one", have=n, need=LEAST_EGGS)
    elif np.ptp(single) == 0:
        missing = Missing(Reason.NO_VARIATION, "eggs_one_by_one", have=n)
    if missing is not None:
        return Estimate(unit="g", n=n, n_of="eggs_one_by_one", left_out=left_out, missing=missing)
    sd = float(single.std(ddof=1))
    tail = (1 - LEVEL) / 2
    return Estimate(
        unit="g",
        value=sd,
        low=sd * math.sqrt((n - 1) / float(chdtri(n - 1, tail))),
        high=sd * math.sqrt((n - 1) / float(chdtri(n - 1, 1 - tail))),
        n=n,
        n_of="eggs_one_by_one",
        method="chi_square",
        left_out=left_out,
    )


def _inside(
    single: NDArray[np.float64],
    band_low_g: float,
    band_high_g: float,
    left_out: tuple[LeftOut, ...],
) -> Estimate:
    n = len(single)
    if n < LEAST_EGGS:
        missing = Missing(Reason.TOO_FEW_RECORDS, "eggs_one_by_one", have=n, need=LEAST_EGGS)
        return Estimate(unit="share", n=n, n_of="eggs_one_by_one", left_out=left_out, missing=missing)
    found = wilson(int(((single >= band_low_g) & (single <= band_high_g)).sum()), n)
    return Estimate(
        unit="share",
        value=found.value,
        low=found.low,
        high=found.high,
        n=n,
        n_of="eggs_one_by_one",
        method=found.method,
        left_out=left_out,
        notes=("eggs_taken_as_independent",),
    )
