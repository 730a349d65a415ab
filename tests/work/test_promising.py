"""What can be promised of a line, as the rows say it: from the counts, the store, the orders and the waits."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest

from barnbook.barn.models import CanPromise, Withheld
from barnbook.work.reckon import reckon
from tests.conftest import Cast
from tests.scribe import DAY, NOON, Scribe, new_id, uid

pytestmark = pytest.mark.django_db
WEEKS = 6


def _now() -> datetime:
    return NOON


def a_laying_line(owner: Scribe, *, hens: int = 20) -> tuple[str, str]:
    """Six weeks of counts: 15 to 17 sound eggs a day, and one cracked."""
    line = owner.line()
    cage = owner.cage(line=line)
    first = DAY - timedelta(days=WEEKS * 7)
    owner.stock(cage, hens=hens, day=first)
    entries = [
        owner.entry("egg_count", day=first + timedelta(days=at), **owner.count_body(cage, 16 + at % 3) | {"cracked": 1})
        for at in range(1, WEEKS * 7 + 1)
    ]
    owner.send(*entries)
    return line, cage


def rows(line: str) -> CanPromise:
    reckon(now=_now)
    return CanPromise.objects.get(line=line)


def an_order(owner: Scribe, line: str, eggs: int, day: date, *, promised: bool = True) -> str:
    order = new_id()
    body: dict[str, Any] = {
        "order": order,
        "code": "26-1",
        "customer": None,
        "line": line,
        "eggs": eggs,
        "wanted_by": day.isoformat(),
        "oldest_days": None,
        "note": "",
    }
    owner.expect("written", owner.write("order_taken", **body))
    if promised:
        owner.expect("written", owner.write("promised", order=order, eggs=eggs, for_day=day.isoformat(), sure=0.93))
    return order


def test_a_line_can_promise_about_a_week_of_its_sound_eggs(cast: Cast) -> None:
    line, _ = a_laying_line(cast.owner)
    row = rows(line)
    assert (row.from_day, row.hens, row.missing, len(row.most)) == (DAY, 20, None, 42)
    assert row.lay_rate == pytest.approx(16 / 20, abs=0.01)
    # the store holds the seven days up to yesterday, all counted: nothing is left to chance today
    assert row.most[0] == sum(15 + at % 3 for at in range(WEEKS * 7 - 6, WEEKS * 7 + 1))
    assert all(90 <= most <= 112 for most in row.most)


def test_a_promise_given_leaves_less_and_an_order_only_asked_for_takes_nothing(cast: Cast) -> None:
    line, _ = a_laying_line(cast.owner)
    before = rows(line).most
    an_order(cast.owner, line, 60, DAY + timedelta(days=3), promised=False)
    assert rows(line).most == before
    order = an_order(cast.owner, line, 60, DAY + timedelta(days=3))
    row = rows(line)
    assert row.most[3] < before[3] - 50
    assert row.orders == [{"order": order, "sure": 1.0, "short": 0}]
    cast.owner.write("order_withdrawn", order=order, why="")
    assert rows(line).most == before


def test_a_shortfall_is_seen_days_ahead(cast: Cast) -> None:
    line, cage = a_laying_line(cast.owner)
    order = an_order(cast.owner, line, 100, DAY + timedelta(days=9))
    assert rows(line).orders[0]["sure"] > 0.9
    cast.owner.write("found_dead", cage=cage, brood=None, hens=8, cocks=0, unsexed=0, note="a fox")
    (now,) = rows(line).orders
    assert now["order"] == order
    assert now["sure"] < 0.5
    assert now["short"] >= 15


def test_packed_eggs_are_no_longer_to_be_found(cast: Cast) -> None:
    line, _ = a_laying_line(cast.owner)
    order = an_order(cast.owner, line, 20, DAY)
    eggs = [
        {"order": order, "line": line, "laid_on": (DAY - timedelta(days=back)).isoformat(), "eggs": 10}
        for back in (1, 2)
    ]
    box = {"boxes": None, "box_holds": None, "packing": "", "note": ""}
    verdict = cast.owner.write("packed", shipment=new_id(), code="P-1", customer=None, eggs=eggs, **box)
    cast.owner.expect("written", verdict)
    assert rows(line).orders == []


def test_a_line_hardly_counted_promises_nothing_and_says_what_is_missing(cast: Cast) -> None:
    line = cast.owner.line()
    cage = cast.owner.cage(line=line)
    cast.owner.stock(cage, hens=10, day=DAY - timedelta(days=3))
    cast.owner.count(cage, 8)
    row = rows(line)
    assert row.most == []
    assert row.missing is not None
    assert row.missing["reason"] == "too_few_days"


def test_eggs_laid_within_a_wait_are_withheld_also_when_it_is_over(cast: Cast) -> None:
    line, cage = a_laying_line(cast.owner)
    full = rows(line).most
    body = {"brood": None, "line": None, "what": "mites", "to_day": None, "meat_until": None, "note": ""}
    from_day, until = (DAY - timedelta(days=5)).isoformat(), (DAY - timedelta(days=3)).isoformat()
    cast.owner.write("treated", treatment=new_id(), cage=cage, from_day=from_day, eggs_until=until, **body)
    row = rows(line)
    held = {each.laid_on: each.eggs for each in Withheld.objects.filter(line=uid(line))}
    assert sorted(held) == [DAY - timedelta(days=back) for back in (5, 4, 3)]
    assert row.most[0] == full[0] - sum(held.values())


def test_what_came_out_the_same_keeps_its_place(cast: Cast) -> None:
    line, _ = a_laying_line(cast.owner)
    before = rows(line)
    cast.owner.write("line", line=line, **_line("Slate Barrow the second"))
    assert rows(line).seq == before.seq


def _line(name: str) -> dict[str, Any]:
    return {
        "name": name,
        "other_names": [],
        "egg_low_g": 15.0,
        "egg_high_g": 16.0,
        "weighing_age_days": 56,
        "sexing_from_day": 42,
        "sexing_to_day": 56,
        "note": "",
    }
