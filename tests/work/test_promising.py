"""What can be promised of a line, as the rows say it: from the counts, the store, the orders and the waits."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.db import transaction

from barnbook.barn.models import CanPromise, Due, EggStore, Farm, Withheld
from barnbook.barn.to_reckon import reckon_again
from barnbook.journal.models import Entry
from barnbook.work.plan_dues import PlanLeft
from barnbook.work.promising import planned_uses
from barnbook.work.reckon import reckon
from tests.conftest import Cast
from tests.journal.bodies import tray
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


def reckon_all(farm: Farm) -> None:
    with transaction.atomic():
        reckon_again(Farm.objects.locked(farm.pk), {"farm"}, NOON)
    reckon(now=_now)


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
    (now,) = row.orders
    assert (now["order"], now["sure"], now["short"]) == (order, 1.0, 0)
    cast.owner.write("order_withdrawn", order=order, why="")
    assert rows(line).most == before


def test_an_order_promised_anew_is_not_counted_before_itself(cast: Cast) -> None:
    """What it could be promised for is what could be promised were it not there; the orders beside it are counted."""
    line, _ = a_laying_line(cast.owner)
    beside = an_order(cast.owner, line, 40, DAY + timedelta(days=4))
    without = rows(line).most
    order = an_order(cast.owner, line, 60, DAY + timedelta(days=5))
    row = rows(line)
    anew = {each["order"]: each["anew"] for each in row.orders}
    assert anew[order] == without
    assert row.most[5] < 60 <= anew[order][5]  # the line cannot promise as many again: it has promised them once
    assert anew[beside][4] < anew[order][4]  # it comes after the sixty, as they come after it
    cast.owner.write("order_withdrawn", order=order, why="")
    assert rows(line).most == without


def dues() -> dict[str, tuple[date, date, int]]:
    rows = Due.objects.filter(work="pack", done=False)
    return {each.subject: (each.first_day, each.last_day, each.left) for each in rows}


def test_what_must_be_packed_on_a_day_is_due_until_it_is_packed(cast: Cast) -> None:
    line, _ = a_laying_line(cast.owner)
    day = DAY + timedelta(days=3)
    order = an_order(cast.owner, line, 20, day)
    an_order(cast.owner, line, 20, day, promised=False)
    rows(line)
    assert dues() == {f"order/{order}": (day, day, 20)}
    (before,) = Due.objects.filter(work="pack")
    reckon_all(cast.owner.farm)  # as each night does
    assert [(each.pk, each.seq) for each in Due.objects.filter(work="pack")] == [(before.pk, before.seq)]
    eggs = [{"order": order, "line": line, "laid_on": (DAY - timedelta(days=1)).isoformat(), "eggs": 12}]
    box = {"boxes": None, "box_holds": None, "packing": "", "note": "", "customer": None}
    packed = cast.owner.write("packed", shipment=new_id(), code="P-1", eggs=eggs, **box)
    rows(line)
    assert dues() == {f"order/{order}": (day, day, 8)}
    cast.owner.write("strike", entry=packed.id, why="")
    cast.owner.write("order_withdrawn", order=order, why="")
    rows(line)
    assert not Due.objects.filter(work="pack").exists()


def test_an_order_of_a_line_that_promises_nothing_yet_is_due_all_the_same(cast: Cast) -> None:
    line = cast.owner.line()
    order = an_order(cast.owner, line, 5, DAY + timedelta(days=2))
    assert rows(line).missing is not None
    assert list(dues()) == [f"order/{order}"]


def test_an_order_that_was_never_taken_leaves_no_due(cast: Cast) -> None:
    line, _ = a_laying_line(cast.owner)
    an_order(cast.owner, line, 5, DAY + timedelta(days=2))
    rows(line)
    taken = Entry.objects.get(kind="order_taken")
    cast.owner.write("strike", entry=str(taken.pk), why="")
    rows(line)
    assert not Due.objects.filter(work="pack").exists()


def test_eggs_planned_to_be_set_are_not_promised_and_are_no_order(cast: Cast) -> None:
    line, cage = a_laying_line(cast.owner)
    before = rows(line).most
    day = DAY + timedelta(days=3)
    plan = {"plan": new_id(), "line": line, "cage": cage, "eggs": 60, "cocks": 5, "hens": 15, "note": ""}
    days = {"from_day": DAY.isoformat(), "by_day": day.isoformat()}
    cast.owner.expect("written", cast.owner.write("setting_planned", **plan, **days))
    row = rows(line)
    assert row.most[3] < before[3] - 50
    assert row.most[20] == pytest.approx(before[20], abs=3)  # those eggs are laid long after
    assert row.orders == []
    set_on_a_day(cast.owner, tray(line, cage=cage, laid=[((DAY - timedelta(days=1)).isoformat(), 10)]), DAY)
    assert rows(line).most[3] >= row.most[3]  # ten of the sixty are set: those no longer wait


def test_a_plan_over_more_days_than_eggs_keep_is_set_in_several_goes() -> None:
    plan = PlanLeft("p", 100, DAY, DAY + timedelta(days=20))
    uses = planned_uses([plan], limit_days=7, today=DAY)
    assert [((use.day - DAY).days, use.eggs) for use in uses] == [(20, 34), (13, 33), (6, 33)]
    late = PlanLeft("p", 5, DAY - timedelta(days=9), DAY - timedelta(days=2))
    assert [(use.day, use.eggs) for use in planned_uses([late], limit_days=7, today=DAY)] == [(DAY, 5)]
    assert planned_uses([PlanLeft("p", 0, DAY, DAY)], limit_days=7, today=DAY) == []


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


def set_on_a_day(owner: Scribe, eggs: dict[str, Any], day: date) -> None:
    body = {"setting": new_id(), "code": "S-1", "incubator": "", "set_on": day.isoformat(), "trays": [eggs], "note": ""}
    owner.expect("written", owner.write("eggs_set", day=day, **body))


def test_eggs_taken_of_no_known_day_weigh_on_the_store_for_as_long_as_it_keeps_eggs(cast: Cast) -> None:
    line, cage = a_laying_line(cast.owner)
    full = rows(line).most[0]
    long_ago = DAY - timedelta(days=9)
    set_on_a_day(cast.owner, tray(line, cage=cage, laid=[(None, 12)]), long_ago)
    row = rows(line)
    assert (row.most[0], row.unknown_before) == (full, 12)
    set_on_a_day(cast.owner, tray(line, cage=cage, laid=[(None, 10)]), DAY)
    row = rows(line)
    assert (row.most[0], row.unknown_before) == (full - 10, 12)
    # Somebody looks: of the oldest day ten are gone indeed. They are not taken off a second time.
    oldest = DAY - timedelta(days=7)
    left = EggStore.objects.get(line=uid(line), laid_on=oldest).left
    seen = [{"line": line, "laid_on": oldest.isoformat(), "eggs": left - 10}]
    cast.owner.expect("written", cast.owner.write("store_seen", eggs=seen, note=""))
    row = rows(line)
    assert (row.most[0], row.unknown_before) == (full - 10, 22)


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
