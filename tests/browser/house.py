"""A house in a process of its own, opened by the installed command; and a hand that writes in its book."""

from __future__ import annotations

import contextlib
import json
import os
import re
import signal
import socket
import sqlite3
import ssl
import subprocess
import sys
import time
import urllib.error
import urllib.request
import uuid
from dataclasses import dataclass
from http.cookiejar import CookieJar
from pathlib import Path
from typing import Any

import uuid6

PATIENCE_SECONDS = 60


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def bare_environment() -> dict[str, str]:
    """Without what the tests themselves run under; BARNBOOK_APP may name another build of the app to look at."""
    own = {key for key in os.environ if key.startswith(("BARNBOOK_", "DJANGO_")) or key in ("PORT", "DATABASE_URL")}
    return {key: value for key, value in os.environ.items() if key not in own - {"BARNBOOK_APP"}}


def until(true: Any, *, what: str, seconds: float = PATIENCE_SECONDS) -> Any:
    """Ask again and again until it is true; its last answer."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        answer = true()
        if answer:
            return answer
        time.sleep(0.1)
    raise AssertionError(f"still not so after {seconds:g} s: {what}")


class House:
    """`barnbook serve` on a port of its own. It can be closed, killed and opened again on the same book."""

    def __init__(self, data: Path, *, example: bool = False) -> None:
        self.data = data
        self.port = free_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self.example = example
        self.process: subprocess.Popen[str] | None = None
        self.said = ""
        self.settings: dict[str, str] = {}
        """What its owner has put into the environment, from the next opening on."""

    def open(self) -> None:
        command = [sys.executable, "-m", "barnbook", "serve", "--port", str(self.port), "--data", str(self.data)]
        self.data.parent.mkdir(parents=True, exist_ok=True)
        log = self.data.parent / f"house-{self.port}.log"
        with log.open("w") as out:
            self.process = subprocess.Popen(
                [*command, *(["--example"] if self.example else [])],
                stdout=out,
                stderr=subprocess.STDOUT,
                text=True,
                env={**bare_environment(), "PYTHONUNBUFFERED": "1", **self.settings},
            )

        def opened() -> bool:
            assert self.process is not None
            assert self.process.poll() is None, log.read_text()
            self.said = log.read_text()
            return "Open " in self.said and self.answers()

        # The example farm is made in at most 30 s on a machine of its own; other tests run beside this one.
        until(opened, what="the house is open", seconds=180 if self.example else PATIENCE_SECONDS)

    def answers(self) -> bool:
        try:
            with urllib.request.urlopen(f"{self.url}/api/house", timeout=2):
                return True
        except OSError:
            return False

    def close(self) -> None:
        """Ask it to stop, as Ctrl-C does."""
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(signal.SIGCONT)
            self.process.send_signal(signal.SIGINT)
            self.process.wait(timeout=20)

    def kill(self) -> None:
        """End it as a power cut would."""
        assert self.process is not None
        self.process.kill()
        self.process.wait(timeout=20)

    def stall(self) -> None:
        """Connections are taken and never answered, as on the edge of a network."""
        assert self.process is not None
        self.process.send_signal(signal.SIGSTOP)

    def go_on(self) -> None:
        """After a stall."""
        assert self.process is not None
        self.process.send_signal(signal.SIGCONT)

    def join(self, *, name: str, password: str, role: str = "helper") -> None:
        """Somebody more who works at the (one) farm of this house, as if the owner had asked them in."""
        self.run(
            "from barnbook.barn.models import Farm, Person; "
            f"Person.objects.join(Farm.objects.get().id, name={name!r}, role={role!r}, password={password!r})"
        )

    def until_reckoned(self, *, seconds: float = PATIENCE_SECONDS) -> None:
        """Wait until nothing of the book is left to be reckoned."""
        with contextlib.closing(sqlite3.connect(f"file:{self.data / 'book.sqlite3'}?mode=ro", uri=True)) as book:
            left = "select count(*) from barn_toreckon"
            until(lambda: book.execute(left).fetchone()[0] == 0, what="the house has reckoned all", seconds=seconds)

    def run(self, code: str) -> None:
        """What only the house itself can do, in its own shell."""
        command = [sys.executable, "-m", "barnbook", "shell", "--data", str(self.data), "-c", code]
        subprocess.run(command, check=True, capture_output=True, env=bare_environment())

    @property
    def begin_path(self) -> str:
        return re.search(r"/begin/[\w-]+", self.said).group(0)  # type: ignore[union-attr]

    @property
    def example_owner(self) -> tuple[str, str]:
        found = re.search(r"sign in as (.+), password (\S+)", self.said)
        assert found is not None, self.said
        return found.group(1), found.group(2)


@dataclass
class HouseByHttps:
    """As far as a hand or a phone needs one: its address, its one-time link, and who trusts its certificate."""

    url: str
    begin_path: str
    trust: ssl.SSLContext


class Hand:
    """Writes over the wire without a browser: sets a barn up quickly, and reads what the house has."""

    def __init__(self, house: House | HouseByHttps) -> None:
        self.house = house
        cookies = urllib.request.HTTPCookieProcessor(CookieJar())
        trust = urllib.request.HTTPSHandler(context=house.trust if isinstance(house, HouseByHttps) else None)
        self.opener = urllib.request.build_opener(cookies, trust)
        self.opener.addheaders.append(("Origin", house.url))
        self.csrf = ""
        self.me: dict[str, Any] = {}
        self.device_seq = 0

    def ask(self, path: str, body: Any = None) -> Any:
        data = None if body is None else json.dumps(body).encode()
        headers = {"Content-Type": "application/json", "X-CSRFToken": self.csrf}
        request = urllib.request.Request(f"{self.house.url}{path}", data=data, headers=headers)
        try:
            with self.opener.open(request, timeout=60) as answer:
                return json.load(answer)
        except urllib.error.HTTPError as error:
            raise AssertionError(f"{path}: {error.code} {error.read().decode()[:500]}") from None

    def begin(self, *, name: str = "Edda Quarrie", password: str = "hens-in-the-rye") -> None:
        self.csrf = self.ask("/api/house")["csrf"]
        token = self.house.begin_path.rsplit("/", 1)[1]
        asked = {
            "token": token,
            "choice": "empty",
            "farm_name": "Three Alders",
            "zone": "UTC",
            "name": name,
            "password": password,
            "device_name": "desk",
        }
        self._in(self.ask("/api/begin", asked))

    def sign_in(self, name: str, password: str) -> None:
        self.csrf = self.ask("/api/house")["csrf"]
        self._in(self.ask("/api/sign-in", {"name": name, "password": password, "device_name": "desk"}))

    def _in(self, said: Any) -> None:
        self.csrf, self.me = said["csrf"], said["me"]

    def entry(self, kind: str, day: str, **body: Any) -> dict[str, Any]:
        self.device_seq += 1
        return {
            "id": str(uuid6.uuid7()),
            "author": self.me["person"],
            "device_seq": self.device_seq,
            "kind": kind,
            "version": 1,
            "day": day,
            "stamp": int(time.time() * 1000) + self.device_seq,
            "zone": "UTC",
            "body": body,
        }

    def push(self, entries: list[dict[str, Any]]) -> list[str]:
        """Push in batches; every verdict must be a good one. Returns the verdict words."""
        words: list[str] = []
        for start in range(0, len(entries), 500):
            batch = {
                "protocol": 1,
                "batch": str(uuid.uuid4()),
                "book": None,
                "app": "hand",
                "device_time": int(time.time() * 1000),
                "waiting": 0,
                "entries": entries[start : start + 500],
            }
            said = self.ask("/api/push", batch)["verdicts"]
            assert all(v["verdict"] in ("written", "already", "questioned") for v in said), said
            words += [v["verdict"] for v in said]
        return words

    def rows(self, table: str, **query: Any) -> list[dict[str, Any]]:
        """All rows of a read-only resource."""
        found: list[dict[str, Any]] = []
        after: int | None = 0
        while after is not None:
            asked = "&".join(f"{key}={value}" for key, value in {**query, "after": after}.items())
            said = self.ask(f"/api/{table}?{asked}")
            found += said["rows"]
            after = said["next"]
        return found
