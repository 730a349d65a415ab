"""Eight phones write at once while another reads the changes: no row is ever skipped, and nothing is lost."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

from tests.house.pen import Pen, a_book, opened, stands_as_its_entries_give
from tests.house_at_work import HouseAtWork

WRITERS, BATCHES, BATCH = 8, 6, 15


def test_the_changes_never_skip_a_row(tmp_path: Path) -> None:
    """A house in a process of its own answers in eight threads, each with its own connection to the database."""
    with a_book() as book, HouseAtWork(tmp_path, **book) as house:
        reader = opened(house)
        writers = [Pen(house.address) for _ in range(WRITERS)]
        sent: list[str] = []
        wrong: list[Any] = []

        def write(pen: Pen) -> None:
            for _ in range(BATCHES):
                batch = pen.counts(BATCH)
                sent.extend(entry["id"] for entry in batch)
                words = pen.words(*batch)
                wrong.extend(word for word in words if word != "written")

        writing = [threading.Thread(target=write, args=(pen,)) for pen in writers]
        for each in writing:
            each.start()
        # Only ever forwards, a few rows at a time: a row that was committed late under an early place would be missed.
        seen: dict[str, int] = {}
        after, quiet = 0, 0
        while quiet < 2:
            quiet = 0 if any(each.is_alive() for each in writing) else quiet + 1
            more = True
            while more:
                status, said = reader.get(f"/api/changes?limit=20&after={after}")
                assert status == 200, said
                for row in said["rows"]:
                    if row["table"] == "entry":
                        seen[row["id"]] = seen.get(row["id"], 0) + 1
                after, more = said["next"], said["more"]
        assert wrong == []
        assert len(set(sent)) == WRITERS * BATCHES * BATCH
        assert set(sent) <= seen.keys()
        house.stop()
        stands_as_its_entries_give(tmp_path, **book)
