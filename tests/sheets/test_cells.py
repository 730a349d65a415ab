"""Days, counts and weights as people write them."""

from __future__ import annotations

from datetime import date

import pytest

from barnbook.sheets.cells import CellError, DayOrder, day_order, needs_an_order, read_count, read_day, read_weight

THIRD = date(2025, 11, 3)


@pytest.mark.parametrize(
    "cell",
    [
        THIRD,
        "2025-11-03",
        "2025/11/3",
        "2025-11-03 07:40",
        "3.11.2025",
        "3.11.25",
        "3 Nov 2025",
        "Mon 3 November 2025",
        "Nov 3, 2025",
        "3-Nov-25",
        # Office Open XML, ECMA-376 part 1, 18.17.4.1: in the 1900 system a date is the number of days since 1899-12-30
        # (for days after 28 February 1900). 45964 is 2025-11-03.
        45964.0,
        45964.31,
        "45964",
    ],
)
def test_one_day_in_many_forms(cell: object) -> None:
    assert read_day(cell, None) == THIRD  # type: ignore[arg-type]


def test_the_serial_number_of_the_standards_own_example() -> None:
    """ECMA-376 part 1, 18.17.4.1 counts 2008-01-01 as 39448; the text states it for the 1900 system (from memory)."""
    assert read_day(39448.0, None) == date(2008, 1, 1)


def test_three_numbers_hang_upon_the_order() -> None:
    assert read_day("3/11/2025", DayOrder.DAY_FIRST) == THIRD
    assert read_day("11/3/2025", DayOrder.MONTH_FIRST) == THIRD
    with pytest.raises(CellError, match="say whether the day or the month stands first"):
        read_day("3/11/2025", None)
    assert read_day("11/11/2025", None) == date(2025, 11, 11)


def test_a_column_shows_its_order_where_any_day_of_it_does() -> None:
    assert day_order(["3/11/2025", "14/11/2025", None]) is DayOrder.DAY_FIRST
    assert day_order(["3/11/2025", "11/14/2025"]) is DayOrder.MONTH_FIRST
    assert day_order(["3/11/2025", "4.11.2025", THIRD]) is None
    assert needs_an_order(["3/11/2025"])
    assert not needs_an_order(["3.11.2025", "4/4/2025", 45964.0])
    with pytest.raises(CellError, match="write all days one way"):
        day_order(["14/11/2025", "11/14/2025"])


@pytest.mark.parametrize("cell", ["31.2.2025", "yesterday", "", None, 3.0, "2025-13-01", "32 Nov 2025", "3 Nov"])
def test_what_is_no_day_is_said(cell: object) -> None:
    with pytest.raises(CellError):
        read_day(cell, None)  # type: ignore[arg-type]


def test_counts() -> None:
    assert [read_count(cell) for cell in (0.0, 4.0, "4", "4.0", "12")] == [0, 4, 4, 4, 12]
    for cell in (-1.0, 2.5, "2.5", "four", None, THIRD, float("nan"), float("inf")):
        with pytest.raises(CellError, match="no whole number"):
            read_count(cell)


def test_weights_keep_what_was_typed() -> None:
    assert read_weight("12.4", "g") == (12.4, "12.4", "g")
    assert read_weight("12,4", "g") == (12.4, "12.4", "g")
    assert read_weight(12.4, "g") == (12.4, "12.4", "g")
    # NIST Handbook 44, appendix C: the avoirdupois ounce is 28.349523125 g, exactly.
    assert read_weight("0.44 oz", "g") == (12.474, "0.44", "oz")
    assert read_weight("310 Grams", "oz") == (310.0, "310", "g")


@pytest.mark.parametrize(
    ("cell", "unit", "why"),
    [("12", None, "has no unit"), ("12 lb", "g", "not known"), ("heavy", "g", "no weight"), (0.0, "g", "more than 0")],
)
def test_what_is_no_weight_is_said(cell: object, unit: str | None, why: str) -> None:
    with pytest.raises(CellError, match=why):
        read_weight(cell, unit)  # type: ignore[arg-type]
