"""The long-run lay rate: limits that hold when hens pause for days on end (simulated), and the ends."""

from datetime import date, timedelta

import numpy as np
import pytest

from barnbook.figures import lay_long_run
from barnbook.figures.estimate import Missing, Reason
from barnbook.figures.hen_days import CollectionInterval
from barnbook.figures.lay_long_run import LineVariance
from tests.figures.coverage.hens import long_run_truth, pausing_eggs

DAY = date(2026, 1, 1)
STEADY = LineVariance((1.0, 0.0, 0.0), degrees_of_freedom=200, cages=10, weeks=300)


def intervals(eggs, *, hens, days_each=1):
    return [
        CollectionInterval(
            DAY + timedelta(days=i * days_each),
            DAY + timedelta(days=(i + 1) * days_each - 1),
            int(n),
            hens * days_each,
        )
        for i, n in enumerate(eggs)
    ]


def test_the_simulated_hens_have_the_stated_truth():
    eggs = pausing_eggs(np.random.default_rng(1), cages=200, hens=5, days=1000)
    assert eggs.mean() / 5 == pytest.approx(long_run_truth(), abs=0.003)


@pytest.mark.slow
def test_limits_that_take_the_days_as_independent_would_be_far_too_narrow():
    # beside it, with the line's own variance: tests/figures/coverage/hens.py
    eggs = pausing_eggs(np.random.default_rng(3), cages=300, hens=5, days=120)
    found = [lay_long_run.long_run_lay_rate(intervals(row, hens=5), variance=STEADY) for row in eggs]
    assert np.mean([one.low <= long_run_truth() <= one.high for one in found]) < 0.75


def test_independent_days_have_a_dispersion_of_one():
    rng = np.random.default_rng(4)
    cages = [intervals(rng.binomial(4, 0.8, 365), hens=4) for _ in range(40)]
    found = lay_long_run.line_variance(cages)
    assert found.by_weeks_apart == pytest.approx((1, 0, 0), abs=0.08)
    assert found.dispersion(365) == pytest.approx(1, abs=0.15)
    assert (found.cages, found.weeks) == (40, 40 * 52)


def test_the_limits_with_independent_days_are_those_of_a_logistic_regression():
    # Reference: statsmodels 0.15.0, binomial GLM with an intercept; ours adds a half to each side, hence 2 %
    import statsmodels.api as sm

    fit = sm.GLM([1] * 400 + [0] * 100, [[1.0]] * 500, family=sm.families.Binomial()).fit()
    low, high = 1 / (1 + np.exp(-fit.conf_int()[0]))
    found = lay_long_run.long_run_lay_rate(intervals([8] * 50, hens=10), variance=STEADY)
    assert found.value == 0.8
    assert found.high - found.low == pytest.approx(high - low, rel=0.02)
    assert found.method == "logit_weekly_blocks"
    assert "long_run" in found.notes


@pytest.mark.parametrize(("eggs", "low", "high"), [(0, 0.0, None), (3, None, 1.0)])
def test_none_or_all_laid_gives_a_posterior_within_the_ends(eggs, low, high):
    found = lay_long_run.long_run_lay_rate(intervals([eggs] * 20, hens=3), variance=STEADY)
    assert found.method == "beta_binomial_posterior"
    assert found.value in (0, 1)
    # Reference: SciPy's 97.5 % quantile of Beta(0.5, 60.5)
    from scipy.stats import beta

    far = float(beta.ppf(0.975, 0.5, 60.5))
    assert (found.low, found.high) == (low if low is not None else 1 - far, high if high is not None else far)


def test_a_more_unruly_line_gives_wider_limits():
    unruly = LineVariance((4.0, 1.0, 0.2), degrees_of_freedom=200, cages=10, weeks=300)
    cage = intervals([4] * 10 + [2] * 18, hens=5)
    steady = lay_long_run.long_run_lay_rate(cage, variance=STEADY)
    found = lay_long_run.long_run_lay_rate(cage, variance=unruly)
    assert 0 < found.low < steady.low < found.value < steady.high < found.high < 1


def test_a_short_span_is_worth_more_than_the_long_run_says():
    # Neighbouring weeks count in full only in long spans: gamma_0 + 2 (1 - 1/m) gamma_1 + 2 (1 - 2/m)
    # gamma_2, by hand
    unruly = LineVariance((4.0, 1.0, 0.5), degrees_of_freedom=50, cages=10, weeks=300)
    assert unruly.dispersion(7) == 4.0
    assert unruly.dispersion(14) == pytest.approx(5.0)
    assert unruly.dispersion(28) == pytest.approx(4 + 2 * 0.75 + 2 * 0.5 * 0.5)


@pytest.mark.parametrize(
    ("cage", "reason"),
    [
        ([], Reason.NO_RECORDS),
        (intervals([0] * 9, hens=0), Reason.NO_RECORDS),
        (intervals([3] * 27, hens=4), Reason.TOO_FEW_DAYS),
        (intervals([3, 4] * 14, hens=4), Reason.TOO_FEW_DAYS),  # 28 days, but no line to lend its variance
        (intervals([5] * 40, hens=4), Reason.OUT_OF_RANGE),
    ],
)
def test_without_the_line_too_little_says_what_is_missing(cage, reason):
    found = lay_long_run.long_run_lay_rate(cage)
    assert found.missing.reason is reason
    assert found.value is None


def test_half_a_year_of_a_cage_stands_alone():
    rng = np.random.default_rng(5)
    found = lay_long_run.long_run_lay_rate(intervals(rng.binomial(5, 0.8, 190), hens=5))
    assert found.shown
    assert found.low < 0.8 < found.high


def test_a_line_needs_four_cages():
    rng = np.random.default_rng(6)
    cages = [intervals(rng.binomial(5, 0.8, 60), hens=5) for _ in range(4)]
    assert lay_long_run.line_lay_rate(cages).shown
    assert lay_long_run.line_lay_rate(cages[:3]).missing.reason is Reason.TOO_FEW_GROUPS
    assert lay_long_run.line_lay_rate([]).missing.reason is Reason.TOO_FEW_GROUPS
    assert isinstance(lay_long_run.line_variance([]), Missing)


def test_a_line_whose_cages_are_alike_to_the_egg_says_so():
    cages = [intervals([0] * 60, hens=5) for _ in range(5)]
    assert lay_long_run.line_lay_rate(cages).missing.reason is Reason.NO_VARIATION
