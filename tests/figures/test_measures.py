"""Measures against their definitions."""

import csv
from pathlib import Path

import pytest

from barnbook.figures import measures

CHECKS = Path(__file__).parents[2] / "fixtures" / "checks" / "measures.csv"


def rows():
    return list(csv.DictReader(line for line in CHECKS.read_text().splitlines() if not line.startswith("#")))


def test_sixteen_ounces_are_a_pound_exactly():
    assert 16 * measures.GRAMS_PER_OUNCE == measures.GRAMS_PER_POUND
    assert measures.grams_from_ounces(10) == 283.49523125


def test_a_heavy_line_is_called_so_from_ten_ounces():
    # 10 oz: common practice, no source. 283.5 g shown, 10 oz typed back
    assert round(measures.grams_from_ounces(10), 1) == 283.5
    assert measures.ounces_from_grams(measures.grams_from_ounces(11.5)) == pytest.approx(11.5, rel=1e-15)


@pytest.mark.parametrize("row", rows(), ids=lambda r: r["fahrenheit"])
def test_temperatures_both_ways(row):
    f, c = float(row["fahrenheit"]), float(row["celsius"])
    assert measures.celsius_from_fahrenheit(f) == pytest.approx(c, abs=1e-6)
    assert measures.fahrenheit_from_celsius(c) == pytest.approx(f, abs=1e-6)
