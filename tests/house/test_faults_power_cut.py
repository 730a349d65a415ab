"""The power fails the moment the house has answered: the disk holds every entry that it had answered for."""

from __future__ import annotations

import random
import shutil
import sqlite3
import subprocess
import sys
import uuid
from contextlib import closing
from pathlib import Path

import pytest

from tests.house.pen import Pen, opened, stands_as_its_entries_give
from tests.house_at_work import OURS, HouseAtWork
from tests.power_cut import Disk, needs_strace, watched

pytestmark = [
    pytest.mark.skipif(sys.platform != "linux", reason="strace is Linux's"),
    pytest.mark.skipif("'DATABASE_URL' in __import__('os').environ", reason="the disk is PostgreSQL's to sync"),
]
BATCHES, BATCH = 12, 120  # enough for SQLite to move its log into the book more than once
CUT_AT = (1, 5, 9, BATCHES)


def test_the_power_of_the_house_is_cut(tmp_path: Path) -> None:
    """What is not synced is gone, or there by chance; the book opens, each batch answered for is in it whole and once,
    the house does not take it for an older copy, and the barn is what its entries give."""
    needs_strace()
    data, before, log = tmp_path / "data", tmp_path / "before", tmp_path / "calls"
    with HouseAtWork(data) as house:
        cage = opened(house).cage
        house.stop()
    shutil.copytree(data, before)
    sent: list[tuple[str, list[str]]] = []
    with HouseAtWork(data, program=[*watched(log), *OURS]) as house:
        pen = Pen(house.address, cage=cage)
        pen.written = 1000
        for _ in range(BATCHES):
            batch = pen.batch(*pen.counts(BATCH))
            status, said = pen.post("/api/push", batch)
            assert status == 200, said
            sent.append((batch["batch"], [entry["id"] for entry in batch["entries"]]))
        house.stop()
    for answered in CUT_AT:
        for chance in (None, random.Random(answered)):
            disk = Disk(before, data).play(log, until=sent[answered - 1][0].encode())
            left = disk.lay_down(tmp_path / f"after-{answered}-{chance is None}", by_chance=chance)
            with closing(sqlite3.connect(left / "book.sqlite3")) as book:
                assert book.execute("PRAGMA integrity_check").fetchone() == ("ok",)
                rows = book.execute("SELECT id FROM journal_entry WHERE kind = 'egg_count'").fetchall()
            held = sorted(str(uuid.UUID(row[0])) for row in rows)
            assert held == sorted(id_ for _, ids in sent[:answered] for id_ in ids)
    stands_as_its_entries_give(left)


WRITES = """
import sqlite3, sys
book = sqlite3.connect(sys.argv[1], isolation_level=None)
book.execute("PRAGMA journal_mode=WAL")
book.execute("CREATE TABLE kept (n)")
book.execute(f"PRAGMA synchronous={sys.argv[2]}")
book.execute("INSERT INTO kept VALUES (1)")
print("it is written", flush=True)
"""


@pytest.mark.parametrize(("synchronous", "kept"), [("FULL", 1), ("NORMAL", 0)])
def test_the_disk_of_these_tests_forgets_what_was_not_synced(tmp_path: Path, synchronous: str, kept: int) -> None:
    """The same for a program that does not ask for a sync at each commit: what it had written is gone."""
    needs_strace()
    data, before, log = tmp_path / "data", tmp_path / "before", tmp_path / "calls"
    for folder in (data, before):
        folder.mkdir()
    command = [*watched(log), sys.executable, "-c", WRITES, str(data / "book.sqlite3"), synchronous]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    left = Disk(before, data).play(log, until=b"it is written").lay_down(tmp_path / "after")
    with closing(sqlite3.connect(left / "book.sqlite3")) as book:
        assert book.execute("SELECT count(*) FROM kept").fetchone() == (kept,)
