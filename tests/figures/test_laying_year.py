"""Start of lay and the laying year: by hand, by the published weekly sum, and the forecast's coverage by
simulation."""

from datetime import date, timedelta

import numpy as np
import pytest

from barnbook.figures import laying_year
from barnbook.figures.estimate import LeftOut, Missing, Reason
from barnbook.figures.hen_days import CollectionInterval
from barnbook.figures.lay_curve import CurveModel, LayCurve, LayCurves

DAY = date(2026, 1, 1)


def on(i):
    return DAY + timedelta(days=int(i))


def daily(eggs, *, hens, since=0):
    return [CollectionInterval(on(since + i), on(since + i), int(n), hens) for i, n in enumerate(eggs)]


NO_CURVE = Missing(Reason.TOO_FEW_DAYS, "weeks", have=3, need=8)


def exact_curves(*, last_week=52.0, error=1e-6):
    """The curve of check value 1.3c, all but without error."""
    curve = LayCurve(CurveModel.YANG, np.array([0.95, 0.006, 1.2, 2]), np.eye(4) * error**2, 1, 0, 0, error**2, 52)
    return LayCurves((curve,), (1.0,), (), 1.0, 100.0, last_week)


# Start of lay


def test_start_of_lay_is_the_middle_of_the_first_week_at_one_half():
    # Two hens: 0 for 10 days, then one egg a day. The first 7 days holding 7 eggs of 14 hen-days are days
    # 10..16.
    found = laying_year.start_of_lay([daily([0] * 10 + [1] * 20, hens=2)])
    assert found == on(13)


def test_start_of_lay_is_the_cohorts_over_all_its_cages():
    # Cage A comes in on day 5 (3 of 3), cage B never: together half from the week of days 5..11
    cages = [daily([0] * 5 + [3] * 20, hens=3), daily([0] * 25, hens=3)]
    assert laying_year.start_of_lay(cages) == on(8)


def test_eggs_of_a_long_interval_are_spread_evenly():
    cages = [[*daily([0] * 4, hens=1), CollectionInterval(on(4), on(13), 10, 10)]]
    # days 0-3 none, then one a day: the first 7 days with at least 3.5 eggs are days 1..7
    assert laying_year.start_of_lay(cages) == on(4)


@pytest.mark.parametrize(
    ("cages", "reason"),
    [
        ([], Reason.NO_RECORDS),
        ([daily([0] * 30, hens=0)], Reason.NO_RECORDS),
        ([daily([0] * 30, hens=4)], Reason.NOT_IN_LAY_YET),
        ([daily([4] * 5, hens=4)], Reason.NOT_IN_LAY_YET),
        ([daily([4] * 30, hens=4)], Reason.FIRST_COUNTED_IN_LAY),
    ],
)
def test_a_start_that_was_not_seen_is_not_made_up(cages, reason):
    found = laying_year.start_of_lay(cages)
    assert isinstance(found, Missing)
    assert found.reason is reason


def test_a_clash_is_no_day_of_lay():
    cage = daily([0] * 10 + [1] * 20, hens=1)
    cage[12] = CollectionInterval(on(12), on(12), 9, 1, clash=True)
    # seven counted days in a row: the first at one half that does not hold day 12 is days 13..19
    assert laying_year.start_of_lay([cage]) == on(16)


# Weekly rates


def test_weekly_rates_by_hand():
    cage = daily([1] * 7 + [2] * 7 + [2] * 3, hens=2)
    weeks, rates, hen_days = laying_year.weekly_rates([cage], start=on(0))
    assert weeks.tolist() == [1, 2]
    assert rates.tolist() == [0.5, 1.0]
    assert hen_days.tolist() == [14, 14]
    assert laying_year.weekly_rates([cage], start=on(7))[0].tolist() == [1]
    assert laying_year.weekly_rates([], start=on(0))[0].size == 0


# Eggs a hen


