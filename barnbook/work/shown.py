"""A figure as a table of figures carries it: the same members as a row of `figure`, days as text.

Numbers keep six significant digits: far more than any of them is sure of, and a third of the bytes.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from barnbook.figures.estimate import Estimate, Missing
from barnbook.work.figure_rows import values_of

Shown = dict[str, Any]


def shown(estimate: Estimate | Missing, name: str, span: str = "", *, unit: str = "share") -> Shown:
    """name, span: its place on the page.  unit: of a figure of which nothing but what is missing is known."""
    if isinstance(estimate, Missing):
        estimate = Estimate(unit=unit, missing=estimate)
    values = {key: _plain(value) for key, value in values_of(estimate).items()}
    return {"name": name, "span": span, **values}


def _plain(value: Any) -> Any:
    if isinstance(value, float):
        return six(value)
    return value.isoformat() if isinstance(value, date) else value


def six(number: float) -> float:
    """To six significant digits."""
    return float(f"{number:.6g}")


def rounded(numbers: Iterable[float]) -> list[float]:
    return [six(float(each)) for each in numbers]
