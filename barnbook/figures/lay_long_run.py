"""The long-run lay rate: what a cage, or a line, may be expected to lay, not only what it laid.

Hens pause for days on end, so the days of a cage are not independent and a naive interval is far too narrow.
The variance is therefore taken from weekly blocks, with the weeks beside them, and pooled over the cages of
the line:

    Var(eggs over N hen-days) = phi p (1 - p) N
    logit limits:  ln(a / b) -+ t sqrt(1 / a + 1 / b),   a = y / phi + 1/2,   b = (N - y) / phi + 1/2

phi, the dispersion, is 1 for hens whose days are independent, 5 to 8 for hens with ten-day pauses; N / phi is
what the hen-days are worth. The halves keep short spans honest near 0 and 1. When no hen-day or every one
gave an egg, the limits are those of a beta posterior of size N / phi.

Sources: empirical logit, Gart & Zweifel (1967) Biometrika 54:181 (from memory); long-run variance with a
truncated kernel, White (1984) Asymptotic Theory, ch. VI (from memory); pooled and corrected for the estimated
mean here (derivation at `line_variance`). Coverage under pauses: tests, simulated.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaincinv

from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason
from barnbook.figures.hen_days import ONE_DAY, CollectionInterval
from barnbook.figures.interval import LEVEL, expit, logit, t_quantile

DAYS_A_BLOCK = 7
NEIGHBOURS = 2
"""Weeks to either side whose covariance is counted: pauses of ten days reach into the second."""
LEAST_DEGREES_OF_FREEDOM = 4.0
"""Below this the variance itself is not known well enough for the limits to mean 95 %."""
LEAST_DISPERSION = 0.2
"""A dispersion below this is not believed."""
LEAST_OWN_DAYS = 28
LEAST_CAGES = 4
"""Cages below which the spread between the cages of a line cannot be had."""


@dataclass(frozen=True, slots=True)
class LineVariance:
    """How unruly a line's lay is, over binomial chance.

    by_weeks_apart: (gamma_0, gamma_1, gamma_2), the covariance of a week with itself and with the weeks one
    and two away, each over p (1 - p) a hen-day; gamma_0 is 1 for independent days.
    degrees_of_freedom: of the dispersion, for Student's t.  cages, weeks: what it stands on.
    """

    by_weeks_apart: tuple[float, ...]
    degrees_of_freedom: float
    cages: int
    weeks: int

    def __post_init__(self) -> None:
        numbers = (*self.by_weeks_apart, self.cages, self.weeks)
        if not (all(math.isfinite(number) for number in numbers) and self.degrees_of_freedom > 0):
            raise ValueError(f"{self} is no variance of a line: give finite numbers, degrees of freedom above 0.")

    def dispersion(self, days: float) -> float:
        """phi of the sum over a span [days]: gamma_0 + 2 sum (1 - l / m) gamma_l over its m = days / 7 weeks.

        Never below gamma_0: weeks that avoid one another by chance must not make the limits narrower.
        """
        m = max(days / DAYS_A_BLOCK, 1)
        week, *apart = self.by_weeks_apart
        beside = sum(max(1 - lag / m, 0) * gamma for lag, gamma in enumerate(apart, start=1))
        return max(week + 2 * beside, week, LEAST_DISPERSION)


def line_variance(cages: Sequence[Sequence[CollectionInterval]]) -> LineVariance | Missing:
    """Dispersion of the line's lay from the weekly blocks of all its cages.

    cages: for each cage the intervals to use (see `hen_days.intervals_in_span`), in order of days.
    With r_b = y_b - p_c h_b the residual of block b of cage c (N_c hen-days), V_c = p_c (1 - p_c), sums over
    all cages and all pairs of blocks l weeks apart,

        E sum r_b r_b'  =  gamma_l sum V_c sqrt(h_b h_b')  -  phi sum V_c h_b h_b' / N_c

    where the second term is what the cage's own mean p_c takes away and phi = gamma_0 + 2 gamma_1 + 2
    gamma_2. Summed over l this gives phi, and then each gamma_l. Cages that laid none or all carry no
    information and are passed over. TOO_FEW_DAYS while it has fewer than 4 degrees of freedom: `have`, `need`
    are then cage-weeks.
    """
    lags = range(NEIGHBOURS + 1)
    products, weights, spent = np.zeros(len(lags)), np.zeros(len(lags)), np.zeros(len(lags))
    freedom, used, weeks = 0.0, 0, 0
    for of_cage in cages:
        eggs, hen_days, week = _weekly_blocks(of_cage)
        total = float(hen_days.sum())
        if len(eggs) < 2 or not 0 < eggs.sum() < total:
            continue
        share = float(eggs.sum()) / total
        residual = eggs - share * hen_days
        apart = np.rint(np.abs(week[:, None] - week))
        both = np.outer(hen_days, hen_days)
        for lag in lags:
            pairs = apart == lag
            products[lag] += float(np.outer(residual, residual)[pairs].sum())
            weights[lag] += share * (1 - share) * float(np.sqrt(both[pairs]).sum())
            spent[lag] += share * (1 - share) * float(both[pairs].sum()) / total
        taken = float(both[apart <= NEIGHBOURS].sum()) / total**2
        freedom += len(eggs) * max(1 - taken, 0) / (2 * NEIGHBOURS + 1)
        used, weeks = used + 1, weeks + len(eggs)
    if freedom < LEAST_DEGREES_OF_FREEDOM:
        need = math.ceil((LEAST_DEGREES_OF_FREEDOM + max(used, 1)) * (2 * NEIGHBOURS + 1))
        return Missing(Reason.TOO_FEW_DAYS, "cage-weeks", have=weeks, need=max(need, weeks + 1))
    phi = products.sum() / (weights[0] - spent.sum())
    gammas = (products + max(phi, 0.0) * spent) / np.where(weights > 0, weights, np.inf)
    return LineVariance(tuple(float(gamma) for gamma in gammas), freedom, used, weeks)


def long_run_lay_rate(
    intervals: Sequence[CollectionInterval],
    *,
    variance: LineVariance | None = None,
    left_out: tuple[LeftOut, ...] = (),
) -> Estimate:
    """Long-run lay rate of the hens of one cage [eggs/hen-day], limits within 0 and 1.

    intervals: those to use, in order of days. variance: the line's; without it the cage's own weeks must do,
    and under 28 days, or while they give fewer than 4 degrees of freedom, the figure is not shown
    (TOO_FEW_DAYS). NO_RECORDS without hen-days; OUT_OF_RANGE above one egg a hen-day. The limits hold while
    hens, light and season stay as they were; they do not foresee age (see `lay_curve.py`).
    """
    eggs = sum(i.eggs for i in intervals)
    total = sum(i.hen_days for i in intervals)
    if total <= 0:
        return _not_shown(Missing(Reason.NO_RECORDS, "hen-days", have=0, need=1), intervals, left_out)
    if eggs > total:
        detail = f"{eggs / total:.3f} eggs/hen-day"
        missing = Missing(Reason.OUT_OF_RANGE, "eggs/hen-day", have=eggs / total, need=1, detail=detail)
        return _not_shown(missing, intervals, left_out)
    if variance is None:
        days = sum(i.days for i in intervals)
        if days < LEAST_OWN_DAYS:
            missing = Missing(Reason.TOO_FEW_DAYS, "days", have=days, need=LEAST_OWN_DAYS)
            return _not_shown(missing, intervals, left_out)
        own = line_variance([intervals])
        if isinstance(own, Missing):
            return _not_shown(own, intervals, left_out)
        variance = own
    low, high, method = _limits(eggs, total, variance, days=sum(i.days for i in intervals))
    return Estimate(
        unit="eggs/hen-day",
        value=eggs / total,
        low=low,
        high=high,
        n=total,
        n_of="hen-days",
        method=method,
        first_day=intervals[0].first_day,
        last_day=intervals[-1].last_day,
        left_out=left_out,
        notes=("long_run", "day_of_death_counts"),
    )


def line_lay_rate(cages: Sequence[Sequence[CollectionInterval]]) -> Estimate:
    """Lay rate of a line over its cages [eggs/hen-day], limits for cages of the line like these.

    Delete-one-cage jackknife of the pooled rate on the logit scale, Student's t with cages - 1 degrees of
    freedom: the cage, not the day, is what is drawn. cages: for each cage the intervals to use.
    TOO_FEW_GROUPS under 4 cages with hen-days; OUT_OF_RANGE above one egg a hen-day; NO_VARIATION when no
    hen, or every hen, laid each day, for then nothing is known of the spread between cages.
    Source: Efron & Tibshirani (1993) An Introduction to the Bootstrap, ch. 11 (from memory).
    """
    totals = [(sum(i.eggs for i in cage), sum(i.hen_days for i in cage)) for cage in cages]
    eggs, hen_days = (np.array(column, dtype=float) for column in zip(*totals, strict=True)) if totals else ([], [])
    standing = np.asarray(hen_days) > 0
    eggs, hen_days = np.asarray(eggs)[standing], np.asarray(hen_days)[standing]
    k = len(eggs)
    days = [i for cage in cages for i in cage]
    if k < LEAST_CAGES:
        return _not_shown(Missing(Reason.TOO_FEW_GROUPS, "cages", have=k, need=LEAST_CAGES), days, ())
    rate = float(eggs.sum() / hen_days.sum())
    if rate > 1:
        detail = f"{rate:.3f} eggs/hen-day"
        return _not_shown(Missing(Reason.OUT_OF_RANGE, "eggs/hen-day", have=rate, need=1, detail=detail), days, ())
    without = (eggs.sum() - eggs) / (hen_days.sum() - hen_days)
    if not 0 < without.min() <= without.max() < 1:
        return _not_shown(Missing(Reason.NO_VARIATION, "cages", have=k), days, ())
    left = np.log(without / (1 - without))
    error = math.sqrt((k - 1) / k * float(((left - left.mean()) ** 2).sum()))
    step = t_quantile(k - 1) * error
    return Estimate(
        unit="eggs/hen-day",
        value=rate,
        low=expit(logit(rate) - step),
        high=expit(logit(rate) + step),
        n=float(hen_days.sum()),
        n_of="hen-days",
        method="logit_jackknife_over_cages",
        first_day=min(i.first_day for i in days),
        last_day=max(i.last_day for i in days),
        notes=("long_run", "day_of_death_counts"),
    )


def _limits(eggs: int, hen_days: int, variance: LineVariance, *, days: int) -> tuple[float, float, str]:
    dispersion = variance.dispersion(days)
    if 0 < eggs < hen_days:
        laid, not_laid = eggs / dispersion + 0.5, (hen_days - eggs) / dispersion + 0.5
        middle = math.log(laid / not_laid)
        step = t_quantile(variance.degrees_of_freedom) * math.sqrt(1 / laid + 1 / not_laid)
        return expit(middle - step), expit(middle + step), "logit_weekly_blocks"
    # Jeffreys' prior, size of the sample as it is worth after its dispersion; the end itself belongs to the
    # interval.
    size = hen_days / dispersion
    far = float(betaincinv(0.5, size + 0.5, 0.5 + LEVEL / 2))
    return (0.0, far, "beta_binomial_posterior") if eggs == 0 else (1 - far, 1.0, "beta_binomial_posterior")


def _weekly_blocks(
    intervals: Sequence[CollectionInterval],
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Eggs, hen-days and place in time [weeks] of successive blocks of at least seven days, gaps between them left.

    A gap (a clash, a cage without hens) ends a block; what is shorter than a week is dropped. shape (blocks,)
    each.
    """
    blocks: list[tuple[int, int, float]] = []
    eggs = hen_days = days = 0
    for i, now in enumerate(intervals):
        if i and now.first_day != intervals[i - 1].last_day + ONE_DAY:
            eggs = hen_days = days = 0
        eggs, hen_days, days = eggs + now.eggs, hen_days + now.hen_days, days + now.days
        if days >= DAYS_A_BLOCK:
            middle = (now.last_day.toordinal() - (days - 1) / 2) / DAYS_A_BLOCK
            blocks.append((eggs, hen_days, middle))
            eggs = hen_days = days = 0
    table = np.array(blocks, dtype=float).reshape(-1, 3)
    return table[:, 0], table[:, 1], table[:, 2]


def _not_shown(missing: Missing, intervals: Sequence[CollectionInterval], left_out: tuple[LeftOut, ...]) -> Estimate:
    return Estimate(
        unit="eggs/hen-day",
        n=sum(i.hen_days for i in intervals),
        n_of="hen-days",
        first_day=min((i.first_day for i in intervals), default=None),
        last_day=max((i.last_day for i in intervals), default=None),
        left_out=left_out,
        missing=missing,
    )
