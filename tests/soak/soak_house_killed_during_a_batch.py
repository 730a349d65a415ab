"""The house killed at two hundred seeded moments of a batch: eight books, twenty-five kills in each.

`.venv/bin/pytest -s tests/soak/soak_house_killed_during_a_batch.py`, and the same after `tests/postgresql.sh`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.house.kills import killed_in_batches
from tests.house.pen import a_book

MOMENTS = 25


@pytest.mark.parametrize("seed", range(8))
def test_the_house_killed_during_a_batch(tmp_path: Path, seed: int) -> None:
    with a_book() as book:
        told = killed_in_batches(tmp_path, moments=MOMENTS, seed=seed, **book)
    print(f"seed {seed}: {MOMENTS} kills, {told.answered} answered, {told.whole} batches whole, {told.none} not begun")
    assert told.whole + told.none == MOMENTS
    assert told.answered <= told.whole
