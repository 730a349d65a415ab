"""Planned settings and the due they make, by hand and from the entries."""

from __future__ import annotations

from datetime import date

import pytest

from barnbook.barn.models import Due, Line
from barnbook.work.dues import DueNow
from barnbook.work.plan_dues import PlanLeft, plan_dues, plans_left
from barnbook.work.reckon import reckon
from tests.conftest import Cast
from tests.journal.bodies import set_eggs, tray
from tests.scribe import NOON, Scribe, new_id

TODAY = date(2026, 7, 15)


def plan(name: str, eggs: int, *, planned_on: str, by_day: str, from_day: str = "2026-07-01") -> dict[str, object]:
    return {"plan": name, "eggs": eggs, "planned_on": planned_on, "from_day": from_day, "by_day": by_day}


def test_each_egg_counts_for_one_plan_and_the_first_last_day_comes_first() -> None:
    plans = [
        plan("later", 30, planned_on="2026-07-01", by_day="2026-08-01"),
        plan("sooner", 20, planned_on="2026-07-05", by_day="2026-07-20"),
    ]
    # 8 eggs before either was planned; 12 before the sooner one was; then 25.
    eggs = [(date(2026, 6, 30), 8), (date(2026, 7, 3), 12), (date(2026, 7, 10), 25)]
    # The sooner takes 20 of the 25; the later the 12 and the 5 that are left.
    left = {each.plan: each.left for each in plans_left(plans, eggs)}
    assert left == {"sooner": 0, "later": 13}


def left(name: str, eggs: int, first: date, last: date) -> PlanLeft:
    return PlanLeft(name, eggs, first, last)


def test_the_due_is_that_of_the_first_plan_with_eggs_left() -> None:
    days = date(2026, 7, 20), date(2026, 7, 27)
    plans = [left("done", 0, date(2026, 7, 1), date(2026, 7, 5)), left("next", 9, *days), left("far", 5, *days)]
    assert plan_dues(plans, today=TODAY) == [DueNow("set_eggs", 9, days)]
    assert plan_dues(plans[:1], today=TODAY) == [DueNow("set_eggs", 0, None)]
    assert plan_dues([], today=TODAY) == []


@pytest.mark.parametrize(("first", "drawn"), [(date(2026, 11, 12), True), (date(2026, 11, 13), False)])
def test_drawn_a_hundred_and_twenty_days_ahead(first: date, drawn: bool) -> None:
    # 15 July + 16 days of July, 31, 30, 31 and 12 days of November: 120.
    assert (plan_dues([left("p", 9, first, first)], today=TODAY)[0].days is not None) is drawn


def planned(owner: Scribe, line: str, name: str, eggs: int, *, day: date) -> None:
    body = {"plan": name, "line": line, "cage": None, "eggs": eggs, "cocks": 1, "hens": 4, "note": ""}
    days = {"from_day": "2026-07-10", "by_day": "2026-07-17"}
    owner.expect("written", owner.write("setting_planned", day=day, **body, **days))


@pytest.mark.django_db
def test_from_the_entries_to_the_due(cast: Cast) -> None:
    owner = cast.owner
    line, name = owner.line(), new_id()
    planned(owner, line, name, 34, day=date(2026, 7, 10))
    reckon(now=lambda: NOON)
    due = Due.objects.get(subject=f"line/{line}")
    assert (due.work, due.left, due.first_day, due.last_day) == (
        "set_eggs",
        34,
        date(2026, 7, 10),
        date(2026, 7, 17),
    )
    set_eggs(owner, tray(line, cage=None, laid=[(None, 20)]), set_on="2026-07-12")
    reckon(now=lambda: NOON)
    assert Due.objects.get(subject=f"line/{line}").left == 14
    set_eggs(owner, tray(line, cage=None, laid=[(None, 14)]), set_on="2026-07-13")
    reckon(now=lambda: NOON)
    assert Due.objects.get(subject=f"line/{line}").done
    planned(owner, line, name, 0, day=date(2026, 7, 14))  # given up: nothing of it is left
    reckon(now=lambda: NOON)
    assert not Due.objects.filter(subject=f"line/{line}").exists()
    assert Line.objects.get(pk=line).plans == []


@pytest.mark.django_db
def test_a_plan_waits_for_its_cage(cast: Cast) -> None:
    owner = cast.owner
    line = owner.line()
    body = {"plan": new_id(), "line": line, "cage": new_id(), "eggs": 34, "cocks": 1, "hens": 4, "note": ""}
    days = {"from_day": "2026-07-10", "by_day": "2026-07-17"}
    owner.expect("waits", owner.write("setting_planned", day=date(2026, 7, 10), **body, **days))
