"""What a cage usually gives, against quartiles worked by hand and a published definition."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from barnbook.figures.estimate import LeftOut, Reason
from barnbook.figures.usual_count import usual_count

FIRST = date(2026, 7, 1)


def daily(*eggs: int) -> list[tuple[date, int]]:
    return [(FIRST + timedelta(days=i), n) for i, n in enumerate(eggs)]


def test_median_and_quartiles_by_hand() -> None:
    # Sorted 1 3 4 4 5: the middle is the third, the quartiles the second and the fourth (type 7: 1 + 4 x 0.25 = 2nd).
    found = usual_count(daily(4, 1, 5, 3, 4))
    assert (found.value, found.low, found.high) == (4.0, 3.0, 4.0)
    assert (found.n, found.n_of, found.unit, found.method) == (5, "counts", "eggs", "median_quartiles")
    assert (found.first_day, found.last_day) == (FIRST, FIRST + timedelta(days=4))


def test_quartiles_are_numpys_default_which_is_type_7() -> None:
    # Source: NumPy's documentation of `quantile`, method "linear": Hyndman & Fan's definition 7.
    eggs = [3, 5, 4, 0, 4, 4, 6, 5, 3, 4, 2, 5, 5, 4]
    found = usual_count(daily(*eggs))
    assert (found.low, found.value, found.high) == pytest.approx(tuple(np.quantile(eggs, [0.25, 0.5, 0.75])))


def test_looks_back_on_the_last_fourteen_counts() -> None:
    found = usual_count(daily(*[9] * 20, *[4] * 14))
    assert (found.value, found.low, found.high, found.n) == (4.0, 4.0, 4.0, 14)
    assert found.first_day == FIRST + timedelta(days=20)


def test_four_counts_say_nothing_yet() -> None:
    found = usual_count(daily(4, 4, 4, 4), clashes=1)
    assert found.value is None
    assert found.missing is not None
    assert (found.missing.reason, found.missing.have, found.missing.need) == (Reason.TOO_FEW_RECORDS, 4, 5)
    assert found.left_out == (LeftOut("counts", 1, "two_counts_of_one_round"),)


def test_no_count_at_all() -> None:
    found = usual_count([])
    assert found.missing is not None
    assert (found.n, found.first_day, found.last_day) == (0, None, None)
