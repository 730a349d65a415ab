"""Intervals against Newcombe's cases, R, statsmodels and simulation."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from statsmodels.stats.proportion import proportion_confint
from statsmodels.stats.rates import confint_poisson

from barnbook.figures import interval

CHECKS = Path(__file__).parents[2] / "fixtures" / "checks" / "interval.csv"


def checks():
    lines = [line for line in CHECKS.read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


@pytest.mark.parametrize("row", checks(), ids=lambda row: f"{row['method']} {row['k']} of {row['n']}")
def test_newcombe_cases(row):
    # Source in the file's first line; tolerance abs 1e-6 from there (values printed to 7 significant digits)
    found = getattr(interval, row["method"])(int(row["k"]), int(row["n"]))
    assert found.low == pytest.approx(float(row["low"]), abs=1e-6)
    assert found.high == pytest.approx(float(row["high"]), abs=1e-6)
    assert found.method == row["method"]


@pytest.mark.parametrize(("ours", "theirs"), [("wilson", "wilson"), ("clopper_pearson", "beta")])
@pytest.mark.parametrize("n", [1, 2, 7, 18, 293])
def test_shares_agree_with_statsmodels_at_every_count(ours, theirs, n):
    # Reference: statsmodels 0.15.0 proportion_confint
    for k in range(n + 1):
        found = getattr(interval, ours)(k, n)
        low, high = proportion_confint(k, n, method=theirs)
        assert found.low == pytest.approx(low, abs=1e-10)
        assert found.high == pytest.approx(high, abs=1e-10)
        assert found.low <= found.value <= found.high


@pytest.mark.parametrize("count", [0, 1, 3, 10, 345])
def test_poisson_rate_agrees_with_statsmodels(count):
    # Reference: statsmodels 0.15.0 confint_poisson(method="exact-c")
    found = interval.poisson_rate(count, 40.0)
    low, high = confint_poisson(count, 40.0, method="exact-c")
    assert (found.low, found.high) == (pytest.approx(low, abs=1e-10), pytest.approx(high, abs=1e-10))


def test_poisson_zero_gives_the_known_upper_limit():
    # chi-square(2) 97.5 % quantile / 2 = -ln(0.025) = 3.688879
    assert interval.poisson_rate(0, 1).high == pytest.approx(-math.log(0.025), rel=1e-12)
    assert interval.poisson_rate(0, 1).low == 0


def test_the_dispersion_and_standard_error_agree_with_a_quasi_poisson_glm():
    # Reference: statsmodels GLM, Poisson with log exposure, scale="X2" (R: glm(..., quasipoisson))
    import statsmodels.api as sm

    counts = np.array([12, 9, 21, 7, 15, 11])
    exposures = np.array([14.0, 15, 25, 14, 15, 13])
    fit = sm.GLM(counts, np.ones((6, 1)), family=sm.families.Poisson(), exposure=exposures).fit(scale="X2")
    found = interval.quasi_poisson_rate(counts.tolist(), exposures.tolist(), dispersion_floor=0)
    step = interval.t_quantile(5) * float(fit.bse[0])
    assert found.dispersion == pytest.approx(float(fit.scale), rel=1e-10)
    assert found.low == pytest.approx(math.exp(float(fit.params[0]) - step), rel=1e-8)
    assert found.high == pytest.approx(math.exp(float(fit.params[0]) + step), rel=1e-8)


def test_equal_counts_keep_a_floor_of_dispersion():
    found = interval.quasi_poisson_rate([4, 4, 4], [5, 5, 5])
    assert found.dispersion == interval.DISPERSION_FLOOR
    assert found.low < found.value < found.high


def test_all_zero_counts_fall_back_to_the_exact_interval():
    found = interval.quasi_poisson_rate([0, 0, 0], [10, 10, 20])
    assert found.method == "poisson_exact"
    assert (found.low, found.high) == (0, pytest.approx(-math.log(0.025) / 40))


def test_mean_t_on_the_hens_eggs_by_hand():
    # By hand: mean 3, sd sqrt(2.5), t(4) = 2.776445 (printed tables), half width 2.776445 * sqrt(2.5 / 5)
    found = interval.mean_t([1, 2, 3, 4, 5])
    assert found.value == 3
    assert found.high - 3 == pytest.approx(2.776445 * math.sqrt(0.5), abs=1e-6)


@pytest.mark.parametrize(
    ("call", "args"),
    [
        (interval.wilson, (1, 0)),
        (interval.wilson, (-1, 10)),
        (interval.wilson, (11, 10)),
        (interval.wilson, (math.nan, 10)),
        (interval.clopper_pearson, (1, math.inf)),
        (interval.jeffreys, (0, 0)),
        (interval.poisson_rate, (1, 0)),
        (interval.poisson_rate, (-1, 3)),
        (interval.poisson_rate, (math.nan, 3)),
        (interval.quasi_poisson_rate, ([1], [2])),
        (interval.quasi_poisson_rate, ([], [])),
        (interval.quasi_poisson_rate, ([1, 2], [2])),
        (interval.quasi_poisson_rate, ([1, math.nan], [2, 2])),
        (interval.mean_t, ([1.0],)),
        (interval.mean_t, ([1.0, math.inf],)),
        (interval.t_quantile, (0,)),
        (interval.logit, (1,)),
    ],
)
def test_impossible_inputs_are_refused_in_a_sentence(call, args):
    with pytest.raises(ValueError, match=r"[.:]"):
        call(*args)


def test_expit_undoes_logit():
    for share in (1e-9, 0.2, 0.5, 0.999999):
        assert interval.expit(interval.logit(share)) == pytest.approx(share, rel=1e-12)
    assert interval.expit(-1000) == 0
    assert interval.expit(1000) == 1


def test_wilson_covers_on_average():
    # Exact coverage from the binomial distribution (SciPy), averaged over true shares: no simulation error.
    from scipy.stats import binom

    for n in (12, 30, 60):
        limits = [interval.wilson(k, n) for k in range(n + 1)]
        truths = np.linspace(0.05, 0.95, 181)
        mass = binom.pmf(np.arange(n + 1)[:, None], n, truths)
        inside = np.array([[i.low <= p <= i.high for p in truths] for i in limits])
        assert 0.93 <= float((mass * inside).sum(0).mean()) <= 0.97


def test_quasi_poisson_covers_clustered_counts():
    # Negative-binomial counts with variance 3 times the mean, 20 spans; seeded
    rng = np.random.default_rng(20)
    exposures = rng.integers(4, 12, 20).astype(float)
    truth, dispersion, runs = 1.5, 3.0, 2000
    mean = truth * exposures
    draws = rng.negative_binomial(mean / (dispersion - 1), 1 / dispersion, (runs, 20))
    found = [interval.quasi_poisson_rate(row, exposures.tolist()) for row in draws.tolist()]
    covered = np.mean([i.low <= truth <= i.high for i in found])
    assert 0.93 <= covered <= 0.97
