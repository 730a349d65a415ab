"""Realised heritability: the published quail, hand-made generations, and lines simulated with drift."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
import statsmodels.api as sm

from barnbook.figures import realised_heritability as rh
from barnbook.figures.estimate import Reason
from barnbook.figures.realised_heritability import LineHistory, realised_heritability

CHECKS = Path(__file__).parents[2] / "fixtures" / "checks" / "realised_heritability.csv"


def test_the_published_quail_with_and_without_their_control():
    # Source in the first line of fixtures/checks/realised_heritability.csv
    (row,) = csv.DictReader(line for line in CHECKS.read_text().splitlines() if not line.startswith("#"))
    line = LineHistory([100.0, 100.0 + float(row["response_g"])], [200, 200], 40)
    control = LineHistory([100.0, 100.0 + float(row["control_g"])], [200, 200], 40)
    told = {"differential_g": [float(row["differential_g"])], "phenotypic_sd_g": 12.0}
    found = realised_heritability(line, control=control, **told)
    assert found.value == pytest.approx(float(row["h2"]), abs=1e-6)
    assert found.value == pytest.approx(0.43, abs=0.005)
    alone = realised_heritability(line, **told)
    assert alone.value == pytest.approx(float(row["h2_without_control"]), abs=1e-6)
    assert (found.notes, alone.notes) == ((), ("no_control",))
    assert found.high - found.low > alone.high - alone.low


def test_one_generations_limits_by_hand():
    # var(response) = sd^2 (1/n0 + 1/n1) + h2 sd^2 / Ne, over S^2; limits h: (0.4 - h)^2 = z^2 var(h), a quadratic
    line = LineHistory([100, 108], [80, 100], 20)
    found = realised_heritability(line, differential_g=[20], phenotypic_sd_g=10)
    z2 = 1.959964**2 / 20**2
    sampling, drift = 100 * (1 / 80 + 1 / 100), 100 / 20
    low, high = sorted(np.roots([1, -0.8 - z2 * drift, 0.16 - z2 * sampling]))
    assert found.value == pytest.approx(0.4)
    assert found.high == pytest.approx(high, rel=1e-6)
    assert found.low == pytest.approx(low, rel=1e-6)


def test_the_slope_is_statsmodels_gls():
    # Reference: statsmodels 0.15.0 GLS with the stated covariance
    line = LineHistory([100, 104, 111, 113, 121], [60, 50, 70, 65, 60], 15)
    s = np.array([12.0, 14, 11, 15])
    found = realised_heritability(line, differential_g=s, phenotypic_sd_g=11)
    t = np.arange(1, 5)
    n = np.array([50, 70, 65, 60])
    covariance = 121 / 60 + np.diag(121 / n) + np.minimum.outer(t, t) * found.value * 121 / 15
    fit = sm.GLS(np.array([4.0, 11, 13, 21]), np.cumsum(s), sigma=covariance).fit()
    assert found.value == pytest.approx(fit.params[0], rel=1e-9)
    for limit in (found.low, found.high):
        there = 121 / 60 + np.diag(121 / n) + np.minimum.outer(t, t) * min(max(limit, 0), 1) * 121 / 15
        fit = sm.GLS(np.array([4.0, 11, 13, 21]), np.cumsum(s), sigma=there).fit()
        bread = 1 / (np.cumsum(s) @ np.linalg.solve(there, np.cumsum(s)))
        assert abs(fit.params[0] - limit) == pytest.approx(1.959964 * math.sqrt(bread), rel=1e-6)


def test_a_plain_regression_would_claim_too_much():
    line = LineHistory([100, 104, 111, 113, 121], [60, 50, 70, 65, 60], 5)
    s = np.array([12.0, 14, 11, 15])
    found = realised_heritability(line, differential_g=s, phenotypic_sd_g=11)
    plain = sm.OLS(np.array([4.0, 11, 13, 21]), np.cumsum(s)).fit()
    assert found.high - found.low > 2 * 1.96 * 1.5 * plain.bse[0]


def test_too_little_says_so():
    one = LineHistory([100], [60], 5)
    found = realised_heritability(one, differential_g=[], phenotypic_sd_g=10)
    assert (found.missing.reason, found.missing.have) == (Reason.TOO_FEW_GROUPS, 1)
    two = LineHistory([100, 101], [60, 60], 5)
    assert realised_heritability(two, differential_g=[0], phenotypic_sd_g=10).missing.reason is Reason.NO_VARIATION


@pytest.mark.parametrize(
    ("line", "told", "says"),
    [
        (LineHistory([100, math.nan], [5, 5], 4), {}, "no mean weight"),
        (LineHistory([100, 101], [5, 0], 4), {}, "no bird weighed"),
        (LineHistory([100, 101], [5], 4), {}, "2 mean weights"),
        (LineHistory([100, 101], [5, 5], 0), {}, "effective number"),
        (LineHistory([100, 101], [5, 5], 4), {"phenotypic_sd_g": 0}, "standard deviation"),
        (LineHistory([100, 101], [5, 5], 4), {"differential_g": [1, 2]}, "1 differentials"),
        (LineHistory([100, 101], [5, 5], 4), {"differential_g": [math.inf]}, "1 differentials"),
        (LineHistory([100, 101], [5, 5], 4), {"control": LineHistory([1, 2, 3], [5, 5, 5], 4)}, "control has 3"),
    ],
)
def test_what_cannot_be_is_refused(line, told, says):
    with pytest.raises(ValueError, match=says):
        rh.realised_heritability(line, **({"differential_g": [10], "phenotypic_sd_g": 10} | told))
