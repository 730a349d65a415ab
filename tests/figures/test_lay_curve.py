"""Laying curves against R's nls on two open series of the same shape, exact values, and data that fix no
curve."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from barnbook.figures import lay_curve
from barnbook.figures.estimate import Missing, Reason
from barnbook.figures.lay_curve import CurveModel, LayCurve, LayCurves

FIXTURES = Path(__file__).parents[2] / "fixtures"


def rows(path):
    lines = [line for line in (FIXTURES / path).read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def series(name, weeks=None):
    table = np.array([[float(value) for value in row.values()] for row in rows(f"data/{name}.csv")])
    return table[:weeks, 0], table[:weeks, 1]


@pytest.mark.parametrize("row", rows("checks/lay_curve.csv"), ids=lambda row: f"{row['data']} {row['model']}")
def test_fits_agree_with_r(row):
    t, y = series(row["data"], int(row["weeks"]))
    found = lay_curve.fit_model(CurveModel(row["model"]), t, y)
    expected = [float(row[name]) for name in "abcd" if row[name]]
    assert found.parameters == pytest.approx(expected, rel=1e-4)
    assert found.rss == pytest.approx(float(row["rss"]), rel=1e-6)
    if row["aic"]:
        assert found.aic == pytest.approx(float(row["aic"]), abs=1e-4)


def test_standard_errors_agree_with_r():
    # R 4.2.2 summary(nls), Wood and Yang on agridat henderson.milkfat
    t, y = series("henderson_milkfat")
    wood = lay_curve.fit_model(CurveModel.WOOD, t, y)
    assert np.sqrt(np.diag(wood.covariance)) == pytest.approx([0.028313, 0.087430, 0.0084474], rel=1e-4)
    yang = lay_curve.fit_model(CurveModel.YANG, t, y)
    assert np.sqrt(np.diag(yang.covariance)) == pytest.approx([0.44878, 0.0085436, 0.029722, 0.96913], rel=1e-4)


def test_peaks_persistency_and_predictions_agree_with_r():
    t, y = series("henderson_milkfat")
    wood = lay_curve.fit_model(CurveModel.WOOD, t, y)
    assert wood.peak_week == pytest.approx(7.81779, rel=1e-4)
    assert wood.peak_rate == pytest.approx(0.704580, rel=1e-4)
    assert lay_curve.wood_persistency(*wood.parameters[1:]) == pytest.approx(4.11311, rel=1e-4)
    assert wood.rate([36, 40]) == pytest.approx([0.0872171, 0.0579668], rel=1e-4)
    assert wood.rate(np.arange(1, 36)).sum() == pytest.approx(14.03573, rel=1e-4)
    early = lay_curve.fit_model(CurveModel.WOOD, *series("henderson_milkfat", 20))
    assert early.rate(np.arange(21, 36)).sum() == pytest.approx(3.149023, rel=1e-4)  # observed 2.94
    t, y = series("rise_decline_series")
    for model, expected in (
        ("wood", [21.869476, 21.340443]),
        ("mcmillan", [22.539428, 22.130920]),
        ("yang", [22.598844, 22.197641]),
    ):
        found = lay_curve.fit_model(CurveModel(model), t, y)
        assert found.rate([341, 355]) == pytest.approx(expected, rel=1e-4)
    assert lay_curve.fit_model(CurveModel.MCMILLAN, t, y).peak_week == pytest.approx(60.6499, rel=1e-4)


def test_the_order_by_aic_is_that_of_r():
    found = lay_curve.fit_lay_curve(*series("rise_decline_series"))
    assert [curve.model for curve in found.curves] == [CurveModel.MCMILLAN, CurveModel.YANG, CurveModel.WOOD]
    assert sum(found.weights) == pytest.approx(1)


def test_aicc_is_aic_with_its_correction():
    found = lay_curve.fit_model(CurveModel.WOOD, *series("henderson_milkfat"))
    assert found.aicc - found.aic == pytest.approx(2 * 4 * 5 / (35 - 4 - 1))  # k = 3 + 1, by hand


def test_a_form_that_degenerates_is_not_identified():
    # McMillan does not converge on this series in R either: it runs into b = c
    t, y = series("henderson_milkfat")
    found = lay_curve.fit_model(CurveModel.MCMILLAN, t, y)
    assert isinstance(found, Missing)
    assert found.reason is Reason.NOT_IDENTIFIED
    assert lay_curve.fit_lay_curve(t, y).left_out == (CurveModel.MCMILLAN,)


EXACT_WEEKS = [1, 2, 3, 5, 10, 26, 52]


@pytest.mark.parametrize(
    ("model", "parameters", "rates", "peak"),
    [
        (
            "yang",
            [0.95, 0.006, 1.2, 2],
            [0.2185859973, 0.4693340636, 0.71707434, 0.8974028699, 0.8946157157, 0.8127812309, 0.6953824518],
            None,
        ),
        (
            "mcmillan",
            [0.95, 0.006, 0.8, 0.5],
            [0.3113224068, 0.6559467204, 0.8067779913, 0.8967328817, 0.8942285649, 0.8127812297, 0.6953824518],
            6.625405342,
        ),
        (
            "wood",
            [0.6, 0.35, 0.02],
            [0.588119204, 0.7347506342, 0.8300151522, 0.953589156, 1.099745906, 1.11572918, 0.8454465563],
            17.5,
        ),
    ],
)
def test_exact_function_values(model, parameters, rates, peak):
    # Values of the three forms, recomputed outside the project; abs 1e-9
    curve = LayCurve(CurveModel(model), np.array(parameters, float), np.eye(len(parameters)), 1, 0, 0, 1, 50)
    assert curve.rate(EXACT_WEEKS) == pytest.approx(rates, abs=1e-9)
    for i in range(len(parameters)):  # the gradient against a central difference quotient
        step = np.zeros(len(parameters))
        step[i] = 1e-5
        above, below = (
            LayCurve(curve.model, x, curve.covariance, 1, 0, 0, 1, 50).rate(EXACT_WEEKS)
            for x in (curve.parameters + step, curve.parameters - step)
        )
        assert curve.gradient(EXACT_WEEKS)[:, i] == pytest.approx((above - below) / 2e-5, abs=1e-5)
    if peak is not None:
        assert curve.peak_week == pytest.approx(peak, abs=1e-8)
    dense = np.linspace(curve.peak_week - 0.5, curve.peak_week + 0.5, 101)
    assert dense[int(np.argmax(curve.rate(dense)))] == pytest.approx(curve.peak_week, abs=0.01)


def test_the_year_of_the_exact_yang_curve():
    curve = LayCurve(CurveModel.YANG, np.array([0.95, 0.006, 1.2, 2]), np.eye(4), 1, 0, 0, 1, 50)
    assert 7 * curve.rate(np.arange(1, 53)).sum() == pytest.approx(285.4997259, abs=1e-6)
    # far past the rise Yang falls by exp(-b) a week
    assert curve.decline_a_week(40) == pytest.approx(1 - np.exp(-0.006), rel=1e-9)
    assert curve.decline_a_week(1) == 0
    assert curve.persistency(26) == pytest.approx(curve.rate(curve.peak_week + 26) / curve.peak_rate)


def test_weights_are_hen_days():
    # A week that stands on next to nothing must not move the curve
    t, y = series("rise_decline_series")
    odd = np.append(y, 0.0)
    weeks, hen_days = np.append(t, 341.0), np.append(np.full(len(t), 1e6), 1e-3)
    plain = lay_curve.fit_model(CurveModel.WOOD, t, y)
    weighted = lay_curve.fit_model(CurveModel.WOOD, weeks, odd, hen_days)
    assert weighted.parameters == pytest.approx(plain.parameters, rel=1e-5)


@pytest.mark.parametrize(
    ("weeks", "rates", "reason"),
    [
        (np.arange(1, 8), np.full(7, 0.8), Reason.TOO_FEW_DAYS),
        (np.arange(1, 21), np.zeros(20), Reason.NO_VARIATION),
        (np.arange(1, 11), np.linspace(0.05, 0.9, 10), Reason.NO_PEAK_SEEN),  # still rising
    ],
)
def test_too_little_of_the_curve_says_so(weeks, rates, reason):
    found = lay_curve.fit_lay_curve(weeks, rates)
    assert isinstance(found, Missing)
    assert found.reason is reason


def test_hens_first_seen_past_their_peak_show_no_peak():
    weeks = np.arange(20, 40)
    found = lay_curve.fit_lay_curve(weeks, 0.95 * np.exp(-0.02 * weeks) + 0.002 * np.sin(weeks * 2.0))
    assert isinstance(found, Missing)
    assert found.reason in (Reason.NO_PEAK_SEEN, Reason.NOT_IDENTIFIED)


@pytest.mark.parametrize(
    ("weeks", "rates", "sentence"),
    [
        ([1, 2, math.nan], [0.1, 0.2, 0.3], "not finite"),
        ([1, 2, 3], [0.1, math.inf, 0.3], "not finite"),
        ([0, 1, 2], [0.1, 0.2, 0.3], "rise from above 0"),
        ([1, 1, 2], [0.1, 0.2, 0.3], "rise from above 0"),
        ([1, 2, 3], [0.1, -0.2, 0.3], "below 0"),
        ([1, 2], [0.1, 0.2, 0.3], "one of each"),
    ],
)
def test_impossible_series_are_refused(weeks, rates, sentence):
    with pytest.raises(ValueError, match=sentence):
        lay_curve.fit_lay_curve(weeks, rates)


def test_a_true_curve_is_found_again():
    rng = np.random.default_rng(12)
    weeks = np.arange(1, 53.0)
    truth = 0.92 * np.exp(-0.006 * weeks) / (1 + np.exp(-1.3 * (weeks - 2.2)))
    rates = rng.binomial(7 * 60, truth) / (7 * 60)
    found = lay_curve.fit_lay_curve(weeks, rates, np.full(52, 420))
    assert isinstance(found, LayCurves)
    assert np.abs(found.best.rate(weeks) - truth).max() < 0.03
    assert found.inflation < 2.5
