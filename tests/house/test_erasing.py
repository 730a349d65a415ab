"""Somebody erased leaves no trace: looked for in the bytes of every file of a served house, and in what it printed."""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import sqlite3
import subprocess
import sys
import urllib.request
from pathlib import Path
from typing import Any

import pytest
import uuid6

from tests.house.pen import a_book
from tests.house_at_work import HouseAtWork, Visitor, environment, until

# Not one word of them may be elsewhere in a book by chance.
NAME, CONTACT, REMARKS, OLDER = (
    "Zwentibold Quarrenmoor",
    "zwq@quarrenmoor.example",
    "brings his own boxes",
    "Zwentibald",
)
WORDS = [word.encode() for word in ("Zwentib", "Quarrenmoor", "zwq@", "brings his own boxes")]

pytestmark = pytest.mark.skipif("DATABASE_URL" in os.environ, reason="looks at the bytes of SQLite's files")


def ask(house: Visitor, method: str, path: str, body: Any = None) -> tuple[int, Any]:
    headers = {"Content-Type": "application/json", "X-CSRFToken": house.csrf}
    data = None if body is None else json.dumps(body).encode()
    return house._ask(urllib.request.Request(house.address + path, data, headers, method=method))


def traces(data: Path) -> dict[str, list[bytes]]:
    """The files of the folder that hold any of the words."""
    files = [path for path in data.rglob("*") if path.is_file()]
    found = {path.name: [word for word in WORDS if word in path.read_bytes()] for path in files}
    return {name: words for name, words in found.items() if words}


def test_the_words_are_gone_from_every_file_and_from_what_the_house_printed(tmp_path: Path) -> None:
    gone, stays = str(uuid6.uuid7()), str(uuid6.uuid7())
    with a_book() as book, HouseAtWork(tmp_path, **book) as house:
        owner = Visitor(house.address)
        owner.begin(house.token)
        for i in range(45):  # pages that are split and filled again
            who = {"name": f"{OLDER} {i}", "contact": CONTACT * 8, "remarks": REMARKS * 20}
            ask(owner, "PUT", f"/api/customers/{gone if i % 3 == 0 else uuid6.uuid7()}", who)
        ask(owner, "PUT", f"/api/customers/{gone}", {"name": NAME, "contact": CONTACT, "remarks": REMARKS})
        ask(owner, "PUT", f"/api/customers/{stays}", {"name": "Hanna Ebb", "contact": "", "remarks": ""})
        assert traces(tmp_path)  # the test would see them
        after = 0
        while rows := owner.get(f"/api/customers?after={after}")[1]["rows"]:
            for row in rows:
                if row["id"] != stays:
                    status, said = ask(owner, "DELETE", f"/api/customers/{row['id']}")
                    assert (status, said) in ((200, {"traces": "gone"}), (200, {"traces": "due"}))
            after = after + 1 if all(row["id"] == stays for row in rows) else 0
        assert [row["name"] for row in owner.get("/api/customers")[1]["rows"]] == ["Hanna Ebb"]
        assert traces(tmp_path) == {}
        assert house.stop() == 0
        assert not any(word.decode() in house.printed for word in WORDS)
    assert traces(tmp_path) == {}
    with contextlib.closing(sqlite3.connect(tmp_path / "book.sqlite3")) as left:
        assert left.execute("SELECT name FROM barn_customer").fetchall() == [("Hanna Ebb",)]
        assert left.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def replay(data: Path) -> str:
    code = "import django; django.setup(); from barnbook.barn.erasing import replay_erasures; print(replay_erasures())"
    done = subprocess.run(
        [sys.executable, "-c", code],
        env=environment(BARNBOOK_DATA=str(data), DJANGO_SETTINGS_MODULE="barnbook.site.settings"),
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.strip()


def test_an_older_copy_put_back_does_not_bring_them_back(tmp_path: Path) -> None:
    data, kept = tmp_path / "data", tmp_path / "kept"
    gone = str(uuid6.uuid7())
    with HouseAtWork(data) as house:
        owner = Visitor(house.address)
        owner.begin(house.token)
        ask(owner, "PUT", f"/api/customers/{gone}", {"name": NAME, "contact": CONTACT, "remarks": REMARKS})
        house.stop()
    shutil.copytree(data, kept)
    with HouseAtWork(data) as house:
        owner = Visitor(house.address)
        owner.post("/api/sign-in", {"name": "Ilse Marten", "password": "reeds-and-grain", "device_name": "laptop"})
        assert ask(owner, "DELETE", f"/api/customers/{gone}")[0] == 200
        house.stop()
    assert traces(data) == {}
    shutil.copy(kept / "book.sqlite3", data / "book.sqlite3")
    assert traces(data)
    assert replay(data) == "1"
    assert traces(data) == {}
    assert replay(data) == "0"


def test_traces_that_a_writer_kept_from_being_removed_are_removed_later(tmp_path: Path) -> None:
    gone = str(uuid6.uuid7())
    with HouseAtWork(tmp_path) as house:
        owner = Visitor(house.address)
        owner.begin(house.token)
        ask(owner, "PUT", f"/api/customers/{gone}", {"name": NAME, "contact": CONTACT, "remarks": REMARKS})
        with contextlib.closing(sqlite3.connect(tmp_path / "book.sqlite3")) as reader:
            reader.execute("BEGIN")
            assert reader.execute("SELECT count(*) FROM barn_customer").fetchone() == (1,)
            status, said = ask(owner, "DELETE", f"/api/customers/{gone}")
            assert (status, said) == (200, {"traces": "due"})
            assert (tmp_path / "erased-traces-due").exists()
        house.stop()
    with HouseAtWork(tmp_path):  # the sweep at the start
        until(lambda: not (tmp_path / "erased-traces-due").exists(), what="the traces to be removed")
        assert traces(tmp_path) == {}
