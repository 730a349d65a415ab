"""Growth: which curve, what may be said of it, and a weight carried to the standard age."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from barnbook.figures import growth
from barnbook.figures.estimate import Missing, Reason
from barnbook.figures.growth import choose_curve
from tests.figures.coverage.birds import flock

ROOT = Path(__file__).parents[2]


def rows(path):
    lines = [line for line in (ROOT / "fixtures" / path).read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def quail(group):
    table = [r for r in rows("data/quail_weights_weekly.csv") if r["group"] == group]
    return [float(r["age_days"]) for r in table], [float(r["weight_g"]) for r in table]


def chick(number):
    table = [r for r in rows("data/chickweight.csv") if r["chick"] == str(number)]
    return [float(r["age_days"]) for r in table], [float(r["weight_g"]) for r in table]


@pytest.mark.parametrize("row", rows("checks/growth.csv"), ids=lambda r: " ".join(list(r.values())[1:3]))
def test_the_curve_is_chosen_by_aicc(row):
    curve = choose_curve(*quail(row["subset"]))
    assert curve.tried[row["quantity"]] == pytest.approx(float(row["value"]), abs=2e-5)
    assert curve.fit.form == min(curve.tried, key=curve.tried.get) == "gompertz"


def test_von_bertalanffy_would_win_for_the_base_flock_if_it_were_asked():
    # check value: S0 AIC 31.28 von Bertalanffy against 40.23 Gompertz (R 4.2.2)
    curve = choose_curve(*quail("S0"), forms=("gompertz", "von_bertalanffy"))
    assert curve.fit.form == "von_bertalanffy"


def test_chick_1_has_not_shown_enough_of_its_curve():
    # R's self-start Gompertz fails on chick 1 of ChickWeight (growth still accelerating)
    curve = choose_curve(*chick(1))
    for figure in (growth.asymptote(curve), growth.greatest_gain_day(curve)):
        assert figure.value is None
        assert figure.missing.reason is Reason.NOT_IDENTIFIED
        assert "not enough of the curve seen" in figure.missing.detail


def test_chick_1_may_be_read_inside_the_ages_seen_but_not_beyond():
    curve = choose_curve(*chick(1))
    assert float(curve.fit.weight_g(15)) == pytest.approx(137, abs=8)
    carried = growth.weight_at_standard_age(curve, weight_g=149, age_days=16, standard_age_days=18)
    assert carried.shown
    beyond = growth.weight_at_standard_age(curve, weight_g=205, age_days=21, standard_age_days=24)
    assert beyond.missing.reason is Reason.NOT_IDENTIFIED


def test_chick_35_has_and_its_asymptote_is_rs():
    # R 4.2.2 SSlogis on chick 35: Asym 477.011 (SE 14.65), 12 weighings; t(9) 97.5 % = 2.262157
    figure = growth.asymptote(choose_curve(*chick(35), forms=("logistic",)))
    assert figure.value == pytest.approx(477.011, rel=1e-5)
    assert figure.high - figure.value == pytest.approx(2.262157 * 14.65, rel=1e-3)


def test_a_richards_curve_through_a_kink_is_not_called_growth():
    # chick 1: unbounded least squares reaches a Richards shape of about 36, a broken stick with a "sure"
    # asymptote
    curve = choose_curve(*chick(1))
    assert "richards" not in curve.tried


def test_expected_weight_beyond_the_ages_seen_is_flagged_and_ends():
    # R 4.2.2: S0 Gompertz 202.8842 g at 56 d, 207.8636 g at 70 d; the data end at 42 d
    curve = choose_curve(*quail("S0"))
    at_42 = growth.expected_weight(curve, age_days=42)
    assert at_42.notes == ()
    at_56 = growth.expected_weight(curve, age_days=56)
    assert at_56.value == pytest.approx(202.8842, rel=1e-6)
    assert at_56.notes == ("beyond_ages_seen",)
    assert growth.expected_weight(curve, age_days=70).value == pytest.approx(207.8636, rel=1e-6)
    assert growth.expected_weight(curve, age_days=71).missing.reason is Reason.OUT_OF_RANGE


def test_expected_weight_needs_five_birds():
    rng = np.random.default_rng(4)
    age, weight, who = flock(rng, birds=4, seen=1.0)
    figure = growth.expected_weight(choose_curve(age, weight, birds=who), age_days=56)
    assert figure.missing == Missing(Reason.TOO_FEW_BIRDS, "birds", 4, 5)


def test_naive_weighings_as_if_of_new_birds_would_say_too_much():
    # The same flock without telling the birds apart: the interval is too narrow, which is why birds are
    # asked for.
    rng = np.random.default_rng(8)
    age, weight, who = flock(rng, birds=30)
    told = growth.expected_weight(choose_curve(age, weight, birds=who), age_days=56)
    blind = growth.expected_weight(choose_curve(age, weight), age_days=56)
    assert blind.value == pytest.approx(told.value, rel=1e-6)
    assert blind.high - blind.low < 0.9 * (told.high - told.low)


def test_a_weight_is_carried_along_the_curve_through_the_birds_own_point():
    curve = choose_curve(*quail("S0"))
    figure = growth.weight_at_standard_age(curve, weight_g=190.0, age_days=40, standard_age_days=42)
    # by hand from R's parameters: A exp(-b e^-kt) at 42 over 40
    a, b, k = 210.4094, 2.918124, 0.07827835
    ratio = math.exp(-b * math.exp(-k * 42)) / math.exp(-b * math.exp(-k * 40))
    assert a * ratio > a
    assert figure.value == pytest.approx(190.0 * ratio, rel=1e-6)
    assert figure.low < figure.value < figure.high
    assert "own_pace_not_counted" in figure.notes


def test_carried_there_and_back_a_weight_is_itself():
    curve = choose_curve(*quail("S0"))
    there = growth.weight_at_standard_age(curve, weight_g=180, age_days=35, standard_age_days=42).value
    back = growth.weight_at_standard_age(curve, weight_g=there, age_days=42, standard_age_days=35).value
    assert back == pytest.approx(180, rel=1e-12)


@pytest.mark.parametrize(("age", "shown"), [(35, True), (34.9, False), (49, True), (49.1, False)])
def test_more_than_seven_days_off_is_refused(age, shown):
    curve = choose_curve(*quail("S0"))
    figure = growth.weight_at_standard_age(curve, weight_g=180, age_days=age, standard_age_days=42)
    assert figure.shown is shown
    if not shown:
        assert figure.missing.reason is Reason.OUT_OF_RANGE
        assert figure.missing.need == 7


def test_weighed_on_the_day_the_weight_stands():
    figure = growth.weight_at_standard_age(
        choose_curve(*quail("S0")), weight_g=201.3, age_days=42, standard_age_days=42
    )
    assert (figure.value, figure.low, figure.method) == (201.3, None, "weighed_on_the_day")


def test_the_phones_table_says_the_same_as_the_figure():
    curve = choose_curve(*quail("S0"))
    factors = growth.standard_age_factors(curve, standard_age_days=42)
    assert sorted(factors) == list(range(35, 50))
    assert factors[42] == 1.0
    for day in (35, 41, 49):
        figure = growth.weight_at_standard_age(curve, weight_g=100, age_days=day, standard_age_days=42)
        assert factors[day] * 100 == pytest.approx(figure.value, rel=1e-12)


def test_by_sex_the_curves_are_apart_and_unsexed_weighings_are_counted():
    rng = np.random.default_rng(5)
    cocks, hens = flock(rng, birds=30), flock(rng, birds=30, asymptote_g=330)
    age = np.concatenate((cocks[0], hens[0], [14.0, 21.0]))
    weight = np.concatenate((cocks[1], hens[1], [90.0, 140.0]))
    birds = np.concatenate((cocks[2], hens[2] + 100, [900, 900]))
    sexes = ["cock"] * len(cocks[0]) + ["hen"] * len(hens[0]) + ["unsure", "unsexed"]
    found = growth.curves_by_sex(age, weight, sexes=sexes, birds=birds)
    assert [(left.count, left.why) for left in found.left_out] == [(2, "not_sexed")]
    assert found.curves["hen"].fit.asymptote_g / found.curves["cock"].fit.asymptote_g == pytest.approx(
        330 / 280, rel=0.08
    )


def test_one_sex_without_weighings_is_missing_and_the_other_stands():
    age, weight, who = flock(np.random.default_rng(6), birds=20)
    found = growth.curves_by_sex(age, weight, sexes=["hen"] * len(age), birds=who)
    assert found.curves["cock"] == Missing(Reason.NO_RECORDS, "weighings", 0, 7)
    assert found.curves["hen"].seen_whole


@pytest.mark.parametrize(
    ("age", "weight", "missing"),
    [
        ([], [], Missing(Reason.NO_RECORDS, "weighings", 0, 7)),
        ([0, 7, 14], [8, 38, 80], Missing(Reason.TOO_FEW_RECORDS, "weighings", 3, 7)),
        ([42] * 30, [200] * 30, Missing(Reason.TOO_FEW_RECORDS, "ages", 1, 5)),
        (
            list(range(0, 56, 7)),
            [200] * 8,
            Missing(Reason.NO_VARIATION, "weights", 1, 2, "every weighing is the same"),
        ),
    ],
)
def test_too_little_says_what_is_missing(age, weight, missing):
    assert choose_curve(age, weight) == missing


def test_shrinking_birds_give_no_asymptote():
    curve = choose_curve(np.arange(0, 70, 7), 200 - 2.0 * np.arange(10))
    if isinstance(curve, Missing):
        assert curve.reason is Reason.NOT_IDENTIFIED
    else:
        assert not growth.asymptote(curve).shown


@pytest.mark.parametrize("bad", [0, -1, math.nan, math.inf])
def test_a_weight_that_is_none_is_refused_by_its_place(bad):
    age, weight = quail("S0")
    weight[2] = bad
    with pytest.raises(ValueError, match="Weighing 3"):
        choose_curve(age, weight)
    with pytest.raises(ValueError, match="grams above 0"):
        growth.weight_at_standard_age(choose_curve(*quail("S0")), weight_g=bad, age_days=42, standard_age_days=42)


@pytest.mark.parametrize("bad", [-1, math.nan, math.inf])
def test_an_age_that_is_none_is_refused(bad):
    age, weight = quail("S0")
    age[0] = bad
    with pytest.raises(ValueError, match="Weighing 1"):
        choose_curve(age, weight)
    with pytest.raises(ValueError, match="0 days from hatch"):
        growth.expected_weight(choose_curve(*quail("S0")), age_days=bad)


def test_lists_of_different_length_are_refused():
    with pytest.raises(ValueError, match="3 ages stand beside 2 weights"):
        choose_curve([1, 2, 3], [1, 2])
    with pytest.raises(ValueError, match="7 weighings stand beside 2 birds"):
        choose_curve(*quail("S0"), birds=[1, 2])
    with pytest.raises(ValueError, match="7 weighings stand beside 1 sexes"):
        growth.curves_by_sex(*quail("S0"), sexes=["hen"])


def test_drawn_curves_have_the_estimates_own_spread():
    age, weight, who = flock(np.random.default_rng(9), birds=60)
    curve = choose_curve(age, weight, birds=who)
    draws = growth.draw_weights(curve, age_days=[42, 56], draws=20_000, seed=1)
    figure = growth.expected_weight(curve, age_days=56)
    assert draws.shape == (20_000, 2)
    low, high = np.quantile(draws[:, 1], [0.025, 0.975])
    assert (low, high) == (pytest.approx(figure.low, abs=0.25), pytest.approx(figure.high, abs=0.25))
    assert np.array_equal(draws, growth.draw_weights(curve, age_days=[42, 56], draws=20_000, seed=1))
