"""A fault of the house itself: the process that serves has a kind that raises, and is then updated."""

from __future__ import annotations

import sys
from pathlib import Path

from tests.house.pen import Pen, a_book, opened, stands_as_its_entries_give
from tests.house_at_work import HouseAtWork

FAULTY = """
import barnbook.__main__ as house
from django.core import management
run = management.execute_from_command_line

def with_a_fault(arguments):
    import django
    django.setup()
    from dataclasses import replace
    from barnbook.journal.kinds import KINDS

    def effects(entry):
        return 1 / 0 if entry.body["text"] == "poison" else []

    KINDS["cage_note"] = replace(KINDS["cage_note"], effects=effects)
    run(arguments)

management.execute_from_command_line = with_a_fault
house.main()
"""


def test_an_entry_makes_the_house_itself_fail(tmp_path: Path) -> None:
    """The others are taken, it is kept, and after the update it is sent again and counts; in the journal it is once."""
    with a_book() as book:
        with HouseAtWork(tmp_path, program=[sys.executable, "-c", FAULTY], **book) as house:
            pen = opened(house)
            sent = pen.counts(6)
            poison = pen.entry("cage_note", cage=pen.cage, text="poison")
            harmless = pen.entry("cage_note", cage=pen.cage, text="A draught by the door.")
            status, said = pen.push(*sent[:3], poison, harmless, *sent[3:])
            assert status == 200
            words = [verdict["verdict"] for verdict in said["verdicts"]]
            assert words == ["written"] * 3 + ["later"] + ["written"] * 4
            assert said["verdicts"][3]["code"] == "house_fault"
            assert [row["code"] for row in pen.rows("aside") if row["entry"] == poison["id"]] == ["house_fault"]
            assert "ZeroDivisionError" in house.printed, "whoever looks after the house can read of it"
            assert pen.words(poison) == ["later"]
            house.stop()
        with HouseAtWork(tmp_path, **book) as house:
            pen = Pen(house.address, cage=pen.cage)
            assert pen.words(poison, *sent) == ["written"] + ["already"] * 6
            assert pen.journal()[poison["id"]]["state"] == "stands"
            house.stop()
        stands_as_its_entries_give(tmp_path, **book)
