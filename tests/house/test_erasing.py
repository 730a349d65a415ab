"""Somebody erased leaves no trace: looked for in the bytes of every file of a served house, and in what it printed.

On PostgreSQL in the files of the book's database too: its tables, and what its planner knows of them.
"""

from __future__ import annotations

import contextlib
import io
import json
import sqlite3
import subprocess
import sys
import urllib.request
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import psycopg
import pytest
import uuid6

from tests.house.older_copy import copy
from tests.house.pen import a_book, opened
from tests.house_at_work import HouseAtWork, Visitor, environment, run, until

# Not one word of them may be elsewhere in a book by chance.
NAME, CONTACT, REMARKS, OLDER = (
    "Zwentibold Quarrenmoor",
    "zwq@quarrenmoor.example",
    "brings his own boxes",
    "Zwentibald",
)
WORDS = [word.encode() for word in ("Zwentib", "Quarrenmoor", "zwq@", "brings his own boxes")]

LINE: dict[str, Any] = {
    "name": "Slate Barrow",
    "other_names": [],
    "egg_low_g": None,
    "egg_high_g": None,
    "weighing_age_days": 56,
    "sexing_from_day": 42,
    "sexing_to_day": 56,
    "plumage": [{"key": "slate", "words": "slate blue", "is_type": True}],
    "candle_on_day": 7,
    "lockdown_on_day": 14,
    "hatch_on_day": 17,
    "cock_cut_g": None,
    "hen_cut_g": None,
    "laying_life_weeks": None,
    "hen_breeding_weeks": None,
    "cock_breeding_weeks": None,
    "storage_limit_days": 7,
    "note": "",
}

Book = dict[str, str]


@pytest.fixture
def book() -> Iterator[Book]:
    with a_book() as book:
        yield book


def ask(house: Visitor, method: str, path: str, body: Any = None) -> tuple[int, Any]:
    headers = {"Content-Type": "application/json", "X-CSRFToken": house.csrf}
    data = None if body is None else json.dumps(body).encode()
    return house._ask(urllib.request.Request(house.address + path, data, headers, method=method))


def asked(data: Path, book: Book, sql: str) -> list[tuple[Any, ...]]:
    """Of the book itself, beside the house."""
    if not book:
        with contextlib.closing(sqlite3.connect(data / "book.sqlite3")) as connection:
            return connection.execute(sql).fetchall()
    with psycopg.connect(book["DATABASE_URL"], autocommit=True) as connection:
        return connection.execute(sql).fetchall()  # type: ignore[arg-type]


def told(book: Book, sql: str) -> None:
    with psycopg.connect(book["DATABASE_URL"], autocommit=True) as connection:
        connection.execute(sql)  # type: ignore[arg-type]


def files_of(data: Path, book: Book) -> list[Path]:
    """All that is on the disk of a book. The server is told to write out what it holds in memory."""
    found = [path for path in data.rglob("*") if path.is_file()]
    if book:
        with psycopg.connect(book["DATABASE_URL"], autocommit=True) as connection:
            connection.execute("CHECKPOINT")  # only the test's own server may be told to
            (row,) = connection.execute(
                "SELECT current_setting('data_directory'), oid FROM pg_database WHERE datname = current_database()"
            ).fetchall()
        folder = Path(row[0]) / "base" / str(row[1])
        assert folder.is_dir(), "the server's files cannot be looked at from here"
        found += [path for path in folder.rglob("*") if path.is_file()]
    return found


def traces(data: Path, book: Book) -> dict[str, list[bytes]]:
    """The files that hold any of the words."""
    found: dict[str, list[bytes]] = {}
    for path in files_of(data, book):
        with contextlib.suppress(FileNotFoundError):  # a back-up is made beside, and its scratch files go meanwhile
            content = path.read_bytes()
            found[path.name] = [word for word in WORDS if word in content]
    return {name: words for name, words in found.items() if words}


