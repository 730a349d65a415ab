"""Egg weight against R on two open data sets, the group as what is drawn (simulated), and odd weighings."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from barnbook.figures import egg_weight
from barnbook.figures.egg_weight import EggWeighing
from barnbook.figures.estimate import LeftOut, Reason
from barnbook.figures.interval import mean_t, t_quantile

FIXTURES = Path(__file__).parents[2] / "fixtures"


def rows(path):
    lines = [line for line in (FIXTURES / path).read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


CHECKS = {
    (row["data"], row["what"]): pytest.approx(float(row["value"]), abs=float(row["tolerance"]))
    for row in rows("checks/egg_weight.csv")
}


def weigh(weighings, *, low=10.0, high=12.0, **more):
    return egg_weight.egg_weight(weighings, band_low_g=low, band_high_g=high, **more)


def zuidhof():
    laid = [(float(row["age"]), float(row["eggwt"])) for row in rows("data/zuidhof_hen.csv") if row["eggwt"]]
    return np.array(laid).T


def test_mean_and_sd_agree_with_r():
    _, weight = zuidhof()
    found = weigh([EggWeighing(float(w)) for w in weight], low=50, high=60, most_egg_g=90)
    assert found.mean.value == CHECKS["zuidhof_hen", "mean"]
    assert found.sd.value == CHECKS["zuidhof_hen", "sd"]
    assert found.mean.value * found.mean.n == CHECKS["zuidhof_hen", "total"]
    assert found.sd.low < found.sd.value < found.sd.high


def test_the_line_on_age_agrees_with_r():
    age, weight = zuidhof()
    found = egg_weight.egg_weight_by_age(age, weight)
    assert found.intercept_g == CHECKS["zuidhof_hen", "intercept"]
    assert found.slope.value == CHECKS["zuidhof_hen", "slope"]
    assert (found.slope.high - found.slope.value) / t_quantile(48) == CHECKS["zuidhof_hen", "slope_se"]
    assert found.r_squared == CHECKS["zuidhof_hen", "r_squared"]


def test_days_of_ten_eggs_give_gouldens_grand_mean_and_the_interval_of_day_means():
    data = rows("data/goulden_eggs.csv")
    found = weigh([EggWeighing(float(r["weight"]), group=r["day"]) for r in data], low=50, high=70, most_egg_g=150)
    assert found.mean.value == CHECKS["goulden_eggs", "mean"]
    # groups of equal size: the ratio estimator is Student's t on the 24 day means
    days = [np.mean([float(r["weight"]) for r in data if r["day"] == str(d)]) for d in range(1, 25)]
    by_day = mean_t(days)
    assert (found.mean.low, found.mean.high) == (pytest.approx(by_day.low), pytest.approx(by_day.high))


def test_single_eggs_that_stand_alone_give_students_t():
    grams = [10.1, 10.9, 11.4, 11.0, 12.2, 10.4, 11.8, 11.1, 10.7, 11.3]
    found, plain = weigh([EggWeighing(w) for w in grams]), mean_t(grams)
    assert found.mean.low == pytest.approx(plain.low)
    assert found.mean.high == pytest.approx(plain.high)
    assert found.inside_band.value == 0.9  # 12.2 g lies outside 10 to 12


def test_eggs_weighed_at_once_count_for_the_mean_and_not_for_the_sd():
    single = [EggWeighing(w) for w in (10.0, 11.0, 12.0, 11.5, 10.5, 11.2, 10.8, 11.9, 10.1, 11.0)]
    together = weigh([*single, EggWeighing(240.0, eggs=20)])
    alone = weigh(single)
    assert together.mean.n == 30
    assert together.mean.value == pytest.approx((110 + 240) / 30)
    assert together.sd == alone.sd
    assert together.inside_band == alone.inside_band


def test_impossible_weights_are_left_out_and_counted():
    found = weigh([*(EggWeighing(10 + 0.1 * i) for i in range(12)), EggWeighing(110.0)])
    assert found.mean.n == 12
    assert found.mean.left_out == (LeftOut("weighings", 1, "weight_not_possible"),)


@pytest.mark.parametrize(
    ("weighings", "figure", "reason"),
    [
        ([], "mean", Reason.TOO_FEW_RECORDS),
        ([EggWeighing(11.0)], "sd", Reason.TOO_FEW_RECORDS),
        ([EggWeighing(120.0, eggs=11), EggWeighing(130.0, eggs=12)], "mean", Reason.TOO_FEW_GROUPS),
        ([EggWeighing(120.0, eggs=11)] * 3, "inside_band", Reason.TOO_FEW_RECORDS),
        ([EggWeighing(11.0)] * 12, "mean", Reason.NO_VARIATION),
        ([EggWeighing(11.0)] * 12, "sd", Reason.NO_VARIATION),
    ],
)
def test_too_little_says_what_is_missing(weighings, figure, reason):
    found = getattr(weigh(weighings), figure)
    assert found.missing.reason is reason
    assert found.value is None


def test_every_egg_inside_the_band_still_has_a_lower_limit():
    found = weigh([EggWeighing(11.0)] * 12).inside_band
    assert (found.value, found.high) == (1, 1)
    assert 0.7 < found.low < 0.8  # Wilson, 12 of 12: 1 / (1 + z^2 / 12) = 0.757


@pytest.mark.parametrize(("weight_g", "eggs"), [(0, 1), (-3, 1), (math.nan, 1), (math.inf, 1), (11, 0)])
def test_no_weighing_is_refused(weight_g, eggs):
    with pytest.raises(ValueError, match="is no weighing"):
        EggWeighing(weight_g, eggs)


def test_an_upside_down_band_is_refused():
    with pytest.raises(ValueError, match="upside down"):
        weigh([], low=12, high=10)


def test_eggs_of_a_cage_taken_as_strangers_would_say_too_much():
    # 12 cages that differ with SD 0.6 g, eggs within with SD 0.8 g; with the cages told: coverage/hens.py
    rng = np.random.default_rng(15)
    naive = []
    for _ in range(300):
        plain = mean_t((rng.normal(11, 0.6, 12)[:, None] + rng.normal(0, 0.8, (12, 14))).ravel().tolist())
        naive.append(plain.low <= 11 <= plain.high)
    assert np.mean(naive) < 0.75


def test_ages_that_say_nothing_are_missing_and_nonsense_is_refused():
    assert egg_weight.egg_weight_by_age([50] * 12, [11.0] * 12).slope.missing.reason is Reason.TOO_FEW_GROUPS
    assert egg_weight.egg_weight_by_age([50], [11.0]).slope.missing.reason is Reason.TOO_FEW_RECORDS
    with pytest.raises(ValueError, match="finite"):
        egg_weight.egg_weight_by_age([50, math.nan], [11.0, 11.2])
