"""Dues, by a calendar."""

from __future__ import annotations

from datetime import date

import pytest

from barnbook.work.dues import BroodSeen, DueNow, dues_of

HATCHED = date(2026, 3, 1)


def brood(**changes: object) -> BroodSeen:
    values: dict[str, object] = {
        "hatched_on": HATCHED,
        "from_day": 42,
        "to_day": 56,
        "unlooked": 30,
        "unsure": 0,
        "last_unsure": None,
        "weighing_age_days": 56,
        "unweighed": 30,
        "alive": 30,
        "quarantine_until": None,
    }
    return BroodSeen(**(values | changes))  # type: ignore[arg-type]


def sexing(seen: BroodSeen, *, today: date) -> DueNow | None:
    return next((due for due in dues_of(seen, today=today) if due.work == "sexing"), None)


def test_opens_when_the_brood_is_forty_two_days_old() -> None:
    # By a calendar: 1 March + 30 days is 31 March, + 12 is 12 April; 14 days more is 26 April.
    due = sexing(brood(), today=HATCHED)
    assert due == DueNow("sexing", 30, (date(2026, 4, 12), date(2026, 4, 26)))


@pytest.mark.parametrize(("today", "drawn"), [(date(2025, 12, 12), False), (date(2025, 12, 13), True)])
def test_drawn_a_hundred_and_twenty_days_ahead(today: date, drawn: bool) -> None:
    # 12 April less 120 days: 11 days to 1 April, 31 + 28 + 31 to 1 January make 101; 19 more are 13 December.
    assert (sexing(brood(), today=today) is not None) is drawn


def test_the_lines_own_days() -> None:
    due = sexing(brood(from_day=28, to_day=35), today=HATCHED)
    assert due is not None
    assert due.days == (date(2026, 3, 29), date(2026, 4, 5))


def test_more_looked_at_than_alive_is_nothing_left() -> None:
    due = sexing(brood(unlooked=-2), today=HATCHED)
    assert due is not None
    assert due.left == 0


def test_unsure_birds_a_week_after_they_were_last_looked_at() -> None:
    found = dues_of(brood(unsure=3, last_unsure=date(2026, 4, 14)), today=HATCHED)
    assert DueNow("look_again", 3, (date(2026, 4, 21), date(2026, 4, 28))) in found


def test_nobody_unsure_leaves_the_days_alone() -> None:
    assert DueNow("look_again", 0, None) in dues_of(brood(), today=HATCHED)


def weighing(seen: BroodSeen, *, today: date) -> DueNow | None:
    return next((due for due in dues_of(seen, today=today) if due.work == "weighing"), None)


def test_weighed_at_the_lines_age_and_a_week_more() -> None:
    # By a calendar: 1 March + 56 days is 26 April (30 to 31 March, 26 more), a week more is 3 May.
    assert weighing(brood(), today=HATCHED) == DueNow("weighing", 30, (date(2026, 4, 26), date(2026, 5, 3)))
    # 70 days: 10 May, 17 May.
    later = weighing(brood(weighing_age_days=70, unweighed=0), today=HATCHED)
    assert later == DueNow("weighing", 0, (date(2026, 5, 10), date(2026, 5, 17)))


@pytest.mark.parametrize(("today", "drawn"), [(date(2026, 5, 17), True), (date(2026, 5, 18), False)])
def test_a_weighing_missed_by_two_weeks_is_asked_for_no_more(today: date, drawn: bool) -> None:
    assert (weighing(brood(), today=today) is not None) is drawn


def test_more_weighed_than_alive_is_nothing_left() -> None:
    due = weighing(brood(unweighed=-3), today=HATCHED)
    assert due is not None
    assert due.left == 0


@pytest.mark.parametrize(
    ("today", "drawn"), [(date(2026, 3, 31), True), (date(2026, 4, 7), True), (date(2026, 4, 8), False)]
)
def test_a_quarantine_ends_on_its_last_day_and_is_shown_a_week_longer(today: date, drawn: bool) -> None:
    last = date(2026, 3, 31)
    due = DueNow("quarantine", 30, (last, last))
    assert (due in dues_of(brood(quarantine_until=last), today=today)) is drawn
