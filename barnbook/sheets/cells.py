"""What a person wrote into a cell: days, counts and weights in the forms that notebooks hold."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, timedelta
from enum import StrEnum

from barnbook.sheets.table import DAY_ZERO_1900, Cell

OUNCE_G = 28.349523125  # exact: the international avoirdupois ounce
SERIALS = range(20_000, 80_000)  # 1954 to 2119; a smaller number is no day of a barn
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
WEEKDAY = re.compile(r"^(mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+", re.IGNORECASE)
ISO = re.compile(r"^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ].*)?$")
THREE_NUMBERS = re.compile(r"^(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})(?:\s.*)?$")
DAY_MONTH = re.compile(r"^(\d{1,2})(?:st|nd|rd|th)?\.?[ -]([A-Za-z]{3,9})\.?,?[ -](\d{4}|\d{2})$")
MONTH_DAY = re.compile(r"^([A-Za-z]{3,9})\.?[ -](\d{1,2})(?:st|nd|rd|th)?,?[ -](\d{4}|\d{2})$")
NUMBER = re.compile(r"^(\d+(?:[.,]\d+)?)\s*([A-Za-z.]*)$")
UNITS = {"g": "g", "gr": "g", "gm": "g", "gram": "g", "grams": "g", "oz": "oz", "ounce": "oz", "ounces": "oz"}


class DayOrder(StrEnum):
    """Which of 3/11/2025's first two numbers is the day."""

    DAY_FIRST = "day_first"
    MONTH_FIRST = "month_first"


class CellError(ValueError):
    """A cell that cannot be read: what is wrong and what to do, beginning with what it holds."""


def day_order(cells: Iterable[Cell]) -> DayOrder | None:
    """Which order a column of days is written in; None when every day in it could be read either way.

    Raises CellError when some can only be read one way and some only the other. Points (3.11.2025) are written day
    first wherever they are written.
    """
    first: str | None = None
    second: str | None = None
    for cell in cells:
        if not isinstance(cell, str):
            continue
        found = THREE_NUMBERS.match(WEEKDAY.sub("", cell))
        if found is None or found[2] == ".":
            continue
        if int(found[1]) > 12:
            first = first or cell
        elif int(found[3]) > 12:
            second = second or cell
    if first and second:
        raise CellError(f"'{first}' begins with the day and '{second}' with the month: write all days one way")
    return DayOrder.DAY_FIRST if first else DayOrder.MONTH_FIRST if second else None


def needs_an_order(cells: Iterable[Cell]) -> bool:
    """Whether any day of the column hangs upon the order."""
    found = (THREE_NUMBERS.match(WEEKDAY.sub("", cell)) for cell in cells if isinstance(cell, str))
    return any(each is not None and each[2] != "." and int(each[1]) != int(each[3]) for each in found)


def read_day(cell: Cell, order: DayOrder | None, day_zero: date = DAY_ZERO_1900) -> date:
    """The day in a cell. day_zero: what a bare number of days is counted from. Raises CellError."""
    if isinstance(cell, date):
        return cell
    number = _serial(cell)
    if number is not None:
        return day_zero + timedelta(days=number)
    text = WEEKDAY.sub("", cell.strip()) if isinstance(cell, str) else ""
    parts = _day_parts(text, order)
    if parts is None:
        raise CellError(f"{_shown(cell)} is no day that can be read: write it as 2026-03-14")
    try:
        return date(*parts)
    except ValueError:
        raise CellError(f"{_shown(cell)} is no day of the calendar") from None


def _serial(cell: Cell) -> int | None:
    if isinstance(cell, str) and re.fullmatch(r"\d{5}", cell):
        cell = float(cell)
    return int(cell) if isinstance(cell, float) and SERIALS.start <= cell < SERIALS.stop else None


def _day_parts(text: str, order: DayOrder | None) -> tuple[int, int, int] | None:
    if found := ISO.match(text):
        return int(found[1]), int(found[2]), int(found[3])
    if found := THREE_NUMBERS.match(text):
        one, two, year = int(found[1]), int(found[3]), _year(found[4])
        if found[2] == "." or order is DayOrder.DAY_FIRST or one == two:
            return year, two, one
        if order is DayOrder.MONTH_FIRST:
            return year, one, two
        raise CellError(f"'{text}' may be two days: say whether the day or the month stands first")
    if (found := DAY_MONTH.match(text)) and (month := _month(found[2])):
        return _year(found[3]), month, int(found[1])
    if (found := MONTH_DAY.match(text)) and (month := _month(found[1])):
        return _year(found[3]), month, int(found[2])
    return None


def _year(text: str) -> int:
    return int(text) if len(text) == 4 else 2000 + int(text)


def _month(word: str) -> int | None:
    return MONTHS.index(word[:3].lower()) + 1 if word[:3].lower() in MONTHS else None


def read_count(cell: Cell) -> int:
    """A whole number from 0. Raises CellError."""
    value = float(cell) if isinstance(cell, str) and re.fullmatch(r"\d+(\.0+)?", cell) else cell
    if not isinstance(value, float) or value < 0 or not value.is_integer():
        raise CellError(f"{_shown(cell)} is no whole number from 0")
    return int(value)


def read_weight(cell: Cell, unit: str | None) -> tuple[float, str, str]:
    """(grams, as typed, unit) of a weight; the cell's own unit before the column's. Raises CellError."""
    text = f"{cell:.15g}" if isinstance(cell, float) else cell.strip() if isinstance(cell, str) else ""
    found = NUMBER.match(text)
    if found is None:
        raise CellError(f"{_shown(cell)} is no weight: write a number, with g or oz where the column does not say")
    own = found[2].rstrip(".").lower()
    if own and own not in UNITS:
        raise CellError(f"{_shown(cell)} is in a unit that is not known: write g or oz")
    unit = UNITS[own] if own else unit
    if unit is None:
        raise CellError(f"{_shown(cell)} has no unit: say whether the column is in grams or in ounces")
    typed = found[1].replace(",", ".")
    grams = float(typed) * (OUNCE_G if unit == "oz" else 1.0)
    if grams <= 0:
        raise CellError(f"{_shown(cell)} is no weight: it must be more than 0")
    return round(grams, 3), typed, unit


def _shown(cell: Cell) -> str:
    return "an empty cell" if cell is None else f"'{str(cell)[:40]}'"
