"""A spreadsheet's file as a table: CSV in the encodings that spreadsheets write, and XLSX.

Nothing in a file is trusted: how large it is, how large it becomes once unpacked, what it says of itself.
"""

from __future__ import annotations

import csv
import io
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from barnbook.sheets.workbook_bounds import MOST_UNPACKED_BYTES, TooMuchError, look_over

MOST_BYTES = 5 * 1024 * 1024
MOST_ROWS = 20_000
MOST_COLUMNS = 200
MOST_BLANK_ROWS = 100_000  # a workbook of a few bytes may state a row number of any size
LONGEST_CELL = 500
# ECMA-376 part 1, 18.17.4.1: day 0 of a workbook's serial numbers, after 28 February 1900; and of the 1904 system.
DAY_ZERO_1900, DAY_ZERO_1904 = date(1899, 12, 30), date(1904, 1, 1)

Cell = str | float | date | None


class UnreadableSheetError(ValueError):
    """The file is no table that can be read. The message is one sentence for the person, with what to do."""


@dataclass(frozen=True, slots=True)
class Row:
    """number: as the spreadsheet shows it, the first being 1.  cells: as many as there are columns."""

    number: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """columns: the words of the heading row, as they stand.  read_as: how the bytes were read, for the person.
    day_zero: the day that a bare number of days is counted from."""

    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    read_as: str
    sheets: tuple[str, ...] = ()
    day_zero: date = DAY_ZERO_1900


def read_table(content: bytes, *, sheet: str | None = None) -> Table:
    """The table in a file's bytes. sheet: which of a workbook's, the first when None. Raises UnreadableSheetError."""
    if len(content) > MOST_BYTES:
        raise UnreadableSheetError(f"This file is larger than {MOST_BYTES // 1024**2} MB. Split it by year.")
    if not content.strip():
        raise UnreadableSheetError("This file is empty.")
    if content.startswith(b"PK"):
        return _workbook(content, sheet)
    if content.startswith(b"\xd0\xcf\x11\xe0"):
        raise UnreadableSheetError(
            "This is a workbook of the old kind (.xls), or one with a password. Save it as .xlsx without a password."
        )
    return _text(content)


def _text(content: bytes) -> Table:
    text, encoding = _decoded(content)
    delimiter, named = _delimiter(text)
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        return _table(enumerate(lines, start=1), read_as=f"{encoding}, columns parted by {named}")
    except csv.Error:
        raise UnreadableSheetError(
            "A row of this file never ends. Save it as CSV again from the spreadsheet."
        ) from None


def _decoded(content: bytes) -> tuple[str, str]:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        encoding, named = "utf-16", "UTF-16"
    else:
        encoding, named = "utf-8-sig", "UTF-8"
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError:
        # What spreadsheets on Windows write where nobody chose: every byte but five is a letter of it.
        try:
            text, named = content.decode("cp1252"), "Windows-1252"
        except UnicodeDecodeError:
            text = "\x00"
    if "\x00" in text:
        raise UnreadableSheetError("This is no table in text. Save it as CSV or XLSX from the spreadsheet.")
    return text, named


def _delimiter(text: str) -> tuple[str, str]:
    """By the heading row: the mark that parts it into the most columns."""
    heading = next((line for line in text.splitlines() if line.strip()), "")
    marks = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
    best = max(marks, key=lambda mark: len(next(csv.reader([heading], delimiter=mark))))
    return best, marks[best]


