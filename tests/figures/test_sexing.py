"""Sexing: the window of 42 to 56 days, the sex ratio, and what the early guess was worth."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from barnbook.figures import sexing

HATCH = date(2026, 3, 1)


def test_the_window_opens_on_day_42_and_closes_on_day_56_both_ends_in():
    window = sexing.sexing_window(HATCH)
    inside = [d for d in range(120) if window.is_open(HATCH + timedelta(days=d))]
    assert inside == list(range(42, 57))


def test_a_brood_is_late_only_after_the_last_day():
    window = sexing.sexing_window(HATCH)
    late = [d for d in range(60) if window.is_late(HATCH + timedelta(days=d))]
    assert late == [57, 58, 59]


def test_the_window_crosses_a_leap_day():
    assert sexing.sexing_window(date(2028, 1, 18)).first_day == date(2028, 2, 29)


def test_a_line_may_have_its_own_window_of_one_day():
    window = sexing.sexing_window(HATCH, from_day=49, to_day=49)
    assert window.first_day == window.last_day == date(2026, 4, 19)


@pytest.mark.parametrize(
    ("from_day", "to_day", "says"), [(-1, 10, "before the hatch"), (50, 49, "not before the first")]
)
def test_an_impossible_window_is_refused(from_day, to_day, says):
    with pytest.raises(ValueError, match=says):
        sexing.sexing_window(HATCH, from_day=from_day, to_day=to_day)


def test_unsure_birds_are_due_again_in_seven_days():
    assert sexing.look_again(date(2026, 12, 28)) == date(2027, 1, 4)
    assert sexing.look_again(HATCH, after_days=1) == date(2026, 3, 2)
    with pytest.raises(ValueError, match="1 day or more"):
        sexing.look_again(HATCH, after_days=0)
