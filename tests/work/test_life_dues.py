"""Hens and cocks growing old, by a calendar."""

from __future__ import annotations

from datetime import date

import pytest

from barnbook.barn.models import Due
from barnbook.work.dues import DueNow
from barnbook.work.life_dues import Life, life_dues
from barnbook.work.reckon import reckon
from tests.conftest import Cast
from tests.scribe import NOON, Scribe

HATCHED = date(2025, 10, 1)


def test_the_last_four_weeks_of_a_life() -> None:
    # By a calendar: 41 weeks are 287 days. From 1 October: 92 days to 1 January, 195 more to 15 July; four weeks
    # before that is 17 June.
    found = life_dues([Life("hens_breeding", HATCHED, 41, 5)], today=date(2026, 6, 1))
    assert DueNow("hens_breeding", 5, (date(2026, 6, 17), date(2026, 7, 15))) in found
    assert DueNow("replace_hens", 0, None) in found


@pytest.mark.parametrize(("today", "drawn"), [(date(2026, 2, 16), False), (date(2026, 2, 17), True)])
def test_drawn_a_hundred_and_twenty_days_ahead(today: date, drawn: bool) -> None:
    # 17 June less 120 days: 16 to 1 June, 31 + 30 + 31 to 1 March make 108; 12 more are 17 February.
    found = life_dues([Life("hens_breeding", HATCHED, 41, 5)], today=today)
    assert (next(due for due in found if due.work == "hens_breeding").days is not None) is drawn


def a_line_with_lives(scribe: Scribe) -> str:
    line = scribe.line()
    body = {"line": line, "name": "Slate Barrow", "other_names": [], "egg_low_g": None, "egg_high_g": None}
    days = {"weighing_age_days": 56, "sexing_from_day": 42, "sexing_to_day": 56, "note": ""}
    more = {"plumage": [], "candle_on_day": 7, "lockdown_on_day": 14, "hatch_on_day": 17, "storage_limit_days": 7}
    lives = {"laying_life_weeks": 112, "hen_breeding_weeks": 41, "cock_breeding_weeks": 38}
    entry = scribe.entry("line", **body, **days, **more, **lives, cock_cut_g=None, hen_cut_g=None)
    scribe.send({**entry, "version": 2})
    return line


@pytest.mark.django_db
def test_from_the_entries_to_the_dues(cast: Cast) -> None:
    line = a_line_with_lives(cast.owner)
    cage = cast.owner.cage(line=line)
    old = cast.owner.brood(line, hatched_on=HATCHED, code="25-09")
    young = cast.owner.brood(line, hatched_on=date(2026, 5, 1), code="26-05")
    cast.owner.stock(cage, hens=4, cocks=1, brood=old, day=date(2025, 12, 1))
    cast.owner.stock(cage, hens=1, cocks=0, brood=young, day=date(2026, 7, 10))
    reckon(now=lambda: NOON)
    dues = {due.work: due for due in Due.objects.filter(subject=f"cage/{cage}")}
    assert set(dues) == {"hens_breeding", "cocks_breeding"}  # the laying life ends in November 2027
    assert (dues["hens_breeding"].last_day, dues["hens_breeding"].left) == (date(2026, 7, 15), 5)
    # 38 weeks are three weeks fewer: 24 June.
    assert (dues["cocks_breeding"].last_day, dues["cocks_breeding"].left) == (date(2026, 6, 24), 1)
    # The hens go, all five; young ones come: theirs is not due for long.
    cast.owner.write("head_check", cage=cage, hens=0, cocks=1, unsexed=0, day=date(2026, 7, 11))
    cast.owner.stock(cage, hens=4, cocks=0, brood=young, day=date(2026, 7, 12))
    reckon(now=lambda: NOON)
    assert Due.objects.get(work="hens_breeding").done
    assert not Due.objects.get(work="cocks_breeding").done


@pytest.mark.django_db
def test_hens_moved_from_cage_to_cage_without_their_ids_keep_their_age(cast: Cast) -> None:
    """By way of two cages, both moves on one day: 41 weeks from 1 October are 15 July all the same."""
    line = a_line_with_lives(cast.owner)
    first, second, third = (cast.owner.cage(code, line=line) for code in ("A1", "A2", "A3"))
    old = cast.owner.brood(line, hatched_on=HATCHED, code="25-09")
    young = cast.owner.brood(line, hatched_on=date(2026, 5, 1), code="26-05")
    cast.owner.stock(first, hens=3, cocks=1, brood=old, day=date(2025, 12, 1))
    for from_cage, cage in ((first, second), (second, third)):
        body = {"cage": cage, "brood": None, "from_cage": from_cage, "hens": 3, "cocks": 0, "unsexed": 0}
        cast.owner.write("birds_placed", day=date(2026, 7, 1), **body)
    cast.owner.stock(third, hens=1, cocks=0, brood=young, day=date(2026, 7, 10))
    reckon(now=lambda: NOON)
    due = Due.objects.get(work="hens_breeding", subject=f"cage/{third}")
    assert (due.last_day, due.left) == (date(2026, 7, 15), 4)
    assert not Due.objects.filter(work="hens_breeding", subject=f"cage/{second}", done=False).exists()
    assert Due.objects.get(work="cocks_breeding", subject=f"cage/{first}").left == 1
