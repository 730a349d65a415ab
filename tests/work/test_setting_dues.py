"""Dues of a setting, by a calendar."""

from __future__ import annotations

from datetime import date

import pytest

from barnbook.barn.models import Due
from barnbook.work.dues import DueNow
from barnbook.work.reckon import reckon
from barnbook.work.setting_dues import LineDays, SettingSeen, setting_dues
from tests.conftest import Cast
from tests.journal.bodies import hatching, set_eggs, tray
from tests.scribe import NOON

COTURNIX = LineDays(candle=7, lockdown=14, hatch=17)
SET_ON = date(2026, 6, 15)


def setting(**changes: object) -> SettingSeen:
    values: dict[str, object] = {
        "set_on": SET_ON,
        "lines": [COTURNIX],
        "trays": 2,
        "candled": 0,
        "locked_down": False,
        "hatched": 0,
    }
    return SettingSeen(**(values | changes))  # type: ignore[arg-type]


def test_seven_fourteen_seventeen_days_from_setting() -> None:
    # By a calendar: 15 June + 7 is 22 June, + 14 is 29 June, + 17 is 2 July; each with a day to spare.
    assert setting_dues(setting()) == [
        DueNow("candle", 2, (date(2026, 6, 22), date(2026, 6, 23))),
        DueNow("lockdown", 1, (date(2026, 6, 29), date(2026, 6, 30))),
        DueNow("hatch", 2, (date(2026, 7, 2), date(2026, 7, 3))),
    ]


def test_trays_of_two_lines_run_from_the_earliest_to_the_latest() -> None:
    slow = LineDays(candle=8, lockdown=15, hatch=18)
    days = [due.days for due in setting_dues(setting(lines=[slow, COTURNIX]))]
    assert days == [
        (date(2026, 6, 22), date(2026, 6, 24)),
        (date(2026, 6, 29), date(2026, 7, 1)),
        (date(2026, 7, 2), date(2026, 7, 4)),
    ]


def test_a_line_that_is_not_candled() -> None:
    assert [due.work for due in setting_dues(setting(lines=[LineDays(None, 14, 17)]))] == ["lockdown", "hatch"]


@pytest.mark.parametrize(
    ("done", "left"),
    [
        ({"candled": 1}, [1, 1, 2]),
        ({"candled": 1, "locked_down": True}, [0, 0, 2]),
        ({"hatched": 1}, [0, 0, 1]),
        ({"candled": 2, "locked_down": True, "hatched": 2}, [0, 0, 0]),
    ],
)
def test_a_later_step_closes_the_earlier(done: dict[str, object], left: list[int]) -> None:
    assert [due.left for due in setting_dues(setting(**done))] == left


@pytest.mark.django_db
def test_from_the_entries_to_the_dues(cast: Cast) -> None:
    line = cast.owner.line()
    one = tray(line, cage=None, laid=[(None, 10)])
    id_ = set_eggs(cast.owner, one)
    reckon(now=lambda: NOON)
    due = Due.objects.get(work="hatch")
    assert (due.subject, due.first_day, due.left) == (f"setting/{id_}", date(2026, 7, 2), 1)
    cast.helper.write("hatched", **hatching(id_, one["tray"], 8))
    reckon(now=lambda: NOON)
    assert set(Due.objects.values_list("work", "done")) == {("candle", True), ("lockdown", True), ("hatch", True)}
    body = {"line": line, "name": "Slate Barrow", "other_names": [], "egg_low_g": None, "egg_high_g": None}
    days = {"weighing_age_days": 56, "sexing_from_day": 42, "sexing_to_day": 56, "note": ""}
    more = {
        "plumage": [],
        "candle_on_day": 8,
        "lockdown_on_day": 15,
        "hatch_on_day": 18,
        "cock_cut_g": None,
        "hen_cut_g": None,
        "laying_life_weeks": None,
        "hen_breeding_weeks": None,
        "cock_breeding_weeks": None,
        "storage_limit_days": 7,
    }
    cast.owner.send({**cast.owner.entry("line", **body, **days, **more), "version": 2})
    reckon(now=lambda: NOON)
    assert Due.objects.get(work="hatch").first_day == date(2026, 7, 3)
