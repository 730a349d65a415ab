"""An older book is brought up to date at the first start, and never without a back-up."""

from __future__ import annotations

import sqlite3
import zipfile
from pathlib import Path

from tests.house.pen import Pen, opened
from tests.house_at_work import HouseAtWork, run


def last_migration(data: Path, *, rename: str) -> None:
    """Make the book look as if another Barnbook had written it."""
    with sqlite3.connect(data / "book.sqlite3") as book:
        book.execute("UPDATE django_migrations SET name = ? WHERE app = 'house' AND name = '0001_initial'", [rename])


def test_of_an_older_and_of_a_newer_barnbook(tmp_path: Path) -> None:
    data = tmp_path / "data"
    with HouseAtWork(data) as house:
        pen = opened(house)
        sent = pen.counts(3)
        assert pen.words(*sent) == ["written"] * 3
        house.stop()
    assert not list((data / "backups").glob("*-upgrade.zip")), "a new book needs none"

    # As before the house had a table for its link: that table is made by the upgrade.
    with sqlite3.connect(data / "book.sqlite3") as book:
        book.execute("DROP TABLE house_beginlink")
        book.execute("DROP TABLE house_joincode")
        book.execute("DELETE FROM django_migrations WHERE app = 'house'")
    with HouseAtWork(data) as house:
        assert Pen(house.address, cage=pen.cage).words(*sent) == ["already"] * 3
        house.stop()
        (made,) = (data / "backups").glob("*-upgrade.zip")
        assert f"The book was brought up to date. As it was before, it is kept in {made}." in house.printed
    with zipfile.ZipFile(made) as file:
        file.extract("book.sqlite3", tmp_path)
    with sqlite3.connect(tmp_path / "book.sqlite3") as before:
        assert not before.execute("SELECT 1 FROM sqlite_master WHERE name = 'house_beginlink'").fetchall()

    last_migration(data, rename="9999_of_next_year")
    refused = run("serve", "--port", "0", "--data", str(data))
    assert refused.returncode == 1
    assert refused.stderr == (
        "This book was written by a newer Barnbook (house.9999_of_next_year): install that one again, or put an older "
        "back-up back with `barnbook restore`.\n"
    )
    last_migration(data, rename="0001_initial")

    # Where no back-up can be made, the book is left alone.
    with sqlite3.connect(data / "book.sqlite3") as book:
        book.execute("DROP TABLE house_beginlink")
        book.execute("DROP TABLE house_joincode")
        book.execute("DELETE FROM django_migrations WHERE app = 'house'")
    (tmp_path / "file").write_text("")
    refused = run("serve", "--port", "0", "--data", str(data), BARNBOOK_BACKUPS=str(tmp_path / "file"))
    assert refused.returncode == 1
    assert refused.stderr.startswith("The book is of an older Barnbook and was not touched. No back-up could be made")
