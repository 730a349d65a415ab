"""SIGKILL to a house in the middle of a batch, at seeded moments."""

from __future__ import annotations

import random
import threading
import time
from contextlib import suppress
from dataclasses import dataclass, field
from http.client import HTTPException
from pathlib import Path
from typing import Any

from tests.house.pen import Pen, opened, stands_as_its_entries_give
from tests.house_at_work import HouseAtWork

BATCH = 100


@dataclass
class Told:
    """What the kills came to. answered: batches whose answer came. whole, none: batches held whole, or not at all,
    by the house after a kill without an answer."""

    answered: int = 0
    whole: int = 0
    none: int = 0
    entries: list[dict[str, Any]] = field(default_factory=list)


def killed_in_batches(data: Path, *, moments: int, seed: int, **changes: str) -> Told:
    """Push, kill, open again, look; `moments` times. Raises AssertionError when a batch is there by half, when what
    was answered is gone, or when the barn is not what the journal gives."""
    luck, told = random.Random(seed), Told()
    cage, about = "", 0.0  # seconds from the push to about the commit, found as we go: the kills gather around it
    for moment in range(moments + 1):
        with HouseAtWork(data, **changes) as house:
            pen = opened(house) if moment == 0 else Pen(house.address, cage=cage)
            pen.written = 1000 * moment
            if moment == 0:
                cage = pen.cage
                began = time.monotonic()
                first = pen.counts(BATCH)
                assert set(pen.words(*first)) == {"written"}
                told.entries += first
                about = time.monotonic() - began
            else:
                about *= 0.85 if _was_there(pen, told) else 1.2
            if moment == moments:
                _all_there_once(pen, told.entries)
            else:
                _push_and_kill(house, pen, luck.uniform(0, 1.5 * about), told)
    stands_as_its_entries_give(data, **changes)
    return told


def _push_and_kill(house: HouseAtWork, pen: Pen, after_s: float, told: Told) -> None:
    batch = pen.counts(BATCH)
    told.entries += batch
    answers: list[Any] = []

    def push() -> None:
        with suppress(OSError, ValueError, HTTPException):  # the house went away, perhaps within its answer
            answers.append(pen.push(*batch))

    pushing = threading.Thread(target=push)
    pushing.start()
    time.sleep(after_s)
    house.process.kill()
    house.process.wait()
    pushing.join()
    if answers:
        told.answered += 1
        assert answers[0][0] == 200, answers[0]


def _was_there(pen: Pen, told: Told) -> bool:
    """After a kill the batch in hand is there whole or not at all; sending it again puts it there. Whether it was."""
    batch = told.entries[-BATCH:]
    words = pen.words(*batch)
    assert len(set(words)) == 1, f"a batch by half: {words}"
    if words[0] == "already":
        told.whole += 1
    else:
        assert words[0] == "written"
        told.none += 1
    return words[0] == "already"


def _all_there_once(pen: Pen, entries: list[dict[str, Any]]) -> None:
    for start in range(0, len(entries), 500):
        assert set(pen.words(*entries[start : start + 500])) == {"already"}