def _workbook(content: bytes, sheet: str | None) -> Table:
    from openpyxl import load_workbook  # (with the next) with NumPy, 14 MB: not for a house that reads no workbook
    from openpyxl.utils.datetime import MAC_EPOCH

    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            unpacked = sum(each.file_size for each in packed.infolist())
            if unpacked > MOST_UNPACKED_BYTES:
                raise UnreadableSheetError(
                    f"Unpacked, this workbook is {unpacked // 1024**2} MB; at most "
                    f"{MOST_UNPACKED_BYTES // 1024**2} are read. Save the one sheet that is wanted as CSV."
                )
            look_over(packed)
    except TooMuchError as error:
        raise UnreadableSheetError(
            f"This workbook holds more than is read ({error}). Save the one sheet that is wanted as CSV."
        ) from None
    except UnreadableSheetError:
        raise
    except (zipfile.BadZipFile, zlib.error, OSError, ValueError, EOFError, NotImplementedError, RuntimeError):
        raise UnreadableSheetError("This workbook is damaged. Save it as XLSX again, or as CSV.") from None
    try:
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=True, keep_links=False)
    except Exception:  # openpyxl raises whatever its XML and zip readers raise
        raise UnreadableSheetError("This is no workbook that can be read. Save it as XLSX again, or as CSV.") from None
    try:
        names = tuple(book.sheetnames)
        if sheet is not None and sheet not in names:
            raise UnreadableSheetError(f"This workbook has no sheet '{sheet[:80]}': it has {', '.join(names)[:200]}.")
        page = book[sheet or names[0]]
        page.reset_dimensions()  # what the file says of its own size may be anything
        found = page.iter_rows(values_only=True, max_col=MOST_COLUMNS + 1)
        rows = ((n, [_cell(value) for value in row]) for n, row in enumerate(found, 1))
        table = _table(rows, read_as=f"workbook, sheet {sheet or names[0]}", sheets=names)
        return replace(table, day_zero=DAY_ZERO_1904) if book.epoch == MAC_EPOCH else table
    except UnreadableSheetError:
        raise
    except Exception:
        raise UnreadableSheetError(
            "A sheet of this workbook cannot be read. Save it as XLSX again, or as CSV."
        ) from None
    finally:
        book.close()


def _cell(value: Any) -> Cell:
    if value is None or isinstance(value, bool):
        return None if value is None else str(value)
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    if isinstance(value, int | float):
        return float(value)
    return str(value)


def _table(lines: Iterable[tuple[int, list[Any]]], *, read_as: str, sheets: tuple[str, ...] = ()) -> Table:
    filled = _filled(lines)
    heading = next(filled, None)
    if heading is None:
        raise UnreadableSheetError("There is nothing in this sheet.")
    columns = tuple(str(word).strip() if word is not None else "" for word in heading.cells)
    while columns and not columns[-1]:
        columns = columns[:-1]
    rows: list[Row] = []
    for row in filled:
        if len(rows) >= MOST_ROWS:
            raise UnreadableSheetError(f"This sheet has more than {MOST_ROWS:,} rows. Split it by year.")
        rows.append(Row(row.number, (*row.cells[: len(columns)], *[None] * (len(columns) - len(row.cells)))))
    if not rows:
        raise UnreadableSheetError("This sheet has a heading and no rows beneath it.")
    return Table(columns, tuple(rows), read_as, sheets)


def _filled(lines: Iterable[tuple[int, list[Any]]]) -> Iterator[Row]:
    """The rows that hold anything, with blank cells as None."""
    blank = 0
    for number, line in lines:
        cells: list[Cell] = [each.strip() or None if isinstance(each, str) else each for each in line]
        while cells and cells[-1] is None:
            cells.pop()
        if not cells:
            blank += 1
            if blank > MOST_BLANK_ROWS:
                raise UnreadableSheetError("This sheet has more blank rows than any that is kept. Save it as CSV.")
            continue
        if len(cells) > MOST_COLUMNS:
            raise UnreadableSheetError(f"Row {number} has {len(cells)} columns; at most {MOST_COLUMNS} are read.")
        if any(isinstance(each, str) and len(each) > LONGEST_CELL for each in cells):
            raise UnreadableSheetError(f"A cell of row {number} is longer than {LONGEST_CELL} characters. Shorten it.")
        yield Row(number, tuple(cells))
