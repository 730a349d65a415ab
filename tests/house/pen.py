"""A phone without a browser, for the faults of a house: it begins a book, counts a cage, and pushes by hand."""

from __future__ import annotations

import json
import os
import socket
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit, urlunsplit

import uuid6

from tests.house_at_work import HouseAtWork, Visitor, run

NAME, PASSWORD = "Ilse Marten", "reeds-and-grain"


@contextmanager
def a_book() -> Iterator[dict[str, str]]:
    """What to put in a house's environment for an empty book: a file of its own; or, where the tests run on
    PostgreSQL, a fresh database beside the one that DATABASE_URL names."""
    address = os.environ.get("DATABASE_URL")
    if not address:
        yield {}
        return
    import psycopg

    name = f"book_{uuid.uuid4().hex}"
    with psycopg.connect(address, autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}"')
        try:
            yield {"DATABASE_URL": urlunsplit(urlsplit(address)._replace(path=f"/{name}"))}
        finally:
            connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


class Pen(Visitor):
    """Its owner signed in, and one cage, written unless it is given."""

    def __init__(self, address: str, *, token: str | None = None, cage: str | None = None) -> None:
        super().__init__(address)
        self.written = 0
        if token is not None:
            self.me = self.begin(token)
        else:
            status, said = self.post("/api/sign-in", {"name": NAME, "password": PASSWORD, "device_name": "phone"})
            assert status == 200, said
            self.me = said["me"]
        self.cage = cage or str(uuid6.uuid7())
        if cage is None:
            body = {"cage": self.cage, "code": "A1", "row": "A", "place": 1, "line": None, "closed": False}
            assert self.words(self.entry("cage", **body)) == ["written"]

    def entry(self, kind: str, *, days_ago: int = 0, **body: Any) -> dict[str, Any]:
        self.written += 1
        now = datetime.now(UTC)
        return {
            "id": str(uuid6.uuid7()),
            "author": self.me["person"],
            "device_seq": self.written,
            "kind": kind,
            "version": 1,
            "day": (now.date() - timedelta(days=days_ago)).isoformat(),
            "stamp": int(now.timestamp() * 1000) + self.written,
            "zone": "Europe/Vienna",
            "body": body,
        }

    def counts(self, n: int) -> list[dict[str, Any]]:
        """So many counts of the cage, each of a round of its own: none of them is asked about."""
        sound = {"cracked": 0, "soiled": 0, "thin_shelled": 0}
        rounds = [f"round {self.written + i}" for i in range(n)]
        return [self.entry("egg_count", days_ago=1, cage=self.cage, round=name, eggs=1, **sound) for name in rounds]

    def batch(self, *entries: Any, **changes: Any) -> dict[str, Any]:
        now_ms = int(time.time() * 1000)
        return {"protocol": 1, "batch": str(uuid6.uuid7()), "device_time": now_ms, "entries": list(entries), **changes}

    def push(self, *entries: Any, **changes: Any) -> tuple[int, Any]:
        return self.post("/api/push", self.batch(*entries, **changes))

    def words(self, *entries: Any) -> list[str]:
        status, said = self.push(*entries)
        assert status == 200, said
        return [verdict["verdict"] for verdict in said["verdicts"]]

    def journal(self) -> dict[str, dict[str, Any]]:
        """The entries that the house shows, by id."""
        return {row["id"]: row for row in self.rows("entry")}

    def house(self) -> dict[str, Any]:
        return dict(self.get("/api/house")[1])

    def request(self, *entries: Any) -> bytes:
        """A push as bytes, to be sent over a socket and cut wherever one likes."""
        body = json.dumps(self.batch(*entries)).encode()
        cookies = "; ".join(
            f"{cookie.name}={cookie.value}"
            for handler in self.opener.handlers
            for cookie in getattr(handler, "cookiejar", ())
        )
        head = (
            f"POST /api/push HTTP/1.1\r\nHost: {urlsplit(self.address).netloc}\r\nContent-Type: application/json\r\n"
            f"X-CSRFToken: {self.csrf}\r\nCookie: {cookies}\r\nContent-Length: {len(body)}\r\n\r\n"
        )
        return head.encode() + body

    def connect(self) -> socket.socket:
        where = urlsplit(self.address)
        return socket.create_connection((where.hostname, where.port), timeout=30)


def stands_as_its_entries_give(data: Path, **changes: str) -> str:
    """`barnbook rebuild --check` on a folder; what it said. Fails when the barn is not what the journal gives."""
    checked = run("rebuild", "--check", "--data", str(data), **changes)
    assert checked.returncode == 0, checked.stdout + checked.stderr
    return checked.stdout


def opened(house: HouseAtWork) -> Pen:
    """The first owner of that house's empty book, with one cage."""
    return Pen(house.address, token=house.token)