def test_the_words_are_gone_from_every_file_and_from_what_the_house_printed(tmp_path: Path, book: Book) -> None:
    gone, stays = str(uuid6.uuid7()), str(uuid6.uuid7())
    with HouseAtWork(tmp_path, **book) as house:
        owner = Visitor(house.address)
        owner.begin(house.token)
        for i in range(45):  # pages that are split and filled again
            who = {"name": f"{OLDER} {i}", "contact": CONTACT * 8, "remarks": REMARKS * 20}
            ask(owner, "PUT", f"/api/customers/{gone if i % 3 == 0 else uuid6.uuid7()}", who)
        ask(owner, "PUT", f"/api/customers/{gone}", {"name": NAME, "contact": CONTACT, "remarks": REMARKS})
        ask(owner, "PUT", f"/api/customers/{stays}", {"name": "Hanna Ebb", "contact": "", "remarks": ""})
        if book:
            told(book, "ANALYZE barn_customer")  # as the server does by itself now and then
        assert traces(tmp_path, book)  # the test would see them
        after = 0
        while rows := owner.get(f"/api/customers?after={after}")[1]["rows"]:
            for row in rows:
                if row["id"] != stays:
                    status, said = ask(owner, "DELETE", f"/api/customers/{row['id']}")
                    assert (status, said) in ((200, {"traces": "gone"}), (200, {"traces": "due"}))
            after = after + 1 if all(row["id"] == stays for row in rows) else 0
        assert [row["name"] for row in owner.get("/api/customers")[1]["rows"]] == ["Hanna Ebb"]
        assert said == {"traces": "gone"}
        assert traces(tmp_path, book) == {}
        assert house.stop() == 0
        assert not any(word.decode() in house.printed for word in WORDS)
    assert traces(tmp_path, book) == {}
    assert asked(tmp_path, book, "SELECT name FROM barn_customer") == [("Hanna Ebb",)]
    if not book:
        assert asked(tmp_path, book, "PRAGMA integrity_check") == [("ok",)]


