"""The egg store as the entries make it: what is left by line and day laid, and who is asked when more was taken."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from barnbook.barn.models import EggStore, Farm, Order, Shipment
from barnbook.journal.models import Entry
from barnbook.journal.rebuild import differences
from tests.conftest import Cast
from tests.journal.bodies import set_eggs, tray
from tests.scribe import DAY, new_id, uid

pytestmark = pytest.mark.django_db
YESTERDAY = date(2026, 7, 14)


def eggs(line: str, number: int, laid_on: date | None = YESTERDAY) -> dict[str, Any]:
    return {"line": line, "laid_on": laid_on.isoformat() if laid_on else None, "eggs": number}


def box(line: str, number: int, *, order: str | None = None, shipment: str | None = None) -> dict[str, Any]:
    return {
        "shipment": shipment or new_id(),
        "code": "P-1",
        "customer": None,
        "eggs": [{"order": order, **eggs(line, number)}],
        "boxes": None,
        "box_holds": None,
        "packing": "",
        "note": "",
    }


def left(line: str, laid_on: date | None = YESTERDAY) -> int | None:
    return EggStore.objects.filter(line=line, laid_on=laid_on).values_list("left", flat=True).first()


def asked(code: str = "more_eggs_than_stored") -> list[str]:
    return sorted(Entry.objects.filter(code=code).values_list("kind", flat=True))


def a_line(cast: Cast) -> tuple[str, str]:
    line = cast.owner.line()
    cage = cast.owner.cage(line=line)
    cast.owner.stock(cage, hens=12, day=date(2026, 7, 1))
    return line, cage


def test_a_morning_round_brings_the_sound_eggs_of_the_day_before(cast: Cast) -> None:
    line, cage = a_line(cast)
    cast.owner.count(cage, 9, cracked=1, soiled=1)
    assert left(line) == 7
    cast.owner.write("farm", name="F", zone="UTC", weight_unit="g", rounds=[ROUND | {"after_lay": True}])
    assert (left(line), left(line, DAY)) == (None, 7)
    assert differences(Farm.objects.get(pk=cast.owner.farm.pk)) == []


ROUND = {"key": "morning", "name": "Morning", "after_lay": False}


def test_eggs_go_out_by_setting_box_and_kitchen_and_come_back_when_that_is_struck(cast: Cast) -> None:
    line, cage = a_line(cast)
    cast.owner.count(cage, 10)
    set_eggs(cast.owner, tray(line, cage=cage, laid=[(YESTERDAY.isoformat(), 4)]), set_on=DAY.isoformat())
    packed = cast.helper.write("packed", **box(line, 3))
    out = cast.helper.write("eggs_out", how="sold_to_eat", eggs=[eggs(line, 2)], note="")
    assert left(line) == 1
    cast.owner.write("strike", entry=packed.id, why="")
    cast.owner.write("strike", entry=out.id, why="")
    assert left(line) == 6
    assert not Shipment.objects.exists()
    assert asked() == []


def test_taking_more_than_there_is_goes_below_none_and_the_last_taker_is_asked(cast: Cast) -> None:
    line, cage = a_line(cast)
    counted = cast.owner.count(cage, 5)
    cast.owner.expect("written", cast.owner.write("eggs_out", how="eaten", eggs=[eggs(line, 3)], note=""))
    cast.owner.expect("questioned", cast.owner.write("packed", **box(line, 4)))
    assert left(line) == -2
    assert asked() == ["packed"]
    cast.owner.write("store_seen", eggs=[eggs(line, 1)], note="")
    assert left(line) == 1
    assert asked() == []
    cast.owner.write("strike", entry=counted.id, why="")  # what was seen there stands, whatever had been counted
    assert left(line) == 1


def test_a_count_that_comes_late_settles_the_question(cast: Cast) -> None:
    line, cage = a_line(cast)
    out = {"how": "eaten", "eggs": [eggs(line, 3)], "note": ""}
    cast.owner.expect("questioned", cast.owner.write("eggs_out", **out))
    cast.owner.count(cage, 5)
    assert (left(line), asked()) == (2, [])


def test_what_was_seen_stands_against_what_came_before_it_not_after(cast: Cast) -> None:
    line, cage = a_line(cast)
    cast.owner.write("store_seen", eggs=[eggs(line, 6)], note="", stamp=2_000_000_000_000)
    cast.owner.count(cage, 10, stamp=1_999_999_999_999)
    assert left(line) == 6
    cast.owner.count(cage, 4, round_="noon", stamp=2_000_000_000_001)
    assert left(line) == 10


def test_of_a_setting_with_eggs_from_elsewhere_nothing_is_asked(cast: Cast) -> None:
    line = cast.owner.line()
    set_eggs(cast.owner, tray(line, cage=None, laid=[("2026-07-10", 4), (None, 2)]), set_on=DAY.isoformat())
    assert (left(line, date(2026, 7, 10)), left(line, None), asked()) == (-4, -2, [])


def test_a_box_packed_anew_gives_its_first_eggs_back(cast: Cast) -> None:
    line, cage = a_line(cast)
    cast.owner.count(cage, 10)
    shipment = new_id()
    cast.owner.write("packed", **box(line, 8, shipment=shipment))
    cast.owner.write("packed", **box(line, 5, shipment=shipment))
    assert left(line) == 5


def test_a_cage_of_another_line_gives_that_line_its_eggs_from_that_day_on(cast: Cast) -> None:
    line, cage = a_line(cast)
    other = cast.owner.line("Fen Gold")
    cast.owner.count(cage, 6, day=date(2026, 7, 10))
    cast.owner.cage(line=other, cage=cage)  # on the 15th
    cast.owner.count(cage, 7, day=date(2026, 7, 15), round_="evening")
    assert (left(line, date(2026, 7, 9)), left(line)) == (6, 7)
    cast.owner.count(cage, 5, day=date(2026, 7, 16))
    assert left(other, date(2026, 7, 15)) == 5
    assert differences(Farm.objects.get(pk=cast.owner.farm.pk)) == []


def test_an_order_is_taken_changed_promised_and_withdrawn(cast: Cast) -> None:
    line = cast.owner.line()
    order, customer = new_id(), new_id()
    body = {
        "order": order,
        "code": "26-1",
        "customer": customer,
        "line": line,
        "eggs": 48,
        "wanted_by": "2026-07-27",
        "oldest_days": None,
        "note": "",
    }
    cast.owner.expect("written", cast.owner.write("order_taken", **body))
    assert cast.helper.write("order_taken", **body | {"order": new_id()}).code == "owners_only"
    cast.owner.write("promised", order=order, eggs=48, for_day="2026-07-27", sure=0.94)
    cast.owner.write("order_taken", **body | {"eggs": 24})
    row = Order.objects.get(pk=order)
    assert (row.eggs, row.promised_eggs, row.promised_sure, row.customer) == (24, 48, 0.94, uid(customer))
    cast.owner.write("order_withdrawn", order=order, why="")
    assert Order.objects.get(pk=order).withdrawn_on == DAY
    waits = cast.owner.write("promised", order=new_id(), eggs=1, for_day="2026-07-27", sure=0.9)
    assert waits.verdict == "waits"


def test_a_shipment_is_sent_on_the_day_of_its_entry(cast: Cast) -> None:
    line, cage = a_line(cast)
    cast.owner.count(cage, 10)
    shipment = new_id()
    assert cast.owner.write("sent", shipment=shipment, by="post", note="").verdict == "waits"
    cast.owner.write("packed", **box(line, 8, shipment=shipment))
    row = Shipment.objects.get(pk=shipment)
    assert (row.packed_on, row.sent_on, row.sent_by) == (DAY, DAY, "post")