def test_a_year_wholly_counted_needs_no_forecast():
    # 310 eggs a hen-year is 84.9 % hen-day (common practice, no source): 310 of 365 days, one hen
    laid = [1] * 310 + [0] * 55
    found = laying_year.eggs_a_hen([daily(laid, hens=1)], start=on(0), year=1, curves=NO_CURVE)
    assert found.total.value == 310
    assert found.forecast.value == 0
    assert round(100 * 310 / 365, 1) == 84.9


def test_counted_and_foreseen_stand_apart_and_add_up():
    cage = daily([4] * 100, hens=5)
    found = laying_year.eggs_a_hen([cage], start=on(0), year=1, curves=exact_curves())
    rest = exact_curves().best.rate((np.arange(101, 366) + 3) / 7).sum()
    assert found.observed.value == pytest.approx(80)
    assert (found.observed.n, found.observed.low) == (100, None)
    assert found.forecast.value == pytest.approx(rest)
    assert found.total.value == pytest.approx(80 + rest)
    assert found.total.low <= found.total.value <= found.total.high


def test_a_whole_year_of_the_published_curve():
    # check value 1.3c: 7 x the sum over weeks 1..52 is 285.4997259 eggs in 364 days
    value, low, high = laying_year.forecast_eggs(exact_curves(), np.repeat(np.arange(1, 53) * 7.0 - 3, 7))
    assert value == pytest.approx(285.4997259, abs=1e-6)
    assert low < value < high


def test_hens_lost_do_not_lower_the_eggs_of_a_hen():
    # one egg a hen and day throughout, half the hens lost half way
    cage = daily([4] * 100, hens=4) + daily([2] * 265, hens=2, since=100)
    found = laying_year.eggs_a_hen([cage], start=on(0), year=1, curves=NO_CURVE)
    assert found.total.value == pytest.approx(365)


def test_uncounted_days_are_forecast_and_named():
    cage = daily([4] * 50, hens=5) + daily([4] * 40, hens=5, since=60)
    found = laying_year.eggs_a_hen([cage], start=on(0), year=1, curves=exact_curves())
    assert found.observed.n == 90
    assert found.forecast.n == 275
    assert found.total.left_out == (LeftOut("days", 10, "not_counted_but_forecast"),)


def test_year_2_waits_for_26_weeks_past_the_peak():
    peak = exact_curves().best.peak_week
    young = exact_curves(last_week=peak + 25)
    found = laying_year.eggs_a_hen([daily([4] * 200, hens=5)], start=on(0), year=2, curves=young)
    assert found.forecast.missing == Missing(Reason.TOO_FEW_DAYS, "weeks", have=peak + 25, need=int(np.ceil(peak + 26)))
    assert found.observed.missing.reason is Reason.NO_RECORDS


def test_a_young_cohort_borrows_a_curve_and_names_it():
    found = laying_year.eggs_a_hen([], start=on(0), year=2, curves=exact_curves(), borrowed_from="spring 2024")
    assert found.forecast.notes == ("borrowed_from:spring 2024",)
    assert found.total.value == pytest.approx(exact_curves().best.rate((np.arange(366, 731) + 3) / 7).sum())


def test_without_a_curve_the_rest_of_the_year_is_missing():
    found = laying_year.eggs_a_hen([daily([4] * 10, hens=5)], start=on(0), year=1, curves=NO_CURVE)
    assert found.observed.value == pytest.approx(8)
    assert found.forecast.missing == NO_CURVE
    assert found.total.missing == NO_CURVE


def test_a_forecast_too_wide_to_mean_anything_is_not_shown():
    found = laying_year.eggs_a_hen([], start=on(0), year=2, curves=exact_curves(error=1.0))
    assert found.forecast.missing.reason is Reason.NOT_IDENTIFIED


def test_more_than_an_egg_a_day_is_a_fault():
    found = laying_year.eggs_a_hen([daily([6] * 30, hens=5)], start=on(0), year=1, curves=exact_curves())
    assert found.total.missing.reason is Reason.OUT_OF_RANGE
    assert found.total.missing.have == pytest.approx(1.2)


def test_another_year_is_refused():
    with pytest.raises(ValueError, match="year 1 or 2"):
        laying_year.eggs_a_hen([], start=on(0), year=3, curves=NO_CURVE)


# Coverage
