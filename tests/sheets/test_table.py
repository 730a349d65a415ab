"""A spreadsheet's bytes as a table, hostile ones among them."""

from __future__ import annotations

import io
import zipfile
from datetime import date, datetime

import pytest
from openpyxl import Workbook

from barnbook.sheets.table import MOST_BYTES, MOST_ROWS, UnreadableSheetError, read_table


def workbook(*rows: list[object]) -> bytes:
    book = Workbook()
    for row in rows:
        book.active.append(row)  # type: ignore[union-attr]
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.mark.parametrize(
    ("content", "read_as"),
    [
        (b"Day,Cage,Eggs\r\n2025-11-03,A1,4\r\n", "UTF-8, columns parted by commas"),
        ("\ufeffDay;Cage;Eggs\n2025-11-03;A1;4\n".encode(), "UTF-8, columns parted by semicolons"),
        ("Day\tCage\tEggs\n2025-11-03\tA1\t4\n".encode("utf-16"), "UTF-16, columns parted by tabs"),
    ],
)
def test_text_in_the_encodings_that_spreadsheets_write(content: bytes, read_as: str) -> None:
    table = read_table(content)
    assert table.columns == ("Day", "Cage", "Eggs")
    assert [(row.number, row.cells) for row in table.rows] == [(2, ("2025-11-03", "A1", "4"))]
    assert table.read_as == read_as


def test_what_windows_writes_where_nobody_chose_an_encoding() -> None:
    table = read_table("Line;Hatched\nGröden;12\n".encode("cp1252"))
    assert table.rows[0].cells == ("Gröden", "12")
    assert table.read_as.startswith("Windows-1252")


def test_rfc_4180_quotes() -> None:
    """RFC 4180, section 2, rules 6 and 7: a field in quotes may hold a comma, a line break and doubled quotes."""
    table = read_table(b'Day,Note\n2025-11-03,"one, ""two""\nthree"\n')
    assert table.rows[0].cells == ("2025-11-03", 'one, "two"\nthree')


def test_a_workbook_and_its_dates() -> None:
    seven = datetime.fromisoformat("2025-11-03 07:00")  # a cell's day and time have no zone
    table = read_table(workbook(["Day", "Cage", "Eggs"], [seven, "A1", 4], [], [date(2025, 11, 4)]))
    assert table.columns == ("Day", "Cage", "Eggs")
    assert [(row.number, row.cells) for row in table.rows] == [
        (2, (date(2025, 11, 3), "A1", 4.0)),
        (4, (date(2025, 11, 4), None, None)),
    ]


def test_a_sheet_is_asked_for_by_name() -> None:
    book = Workbook()
    book.active.append(["Nothing", "here"])  # type: ignore[union-attr]
    page = book.create_sheet("Eggs 2025")
    page.append(["Day", "Eggs"])
    page.append(["2025-11-03", 4])
    out = io.BytesIO()
    book.save(out)
    table = read_table(out.getvalue(), sheet="Eggs 2025")
    assert table.sheets == ("Sheet", "Eggs 2025")
    assert table.rows[0].cells == ("2025-11-03", 4.0)
    with pytest.raises(UnreadableSheetError, match="no sheet 'Eggs 2024'"):
        read_table(out.getvalue(), sheet="Eggs 2024")


def bomb(unpacked_mb: int) -> bytes:
    """A workbook of a few kilobytes whose one sheet is so large."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook(["Day"], ["x"]))) as good, zipfile.ZipFile(out, "w") as bad:
        for each in good.infolist():
            bad.writestr(each, good.read(each))
        bad.writestr("xl/padding.xml", b"0" * unpacked_mb * 1024**2, zipfile.ZIP_DEFLATED)
    return out.getvalue()


SPREADSHEETML = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
ENTITIES = b"""<?xml version="1.0"?><!DOCTYPE t [<!ENTITY a "aaaaaaaaaa">%s]><worksheet>&z;</worksheet>""" % b"".join(
    b'<!ENTITY %c "%s">' % (n, b"&%c;" % (n - 1) * 10) for n in range(ord("b"), ord("z") + 1)
)


def laughing() -> bytes:
    """A workbook whose sheet is entities of entities: a few bytes that would become 10^25."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook(["Day"], ["x"]))) as good, zipfile.ZipFile(out, "w") as bad:
        for each in good.infolist():
            bad.writestr(each.filename, ENTITIES if each.filename.endswith("sheet1.xml") else good.read(each))
    return out.getvalue()


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"", "empty"),
        (b"  \n ", "empty"),
        (b"Day,Cage,Eggs\n", "no rows beneath"),
        (b"\x89PNG\x00\x01\x02", "no table in text"),
        (b"\xd0\xcf\x11\xe0 an old workbook", "old kind"),
        (b"PK\x03\x04 no archive at all", "damaged"),
        (b"x" * (MOST_BYTES + 1), "larger than 5 MB"),
        (b"a" + b",a" * 300 + b"\n1,2\n", "301 columns"),
        (b"Day,Note\n1," + b"n" * 501, "longer than 500"),
        (b"Day\n" + b"1\n" * (MOST_ROWS + 1), "more than 20,000 rows"),
        (workbook(["Day"], ["x"])[:-400], "damaged"),
    ],
)
def test_what_cannot_be_read_is_refused_with_one_sentence(content: bytes, why: str) -> None:
    with pytest.raises(UnreadableSheetError, match=why):
        read_table(content)


def test_a_bomb_is_refused_before_it_is_unpacked() -> None:
    content = bomb(100)
    assert len(content) < 200_000
    with pytest.raises(UnreadableSheetError, match="Unpacked, this workbook is 100 MB"):
        read_table(content)


def test_a_row_far_beyond_all_others_is_not_walked_to() -> None:
    rows = b'<row r="1"><c t="inlineStr"><is><t>Day</t></is></c></row><row r="999999999"><c><v>1</v></c></row>'
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook(["Day"], ["x"]))) as good, zipfile.ZipFile(out, "w") as bad:
        for each in good.infolist():
            sheet = b"<worksheet xmlns='%s'><sheetData>%s</sheetData></worksheet>" % (SPREADSHEETML, rows)
            bad.writestr(each.filename, sheet if each.filename.endswith("sheet1.xml") else good.read(each))
    with pytest.raises(UnreadableSheetError, match="more blank rows"):
        read_table(out.getvalue())


def test_entities_within_entities_are_not_followed() -> None:
    with pytest.raises(UnreadableSheetError, match=r"cannot be read|can be read"):
        read_table(laughing())
