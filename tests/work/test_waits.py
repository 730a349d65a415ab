"""How far a treatment's wait reaches, worked by hand."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from barnbook.barn.models import Gone, Wait
from barnbook.work.reckon import reckon
from barnbook.work.waits import Move, Treatment, reached, waits_of
from tests.conftest import Cast
from tests.scribe import NOON, new_id

TREATED = Treatment("t", "cage/A1", date(2026, 7, 1), date(2026, 7, 10), date(2026, 7, 17))


def july(day: int, from_subject: str, to_subject: str) -> Move:
    return Move(date(2026, 7, day), from_subject, to_subject)


def test_it_goes_with_the_birds_from_cage_to_cage() -> None:
    moves = [july(2, "cage/A1", "cage/A2"), july(5, "cage/A2", "cage/A3"), july(6, "cage/B1", "cage/B2")]
    assert reached(TREATED, moves) == {"cage/A1", "cage/A2", "cage/A3"}


def test_not_with_birds_that_left_before_or_after() -> None:
    before = Move(date(2026, 6, 30), "cage/A1", "cage/A2")
    moves = [before, july(17, "cage/A1", "cage/A3"), july(18, "cage/A1", "cage/A4")]
    assert reached(TREATED, moves) == {"cage/A1", "cage/A3"}
    # Out of A2 before any treated bird came into it.
    assert reached(TREATED, [july(2, "cage/A2", "cage/A5"), july(3, "cage/A1", "cage/A2")]) == {"cage/A1", "cage/A2"}


def test_moves_of_one_day_are_read_in_the_order_that_makes_more_wait() -> None:
    moves = [july(3, "cage/A2", "cage/A5"), july(3, "cage/A1", "cage/A2")]
    assert reached(TREATED, moves) == {"cage/A1", "cage/A2", "cage/A5"}


def test_without_a_wait_nothing_waits() -> None:
    assert reached(Treatment("t", "cage/A1", date(2026, 7, 1), None, None), [july(2, "cage/A1", "cage/A2")]) == set()


def test_the_longest_of_several_waits_and_none_that_is_over() -> None:
    other = Treatment("u", "line/L", date(2026, 7, 3), date(2026, 7, 20), None)
    over = Treatment("v", "cage/A1", date(2026, 6, 1), date(2026, 6, 30), date(2026, 7, 14))
    lines = {"line/L": ["cage/A1", "brood/26-05"]}
    found = waits_of([TREATED, other, over], [], lines=lines, today=date(2026, 7, 15))
    assert set(found) == {"cage/A1", "brood/26-05", "line/L"}
    own = found["cage/A1"]
    assert (own.eggs_until, own.meat_until, own.treatments) == (date(2026, 7, 20), date(2026, 7, 17), ["t", "u"])
    assert (found["brood/26-05"].eggs_until, found["brood/26-05"].meat_until) == (date(2026, 7, 20), None)


@pytest.mark.django_db
def test_from_the_entries_to_the_waits(cast: Cast) -> None:
    first, other = cast.owner.cage("A1"), cast.owner.cage("A2")
    cast.owner.stock(first, hens=5, cocks=1, day=date(2026, 6, 1))
    days = {"from_day": "2026-07-10", "to_day": None, "eggs_until": "2026-07-18", "meat_until": "2026-07-20"}
    body = {"treatment": new_id(), "cage": first, "brood": None, "line": None, "what": "mites", "note": ""} | days
    entry = cast.owner.entry("treated", **body)
    cast.owner.send(entry)
    reckon(now=lambda: NOON)
    assert set(Wait.objects.values_list("subject", flat=True)) == {f"cage/{first}"}
    move = {"cage": other, "brood": None, "from_cage": first, "hens": 2, "cocks": 0, "unsexed": 0}
    cast.helper.write("birds_placed", day=date(2026, 7, 12), **move)
    reckon(now=lambda: NOON)
    row = Wait.objects.get(subject=f"cage/{other}").row()
    assert (row["id"], row["meat_until"], row["treatments"]) == (f"cage/{other}", "2026-07-20", [body["treatment"]])
    # The wait is over: at night its rows go.
    from barnbook.barn.models import Farm
    from barnbook.barn.to_reckon import reckon_again

    reckon_again(Farm.objects.get(pk=cast.owner.farm.pk), {"farm"}, NOON)
    reckon(now=lambda: NOON + timedelta(days=6))
    assert not Wait.objects.exists()
    assert Gone.objects.filter(table="wait").count() == 2


@pytest.mark.django_db
def test_a_treatment_struck_makes_nobody_wait(cast: Cast) -> None:
    cage = cast.owner.cage("A1")
    days = {"from_day": "2026-07-10", "to_day": None, "eggs_until": "2026-07-18", "meat_until": None}
    body = {"treatment": new_id(), "cage": cage, "brood": None, "line": None, "what": "mites", "note": ""} | days
    entry = cast.owner.entry("treated", **body)
    cast.owner.send(entry)
    reckon(now=lambda: NOON)
    cast.owner.write("strike", entry=entry["id"], why="another cage")
    reckon(now=lambda: NOON)
    assert not Wait.objects.exists()
