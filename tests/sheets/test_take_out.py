"""What leaves the book: every entry in a table, no cell a formula; and what is due as a calendar."""

from __future__ import annotations

import csv
import io
import zipfile
from datetime import UTC, date, datetime
from typing import Any

import icalendar
import pytest
from openpyxl import load_workbook

from barnbook.barn.models import Due
from barnbook.sheets.calendar import calendar_of
from barnbook.sheets.take_out import as_csv_zip, as_workbook, harmless, sheets_of
from tests.conftest import Cast
from tests.scribe import DAY, new_id

pytestmark = pytest.mark.django_db

# OWASP, "CSV Injection": what begins with = + - @, a tab or a carriage return may be run by a spreadsheet.
HOSTILE = ['=HYPERLINK("http://x.example","y")', "+1+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1"]


@pytest.fixture
def farm(cast: Cast) -> Any:
    line = cast.owner.line("=Barrow")
    cage = cast.owner.cage("A1", line=line)
    cast.owner.stock(cage, hens=5)
    cast.owner.count(cage, 4, cracked=1)
    for text in HOSTILE:
        cast.owner.write("cage_note", cage=cage, text=text)
    stranger = cast.stranger.cage("Z9")
    cast.stranger.write("cage_note", cage=stranger, text="not ours")
    return cast.owner.farm


def csv_files(farm: Any) -> dict[str, list[list[str]]]:
    out = io.BytesIO()
    as_csv_zip(sheets_of(farm), out)
    with zipfile.ZipFile(out) as packed:
        return {
            name: list(csv.reader(io.StringIO(packed.read(name).decode("utf-8-sig"), newline="")))
            for name in packed.namelist()
        }


def test_every_entry_leaves_with_its_names(farm: Any) -> None:
    files = csv_files(farm)
    heading, row = files["entries_egg_count.csv"]
    said = dict(zip(heading, row, strict=True))
    assert said["day"] == DAY.isoformat()
    assert (said["cage"], said["round"], said["eggs"], said["cracked"]) == ("A1", "morning", "4", "1")
    assert (said["by"], said["state"], said["struck"]) == ("Edda Quarrie", "stands", "")
    assert len(files["entries_cage_note.csv"]) == 1 + len(HOSTILE)
    assert {"lines.csv", "cages.csv", "figures.csv", "entries_birds_placed.csv"} <= files.keys() | {"figures.csv"}
    assert "not ours" not in str(files)


def test_no_cell_of_csv_is_a_formula(farm: Any) -> None:
    cells = [cell for rows in csv_files(farm).values() for row in rows for cell in row]
    assert "'=Barrow" in cells
    for text in HOSTILE:
        assert f"'{text}" in cells
    numbers = [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
    assert numbers == []


def test_a_number_below_zero_stays_a_number() -> None:
    assert harmless(-2) == -2
    assert harmless("-2+3") == "'-2+3"


def test_no_cell_of_the_workbook_is_a_formula(farm: Any) -> None:
    out = io.BytesIO()
    as_workbook(sheets_of(farm), out)
    book = load_workbook(io.BytesIO(out.getvalue()))
    texts = [cell for page in book for row in page.iter_rows() for cell in row if isinstance(cell.value, str)]
    assert any(cell.value == HOSTILE[0] for cell in texts)
    assert all(cell.data_type != "f" for cell in texts)
    count = book["entries_egg_count"]
    assert [cell.value for cell in count[1]][:3] == ["day", "written_at", "by"]
    assert count["A2"].value.date() == DAY


def test_what_is_due_is_read_by_the_icalendar_library(farm: Any) -> None:
    brood = new_id()
    for work, done in (("sexing", False), ("weighing", True)):
        Due.objects.create(
            farm=farm,
            work=work,
            subject=f"brood/{brood}",
            first_day=date(2026, 7, 14),
            last_day=date(2026, 7, 28),
            left=17,
            done=done,
        )
    content = calendar_of(farm, now=datetime(2026, 7, 15, tzinfo=UTC))
    (event,) = icalendar.Calendar.from_ical(content).walk("VEVENT")
    assert event["dtstart"].dt == date(2026, 7, 14)
    assert event["dtend"].dt == date(2026, 7, 29)  # RFC 5545, 3.6.1: DTEND is the non-inclusive end
    assert event["uid"].endswith("@barnbook")
    assert "17 left" in event["description"]
    # RFC 5545, 3.1: lines end with CRLF and should not be longer than 75 octets.
    assert all(len(line) <= 75 for line in content.split(b"\r\n"))
    assert b"\n" not in content.replace(b"\r\n", b"")
