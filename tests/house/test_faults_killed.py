"""The house killed with SIGKILL during a batch: whole or not at all, and sent again it is there once."""

from __future__ import annotations

from pathlib import Path

from tests.house.kills import killed_in_batches
from tests.house.pen import a_book


def test_the_house_killed_during_a_batch(tmp_path: Path) -> None:
    with a_book() as book:
        told = killed_in_batches(tmp_path, moments=20, seed=9562, **book)
    assert told.whole + told.none == 20
    assert 0 < told.whole < 20, "all moments lie on one side of the commit: the kills tell nothing"
    assert told.answered <= told.whole, "an answer came, and the batch is gone"
