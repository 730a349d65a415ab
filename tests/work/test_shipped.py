"""From boxes packed, sent and reported on to the figures of a line's shipped eggs."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from barnbook.barn.models import Figure, FigureTable
from barnbook.figures.clustered_share import clustered_share
from barnbook.work.reckon import reckon
from tests.conftest import Cast
from tests.scribe import DAY, NOON, new_id

pytestmark = pytest.mark.django_db

LONG_AGO = DAY - timedelta(days=60)


def send(cast: Cast, line: str, *, eggs: int = 48, on: date = LONG_AGO, old: int = 3, **box: Any) -> str:
    """A box of one line's eggs, sent on that day; `old` days when it went."""
    id_ = new_id()
    laid = (on - timedelta(days=old)).isoformat()
    body = {"shipment": id_, "code": "P", "customer": None, "boxes": None, "box_holds": None} | box
    of = [{"order": None, "line": line, "laid_on": laid, "eggs": eggs}]
    cast.owner.write("packed", **body, eggs=of, packing="", note="", day=on)
    cast.owner.expect("written", cast.owner.write("sent", shipment=id_, by="post", note="", day=on))
    return id_


def told(cast: Cast, shipment: str, line: str, **numbers: int) -> str:
    said = {"line": line, "broken": None, "set": None, "clear": None, "hatched": None, "chicks": []} | numbers
    return str(cast.owner.write("hatch_reported", shipment=shipment, lines=[said], slip=True).verdict)


def figures(line: str) -> dict[tuple[str, str], Figure]:
    reckon(now=lambda: NOON)
    return {(row.name, row.span): row for row in Figure.objects.filter(subject=f"shipped/{line}")}


def test_the_figures_equal_those_worked_out_from_the_reports(cast: Cast) -> None:
    line, anna, bert = cast.owner.line(), new_id(), new_id()
    for customer, broken, hatched in ((anna, 2, 33), (anna, 0, 36), (bert, 5, 20)):
        box = send(cast, line, customer=customer)
        assert told(cast, box, line, broken=broken, set=48 - broken, hatched=hatched) == "written"
    send(cast, line)
    found = figures(line)
    of_sent = found["shipped_hatch_of_sent", "all"]
    by_hand = clustered_share([69, 20], [96, 48])
    assert (of_sent.value, of_sent.low, of_sent.high) == (by_hand.value, by_hand.low, by_hand.high)
    assert found["shipped_hatch_of_set", "all"].value == 89 / 137
    assert found["broken_in_transit", "all"].value == 7 / 144
    shared = found["shipments_reported", "all"]
    assert (shared.value, shared.n, shared.n_of) == (0.75, 4, "shipments")
    assert all("reporters_may_differ" in row.notes for row in found.values() if row.value is not None)
    assert (of_sent.first_day, of_sent.last_day) == (LONG_AGO, LONG_AGO)


def test_one_set_aside_is_in_no_figure_and_is_counted(cast: Cast) -> None:
    line = cast.owner.line()
    good, bad = send(cast, line), send(cast, line)
    told(cast, good, line, broken=0, set=48, hatched=36)
    told(cast, bad, line, broken=0, set=48, hatched=0)
    assert figures(line)["shipped_hatch_of_sent", "all"].value == 36 / 96
    cast.owner.write("hatch_report_aside", shipment=bad, why="No power for two days.")
    found = figures(line)["shipped_hatch_of_sent", "all"]
    assert found.value == 0.75
    assert {"what": "reports", "count": 1, "why": "set_aside"} in found.left_out
    # It was told, though: setting it aside makes nobody silent.
    assert figures(line)["shipments_reported", "all"].value == 1.0


def test_the_line_sheet_says_how_many_told_and_how_many_were_set_aside(cast: Cast) -> None:
    line = cast.owner.line()
    assert sheet_notes(line) == []  # nothing was ever sent
    good, bad = send(cast, line), send(cast, line)
    told(cast, good, line, broken=0, set=48, hatched=36)
    first, last = sheet_notes(line)
    assert first.startswith("Shipped eggs: 1 of 2 shipments were told of. Those who report may not be like those who")
    assert last == "No report was set aside by the farm."
    told(cast, bad, line, broken=0, set=48, hatched=0)
    cast.owner.write("hatch_report_aside", shipment=bad, why="No power for two days.")
    send(cast, line, on=DAY - timedelta(days=10))
    first, young, last = sheet_notes(line)
    assert first.startswith("Shipped eggs: 2 of 2 shipments were told of.")
    assert young == "1 shipment may not have hatched yet."
    assert last == "1 report was set aside by the farm, with the reason written down, and in no figure."
    assert "power" not in str(FigureTable.objects.get(subject=f"sheet/{line}").body)  # why is between the two


def sheet_notes(line: str) -> list[str]:
    """As the sheet stands once all that a report moves was reckoned, and nothing else."""
    reckon(now=lambda: NOON)
    body: dict[str, Any] = FigureTable.objects.get(subject=f"sheet/{line}").body
    return list(body["notes"])


def test_more_than_was_sent_is_asked_about_and_in_no_figure(cast: Cast) -> None:
    line = cast.owner.line()
    box = send(cast, line, eggs=24)
    assert told(cast, box, line, broken=0, set=30, hatched=20) == "questioned"
    row = figures(line)["shipped_hatch_of_sent", "all"]
    assert row.value is None
    assert {"what": "reports", "count": 1, "why": "numbers_contradict"} in row.left_out


def test_a_parcel_still_in_the_incubator_is_not_counted_as_silent(cast: Cast) -> None:
    line = cast.owner.line()
    told(cast, send(cast, line), line, broken=0, set=48, hatched=36)
    send(cast, line, on=DAY - timedelta(days=10))
    row = figures(line)["shipments_reported", "all"]
    assert (row.value, row.n) == (1.0, 1)
    assert row.left_out == [{"what": "shipments", "count": 1, "why": "hatch_not_due_yet"}]


def test_broken_by_size_of_box_and_hatch_by_the_eggs_age(cast: Cast) -> None:
    line = cast.owner.line()
    for holds, broken, old, hatched in ((24, 1, 1, 40), (24, 2, 3, 36), (48, 6, 5, 30), (48, 9, 7, 24)):
        box = send(cast, line, boxes=2, box_holds=holds, old=old)
        told(cast, box, line, broken=broken, set=48 - broken, hatched=hatched)
    found = figures(line)
    assert found["broken_in_transit", "box_24"].value == 3 / 96
    assert found["broken_in_transit", "box_48"].value == 15 / 96
    slope = found["shipped_hatch_by_egg_age", "all"]
    assert slope.value is not None
    assert slope.value < 0


def test_a_line_that_was_never_sent_has_none_and_one_not_told_of_says_so(cast: Cast) -> None:
    line = cast.owner.line()
    assert figures(line) == {}
    send(cast, line)
    found = figures(line)
    assert found["shipped_hatch_of_sent", "all"].missing["reason"] == "no_records"
    assert found["shipments_reported", "all"].value == 0.0
