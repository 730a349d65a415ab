"""The restore drill: the book is put back as it was before this morning, and the phone brings the morning again."""

from __future__ import annotations

import contextlib
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import expect

from tests.browser.a_barn import OWNER, set_up, today
from tests.browser.house import House, bare_environment, until
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, count, waiting


def barnbook(*arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, "-m", "barnbook", *arguments],
        env=bare_environment(),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_what_was_written_since_the_back_up_comes_back_from_the_phone(
    house: House, phone: Callable[..., Phone], tmp_path: Path
) -> None:
    barn = set_up(house, cages=4, mornings=2)
    keeper = phone(house)
    keeper.sign_in(*OWNER)
    all_in_the_book(keeper.page)
    stick = tmp_path / "stick"
    barnbook("backup", "--to", str(stick), "--data", str(house.data))

    # Two counts since the back-up reach the house; a third is tapped while it is closed.
    page = keeper.go("/round")
    count(page, "A1", 4)
    count(page, "A2", 5)
    until(lambda: len(barn.counted()) == 2, what="both counts are in the book")
    house.close()
    count(page, "A3", 3)
    waiting(page, 1)

    (back_up,) = stick.glob("*.zip")
    assert "every phone then sends again" in barnbook("restore", str(back_up), "--data", str(house.data))
    # Asked of the file, with the house still closed: once it answers, the phone may be quicker than this test.
    with contextlib.closing(sqlite3.connect(house.data / "book.sqlite3")) as book:
        counted = book.execute(
            "select count(*) from journal_entry where kind = 'egg_count' and day = ?", [today().isoformat()]
        )
        assert counted.fetchone() == (0,), "the back-up is from before"
    house.open()
    page.goto(house.url)
    all_in_the_book(page)
    until(
        lambda: barn.counted() == {"A1": 4, "A2": 5, "A3": 3},
        what="the phone has sent this morning's counts again",
    )
    entries = [entry["id"] for entry in barn.hand.rows("entries")]
    assert len(entries) == len(set(entries))
    page.goto(f"{house.url}/outbox")
    expect(page.get_by_role("article")).to_have_count(0)
    assert keeper.faults == []
