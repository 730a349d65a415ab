"""Measures: ounces and grams, Fahrenheit and Celsius, exactly.

    1 lb = 453.59237 g,  1 oz = 1 lb / 16 = 28.349523125 g        (international avoirdupois pound, 1959, exact)
    C = (F - 32) 5 / 9

Everything is kept in grams and degrees Celsius; these are for what a person types or reads. NaN and infinities are
refused with a ValueError. Checked in
tests/figures/test_measures.py.
"""

from __future__ import annotations

import math

GRAMS_PER_POUND = 453.59237
GRAMS_PER_OUNCE = 28.349523125


def grams_from_ounces(weight_oz: float) -> float:
    """Grams of a weight in avoirdupois ounces."""
    return _finite(weight_oz) * GRAMS_PER_OUNCE


def ounces_from_grams(weight_g: float) -> float:
    """Avoirdupois ounces of a weight in grams."""
    return _finite(weight_g) / GRAMS_PER_OUNCE


def celsius_from_fahrenheit(temperature_f: float) -> float:
    """Degrees Celsius of a temperature in degrees Fahrenheit."""
    return (_finite(temperature_f) - 32) * 5 / 9


def fahrenheit_from_celsius(temperature_c: float) -> float:
    """Degrees Fahrenheit of a temperature in degrees Celsius."""
    return _finite(temperature_c) * 9 / 5 + 32


def _finite(measure: float) -> float:
    if not math.isfinite(measure):
        raise ValueError(f"A measure of {measure} is none: give a finite number.")
    return measure
