"""The power fails the moment the house has answered: the disk holds every entry that it had answered for."""

from __future__ import annotations

import random
import shutil
import sqlite3
import sys
import uuid
from contextlib import closing
from pathlib import Path

import pytest

from tests.house.pen import Pen, opened, stands_as_its_entries_give
from tests.house_at_work import OURS, HouseAtWork
from tests.power_cut import Disk, can_watch, watched

pytestmark = [
    pytest.mark.skipif(sys.platform != "linux", reason="strace is Linux's"),
    pytest.mark.skipif("'DATABASE_URL' in __import__('os').environ", reason="the disk is PostgreSQL's to sync"),
]
BATCHES, BATCH = 12, 120  # enough for SQLite to move its log into the book more than once
CUT_AT = (1, 5, 9, BATCHES)


def test_the_power_of_the_house_is_cut(tmp_path: Path) -> None:
    """What is not synced is gone, or there by chance; the book opens, each batch answered for is in it whole and once,
    the house does not take it for an older copy, and the barn is what its entries give."""
    assert can_watch(), "This test needs strace (Debian: the package 'strace'), and a machine that allows it."
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
