"""Wait or process: the published feed per gain, made-up prices by hand, and the ends."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from barnbook.figures import wait_or_process as wp
from barnbook.figures.estimate import Reason
from barnbook.figures.growth_curve import curve_weight_g

ROOT = Path(__file__).parents[2]
A2 = {"weight_g": [180.44, 226.45, 265.23], "age_days": [28, 35, 42], "feed_g": [7 * 21.34, 7 * 29.76]}
PRICES = {"feed_price_per_kg": 0.80, "price_per_kg": 4.00}


def rows(path):
    lines = [line for line in (ROOT / "fixtures" / path).read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


@pytest.mark.parametrize("row", rows("checks/wait_or_process.csv"), ids=lambda r: f"{r['group']} week {r['week']}")
def test_published_feed_per_gain(row):
    # Source in the first line of fixtures/checks/wait_or_process.csv
    gain, feed = float(row["gain_g"]), float(row["feed_g_per_day"])
    found = wp.wait_or_process([200, 200 + gain, 200 + gain], age_days=[28, 35, 42], feed_g=[7 * feed, 0], **PRICES)
    step = found.steps[0]
    assert step.feed_per_gain == pytest.approx(float(row["feed_per_gain"]), abs=1e-4)
    assert step.feed_per_gain == pytest.approx(float(row["printed"]), abs=0.005)
    if row["margin"]:
        assert step.margin == pytest.approx(float(row["margin"]), abs=1e-9)


def test_the_worked_case_processes_at_35_days():
    # Indian J. Anim. Res. BF-1579, recomputed: week 5 +.064536, week 6 -.011536
    found = wp.wait_or_process(**A2, **PRICES)
    assert [round(step.margin, 6) for step in found.steps] == [0.064536, -0.011536]
    assert found.process_at.value == 35
    assert set(found.process_at.notes) == {"place_not_counted", "no_interval"}


def test_break_even_price_ratio_is_the_feed_per_gain():
    # Indian J. Anim. Res. BF-1579, recomputed: ratio of live price to feed price = feed per gain, 5.3718 in week 6
    just_above = wp.wait_or_process(**A2, feed_price_per_kg=1.0, price_per_kg=5.3719)
    just_below = wp.wait_or_process(**A2, feed_price_per_kg=1.0, price_per_kg=5.3718)
    assert just_above.steps[1].margin > 0 > just_below.steps[1].margin


def test_while_waiting_still_pays_no_age_is_named():
    found = wp.wait_or_process(**A2, feed_price_per_kg=0.10, price_per_kg=4.00)
    assert found.process_at.missing.reason is Reason.OUT_OF_RANGE
    assert "still pays" in found.process_at.missing.detail


def test_when_no_step_pays_the_age_is_now():
    assert wp.wait_or_process(**A2, feed_price_per_kg=4.0, price_per_kg=4.0).process_at.value == 28


def test_sold_by_the_bird_waiting_costs_and_brings_nothing():
    found = wp.wait_or_process(**A2, feed_price_per_kg=0.80, price_per_bird=3.0)
    assert found.process_at.value == 28
    assert [step.brings for step in found.steps] == [0, 0]
    dearer_later = wp.wait_or_process(**A2, feed_price_per_kg=0.80, price_per_bird=[3.0, 4.0, 4.0])
    assert dearer_later.process_at.value == 35


def test_labour_and_place_bring_the_age_forward():
    # 7 days * 0.01 a bird-day = 0.07 > the margin of week 5, 0.064536
    for name in ("labour_per_bird_day", "place_per_bird_day"):
        assert wp.wait_or_process(**A2, **PRICES, **{name: 0.01}).process_at.value == 28
    assert "place_not_counted" not in wp.wait_or_process(**A2, **PRICES, place_per_bird_day=0.01).process_at.notes


def test_the_dressing_share_takes_its_part_of_the_return():
    found = wp.wait_or_process(**A2, **PRICES, share_dressed=0.6)
    assert found.steps[0].brings == pytest.approx(0.6 * 0.18404, abs=1e-12)


def test_a_dip_does_not_hide_a_later_greater_sum():
    found = wp.wait_or_process(
        [100, 100, 200, 200], age_days=[1, 2, 3, 4], feed_g=[10, 10, 10], feed_price_per_kg=1, price_per_kg=1
    )
    assert found.process_at.value == 3
    assert "a_later_step_pays" not in found.process_at.notes
    small = wp.wait_or_process(
        [100, 150, 150, 155, 155], age_days=[1, 2, 3, 4, 5], feed_g=[10, 10, 1, 10], feed_price_per_kg=1, price_per_kg=1
    )
    assert small.process_at.value == 2
    assert "a_later_step_pays" in small.process_at.notes


def test_identical_weights_gain_nothing_and_have_no_feed_per_gain():
    found = wp.wait_or_process([200, 200], age_days=[42, 43], feed_g=[25], **PRICES)
    assert found.steps[0].feed_per_gain is None
    assert found.process_at.value == 42


def test_by_hand_on_a_gompertz_the_age_is_where_gain_falls_to_the_break_even():
    # Marginal return = marginal cost: gain a day = feed a day * feed price / live price. Gain of a Gompertz
    # past its inflection falls steadily, so the age is the first whole day whose next day gains less.
    ages = np.arange(30, 71)
    truth = {"asymptote_g": 300.0, "rate_per_day": 0.07, "inflection_day": 16.0, "shape": 0.0}
    weight = curve_weight_g(ages, **truth)
    found = wp.wait_or_process(weight, age_days=ages, feed_g=np.full(40, 28.0), feed_price_per_kg=0.6, price_per_kg=6.0)
    falls_below = next(int(a) for a, gain in zip(ages, np.diff(weight), strict=False) if gain < 28 * 0.1)
    assert found.process_at.value == falls_below


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"age_days": [28, 28, 42]}, "do not rise"),
        ({"age_days": [28]}, "at least two ages"),
        ({"weight_g": [1, 2]}, "2 values of weight stand where 3"),
        ({"weight_g": [180, math.nan, 260]}, "weight is negative or not a number"),
        ({"feed_g": [-1, 2]}, "feed is negative"),
        ({"feed_price_per_kg": math.inf}, "feed price"),
        ({"price_per_kg": -1}, "price a kg"),
        ({"price_per_bird": 3}, "either a price a kg or a price a bird"),
        ({"share_dressed": 0}, "dressing share"),
        ({"share_dressed": 1.2}, "dressing share"),
        ({"drawn_weight_g": np.ones((5, 2))}, "do not fit 3 ages"),
        ({"drawn_weight_g": np.full((5, 3), math.nan)}, "do not fit 3 ages"),
    ],
)
def test_what_cannot_be_is_refused(change, says):
    with pytest.raises(ValueError, match=says):
        wp.wait_or_process(**(A2 | PRICES | change))


def test_drawn_curves_that_turn_elsewhere_leave_the_age_untold() -> None:
    """The fitted curve turns at 49 days; curves that gain nothing turn at once, and a few like it are none too many."""
    ages, weight = [42.0, 49.0, 56.0], [200.0, 230.0, 231.0]
    told = {"age_days": ages, "feed_g": [100.0, 100.0], "feed_price_per_kg": 1.0, "price_per_kg": 5.0}
    flat, like_it = np.full((99, 3), 200.0), np.array([weight])
    found = wp.wait_or_process(weight, **told, drawn_weight_g=np.vstack([flat, like_it]))
    assert found.process_at.value is None
    assert found.process_at.missing is not None
    assert found.process_at.missing.reason is Reason.NOT_IDENTIFIED
    assert len(found.steps) == 2
    sure = wp.wait_or_process(weight, **told, drawn_weight_g=np.vstack([flat[:9], np.repeat(like_it, 9, axis=0)]))
    assert (sure.process_at.low, sure.process_at.value, sure.process_at.high) == (42.0, 49.0, 49.0)
