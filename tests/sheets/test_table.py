"""A spreadsheet's bytes as a table, hostile ones among them."""

from __future__ import annotations

import io
import tracemalloc
import zipfile
from contextlib import suppress
from datetime import date, datetime

import pytest
from openpyxl import Workbook
from openpyxl.utils.datetime import MAC_EPOCH, WINDOWS_EPOCH

from barnbook.sheets.cells import read_day
from barnbook.sheets.table import (
    DAY_ZERO_1900,
    DAY_ZERO_1904,
    MOST_BYTES,
    MOST_ROWS,
    UnreadableSheetError,
    read_table,
)


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


def with_part(name: str, content: bytes) -> bytes:
    """A good workbook in which that part is another."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook(["Day"], ["x"]))) as good, zipfile.ZipFile(out, "w") as bad:
        for each in good.infolist():
            if each.filename != name:
                bad.writestr(each, good.read(each))
        bad.writestr(name, content, zipfile.ZIP_DEFLATED)
    return out.getvalue()


SHEET = b"<worksheet xmlns='%s'>%%s</worksheet>" % SPREADSHEETML
# What is in a part -> the part, what it begins with, what follows how often.
MANY = {
    "styles as one tree": ("xl/styles.xml", b"<styleSheet xmlns='%s'><cellXfs>" % SPREADSHEETML, b"<xf/>", 5_000_000),
    "texts in one text": ("xl/sharedStrings.xml", b"<sst xmlns='%s'><si>" % SPREADSHEETML, b"<r/>", 5_000_000),
    "texts": ("xl/sharedStrings.xml", b"<sst xmlns='%s'>" % SPREADSHEETML, b"<si/>", 5_000_000),
    "cells of one row": ("xl/worksheets/sheet1.xml", b"<worksheet><sheetData><row>", b"<c/>", 5_000_000),
    "rows": ("xl/worksheets/sheet1.xml", b"<worksheet><sheetData>", b"<row/>", 5_000_000),
    "merged cells": ("xl/worksheets/sheet1.xml", b"<worksheet><mergeCells>", b"<m/>", 5_000_000),
    "names of the book": ("xl/workbook.xml", b"<workbook><definedNames>", b"<d/>", 5_000_000),
    "relations": ("xl/_rels/workbook.xml.rels", b"<Relationships>", b"<R/>", 5_000_000),
    "one endless tag": ("xl/styles.xml", b"<styleSheet", b" a='of a tag that does not end'", 1_000_000),
    "one endless value": ("docProps/core.xml", b"<c a='", b" ", 30_000_000),
}


@pytest.mark.parametrize("what", MANY)
def test_no_part_of_a_workbook_is_built_beyond_bounds(what: str) -> None:
    """Packed, each is some kilobytes; as a tree it would be gigabytes. The memory that reading takes is looked at."""
    part, begins, piece, times = MANY[what]
    content = with_part(part, begins + piece * times)
    assert len(content) < MOST_BYTES
    tracemalloc.start()
    try:
        with pytest.raises(UnreadableSheetError, match=r"holds more than is read .* as CSV"):
            read_table(content)
        assert tracemalloc.get_traced_memory()[1] < 40 * 1024**2
    finally:
        tracemalloc.stop()


def test_a_workbook_of_the_largest_kind_that_is_read() -> None:
    """20,000 rows of 20 columns come in: the bounds are wide of anybody's barn."""
    table = read_table(workbook(["Day", *(f"A{n}" for n in range(19))], *[[float(n)] * 20 for n in range(20_000)]))
    assert len(table.rows) == 20_000


def test_cells_far_to_the_right_are_not_walked_to() -> None:
    rows = b"".join(b'<row r="%d"><c r="XFD%d"/></row>' % (n, n) for n in range(1, 90_000))
    with pytest.raises(UnreadableSheetError, match="nothing in this sheet"):
        read_table(with_part("xl/worksheets/sheet1.xml", SHEET % (b"<sheetData>%s</sheetData>" % rows)))


def test_both_systems_of_dates() -> None:
    """ECMA-376 part 1, 18.17.4.1: day 0 is 1899-12-30, or 1904-01-01 where workbookPr says date1904; so 2025-11-03 is
    45964 in the one and 44502 in the other, as a date cell and as a bare number."""
    for epoch, serial, zero in ((WINDOWS_EPOCH, 45964, DAY_ZERO_1900), (MAC_EPOCH, 44502, DAY_ZERO_1904)):
        book = Workbook()
        book.epoch = epoch
        for row in (["Day", "Bare"], [date(2025, 11, 3), serial]):
            book.active.append(row)  # type: ignore[union-attr]
        out = io.BytesIO()
        book.save(out)
        table = read_table(out.getvalue())
        assert table.day_zero == zero
        assert table.rows[0].cells == (date(2025, 11, 3), float(serial))
        assert [read_day(cell, None, table.day_zero) for cell in table.rows[0].cells] == [date(2025, 11, 3)] * 2


@pytest.mark.parametrize(
    "content",
    [
        "Day,Eggs\n2025-11-03,4\n".encode("utf-16-le"),  # without its mark
        "Day,Eggs\n2025-11-03,4\n".encode("utf-32"),
        b"\xff\xfeD\x00a\x00y\x00\n",  # half of a letter at its end
        b"Day,Eggs\n2025-11-03,\x00\n",
        bytes(range(256)),
    ],
)
def test_other_encodings_are_refused_with_a_sentence(content: bytes) -> None:
    with pytest.raises(UnreadableSheetError, match="no table in text"):
        read_table(content)


def test_a_workbook_spoilt_at_any_place_is_read_or_refused_with_a_sentence() -> None:
    good = workbook(["Day", "Cage", "Eggs"], [date(2025, 11, 3), "A1", 4])
    for at in range(0, len(good), 61):
        spoilt = good[:at] + bytes([good[at] ^ 0xFF]) + good[at + 1 :]
        with suppress(UnreadableSheetError):
            read_table(spoilt)
        with suppress(UnreadableSheetError):
            read_table(good[:at])


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
    with pytest.raises(UnreadableSheetError, match="holds more than is read"):
        read_table(laughing())
