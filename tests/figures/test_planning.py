"""Back from the day hens grow old to the day their replacements' eggs are set."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from barnbook.figures.eggs_to_set import EggsToSet
from barnbook.figures.estimate import Missing, Reason
from barnbook.figures.planning import (
    LineAges,
    Replacement,
    Work,
    last_day_of_life,
    replacement,
    replacements,
)
from barnbook.figures.promise import Use
from tests.figures.pedigrees import checks

EXPECTED = checks("planning")
TODAY = date(2026, 11, 1)
AGES = LineAges()


def due(plan: Replacement, work: Work) -> tuple[date, date]:
    step = next(step for step in plan.steps if step.work is work)
    return step.first_day, step.last_day


def counted_by_hand(name: str) -> date:
    number = int(EXPECTED["hens out 2027-03-01", name])
    return date(number // 10_000, number // 100 % 100, number % 100)


def test_dates_counted_by_hand() -> None:
    plan = replacement(date(2027, 3, 1), today=TODAY, ages=AGES)
    assert plan.set_day == counted_by_hand("set")
    assert due(plan, Work.SET)[1] == counted_by_hand("set")
    assert due(plan, Work.LOCKDOWN)[1] == counted_by_hand("lockdown")
    assert due(plan, Work.HATCH)[1] == counted_by_hand("hatch")
    assert due(plan, Work.SEX) == (counted_by_hand("sex first"), counted_by_hand("sex last"))
    assert due(plan, Work.WEIGH)[1] == counted_by_hand("weigh")
    assert due(plan, Work.IN_LAY)[1] == plan.in_lay == counted_by_hand("in lay")
    assert due(plan, Work.OLD_HENS_OUT) == (date(2027, 3, 1), date(2027, 3, 1))
    assert plan.late_days == 0


def test_steps_may_be_done_a_week_early_and_eggs_are_kept_for_it() -> None:
    plan = replacement(date(2027, 3, 1), today=TODAY, ages=AGES, early_days=7)
    assert due(plan, Work.SET)[0] == plan.set_day - timedelta(days=7)
    assert due(plan, Work.KEEP_EGGS) == (plan.set_day - timedelta(days=14), plan.set_day)
    exact = replacement(date(2027, 3, 1), today=TODAY, ages=AGES, early_days=0)
    assert due(exact, Work.SET) == (exact.set_day, exact.set_day)


def test_overlap_brings_all_forward() -> None:
    plan = replacement(date(2027, 3, 1), today=TODAY, ages=AGES, overlap_days=10)
    assert plan.set_day == counted_by_hand("set") - timedelta(days=10)
    assert due(plan, Work.OLD_HENS_OUT)[1] == date(2027, 3, 1)


def test_hens_that_lay_late_are_waited_for() -> None:
    late = LineAges(start_of_lay_days=63)
    assert late.ready_days == 63
    plan = replacement(date(2027, 3, 1), today=TODAY, ages=late)
    assert plan.set_day == counted_by_hand("set") - timedelta(days=7)


def test_too_late_says_by_how_much_and_starts_today() -> None:
    today = date(2027, 1, 10)
    plan = replacement(date(2027, 3, 1), today=today, ages=AGES)
    assert plan.set_day == today
    assert plan.late_days == (today - counted_by_hand("set")).days == 24
    assert plan.in_lay == date(2027, 3, 1) + timedelta(days=24)
    assert due(plan, Work.SET) == (today, today)
    assert due(plan, Work.KEEP_EGGS) == (today, today)


def test_no_step_is_due_before_today() -> None:
    today = counted_by_hand("set") - timedelta(days=3)
    plan = replacement(date(2027, 3, 1), today=today, ages=AGES)
    assert min(step.first_day for step in plan.steps) == today
    assert due(plan, Work.SET) == (today, counted_by_hand("set"))


def test_work_stands_in_its_order() -> None:
    plan = replacement(date(2027, 3, 1), today=TODAY, ages=AGES)
    assert [step.work for step in plan.steps] == list(Work)
    assert all(step.first_day <= step.last_day for step in plan.steps)


def test_eggs_to_set_are_kept_from_being_promised() -> None:
    plan = replacement(date(2027, 3, 1), today=TODAY, ages=AGES, eggs=EggsToSet(48, 0.91, 0.89, 9.0, 9.0))
    assert plan.set_aside("K7") == Use("K7", counted_by_hand("set"), 48, youngest_days=0, oldest_days=7, sold=False)
    unknown = Missing(Reason.TOO_FEW_RECORDS, "eggs set", 12, 30)
    without = replacement(date(2027, 3, 1), today=TODAY, ages=AGES, eggs=unknown)
    assert without.set_aside("K7") is None
    assert without.eggs == unknown
    assert without.set_day == plan.set_day


def test_a_life_ends_on_a_day() -> None:
    assert last_day_of_life(date(2026, 1, 1), life_days=337) == date(2026, 12, 4)
    with pytest.raises(ValueError, match="A life of 0 days"):
        last_day_of_life(date(2026, 1, 1), life_days=0)


def test_the_cages_that_are_due_come_soonest_first() -> None:
    cages = [("far", date(2028, 1, 1)), ("soon", date(2027, 3, 1)), ("late", date(2026, 12, 1))]
    plans = replacements(cages, today=TODAY, ages=AGES)
    assert [cage for cage, _ in plans] == ["late", "soon"]
    assert plans[0][1].late_days > 0


def test_settings_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="lockdown comes before"):
        LineAges(lockdown_day=18)
    with pytest.raises(ValueError, match="at least 1"):
        LineAges(storage_days=0)
    with pytest.raises(ValueError, match="ends before it begins"):
        LineAges(sexing_from_days=57)
    with pytest.raises(ValueError, match="at least 0"):
        replacement(date(2027, 3, 1), today=TODAY, ages=AGES, overlap_days=-1)