def replay(data: Path, book: Book) -> str:
    code = "import django; django.setup(); from barnbook.barn.erasing import replay_erasures; print(replay_erasures())"
    done = subprocess.run(
        [sys.executable, "-c", code],
        env=environment(BARNBOOK_DATA=str(data), DJANGO_SETTINGS_MODULE="barnbook.site.settings", **book),
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.strip()


def words_in(content: bytes) -> list[bytes]:
    """Those of the words in it, and in what is packed in it however deep."""
    found = [word for word in WORDS if word in content]
    if content[:2] == b"PK":
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            for name in packed.namelist():
                found += words_in(packed.read(name))
    return found


LEAVES = ("/api/changes?after=0&limit=2000", "/api/book.xlsx", "/api/book-csv.zip", "/api/due.ics", "/api/entries")


def raw(house: Visitor, path: str) -> bytes:
    with house.opener.open(house.address + path, timeout=60) as answer:
        content: bytes = answer.read()
        return content


def test_back_ups_made_after_exports_changes_and_logs_hold_no_trace(tmp_path: Path) -> None:
    """Somebody is sent eggs, and then erased. What leaves the house never had the person in it; the back-up made before
    had, and the one made after has not. On SQLite: what PostgreSQL's own programs pack is packed out of sight."""
    data, gone, shipment = tmp_path / "data", str(uuid6.uuid7()), str(uuid6.uuid7())
    with HouseAtWork(data) as house:
        pen = opened(house)
        ask(pen, "PUT", f"/api/customers/{gone}", {"name": NAME, "contact": CONTACT, "remarks": REMARKS})
        order = {"order": str(uuid6.uuid7()), "code": "26-1", "customer": gone, "line": str(uuid6.uuid7()), "eggs": 24}
        soon = (datetime.now(UTC) + timedelta(days=3)).date().isoformat()
        eggs = [{"order": order["order"], "line": order["line"], "laid_on": None, "eggs": 24}]
        box = {"boxes": None, "box_holds": None, "packing": "", "note": ""}
        said = pen.words(
            {**pen.entry("line", line=order["line"], **LINE), "version": 2},
            pen.entry("order_taken", **order, wanted_by=soon, oldest_days=None, note=""),
            pen.entry("packed", shipment=shipment, code="P-1", customer=gone, eggs=eggs, **box),
        )
        assert set(said) <= {"written", "questioned"}
        assert run("backup", "--to", str(tmp_path / "before"), "--data", str(data)).returncode == 0
        (before,) = (tmp_path / "before").glob("*.zip")
        assert words_in(before.read_bytes())  # the test would see them
        assert {path: words_in(raw(pen, path)) for path in LEAVES} == {path: [] for path in LEAVES}
        assert run("archive", str(tmp_path / "away.zip"), "--data", str(data)).returncode == 0
        assert words_in((tmp_path / "away.zip").read_bytes()) == []  # not asked for: --with-customers

        assert ask(pen, "DELETE", f"/api/customers/{gone}")[0] == 200
        until(lambda: traces(data, {}) == {}, what="the traces to be removed")
        assert run("backup", "--to", str(tmp_path / "after"), "--data", str(data)).returncode == 0
        (after,) = (tmp_path / "after").glob("*.zip")
        assert words_in(after.read_bytes()) == []
        assert {path: words_in(raw(pen, path)) for path in LEAVES} == {path: [] for path in LEAVES}
        (kept,) = pen.rows("shipment")
        assert (kept["id"], kept["eggs"][0]["eggs"]) == (shipment, 24)  # the eggs, not the person
        assert house.stop() == 0
        assert not any(word.decode() in house.printed for word in WORDS)
    assert traces(data, {}) == {}


def test_an_older_copy_put_back_does_not_bring_them_back(tmp_path: Path, book: Book) -> None:
    data = tmp_path / "data"
    gone = str(uuid6.uuid7())
    with HouseAtWork(data, **book) as house:
        owner = Visitor(house.address)
        owner.begin(house.token)
        ask(owner, "PUT", f"/api/customers/{gone}", {"name": NAME, "contact": CONTACT, "remarks": REMARKS})
        house.stop()
    put_back = copy(data, tmp_path / "copy", book)
    with HouseAtWork(data, **book) as house:
        owner = Visitor(house.address)
        owner.post("/api/sign-in", {"name": "Ilse Marten", "password": "reeds-and-grain", "device_name": "laptop"})
        assert ask(owner, "DELETE", f"/api/customers/{gone}")[0] == 200
        house.stop()
    assert traces(data, book) == {}
    put_back()
    assert traces(data, book)
    assert replay(data, book) == "1"
    assert traces(data, book) == {}
    assert replay(data, book) == "0"


def reading(data: Path, book: Book) -> contextlib.closing[Any]:
    """Somebody who is in the middle of reading the customers."""
    other: Any = psycopg.connect(book["DATABASE_URL"]) if book else sqlite3.connect(data / "book.sqlite3")
    if not book:
        other.execute("BEGIN")
    assert other.execute("SELECT count(*) FROM barn_customer").fetchone() == (1,)
    return contextlib.closing(other)


def test_traces_that_a_reader_kept_from_being_removed_are_removed_later(tmp_path: Path, book: Book) -> None:
    gone = str(uuid6.uuid7())
    with HouseAtWork(tmp_path, **book) as house:
        owner = Visitor(house.address)
        owner.begin(house.token)
        ask(owner, "PUT", f"/api/customers/{gone}", {"name": NAME, "contact": CONTACT, "remarks": REMARKS})
        with reading(tmp_path, book):
            status, said = ask(owner, "DELETE", f"/api/customers/{gone}")
            assert (status, said) == (200, {"traces": "due"})
            assert (tmp_path / "erased-traces-due").exists()
        house.stop()
    with HouseAtWork(tmp_path, **book):  # the sweep at the start
        until(lambda: not (tmp_path / "erased-traces-due").exists(), what="the traces to be removed")
        assert traces(tmp_path, book) == {}
