"""A house served by a process of its own, as its owner starts it; and a visitor with a browser's cookies."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Sequence
from http.cookiejar import CookieJar
from pathlib import Path
from typing import Any

PATIENCE_SECONDS = 60
OURS = (sys.executable, "-m", "barnbook")
FROM_THE_TESTS = ("BARNBOOK_", "DJANGO_", "DATABASE_URL", "PORT")


def environment(**changes: str) -> dict[str, str]:
    """As a shell would have it: without what the tests themselves are run under."""
    bare = {name: value for name, value in os.environ.items() if not name.startswith(FROM_THE_TESTS)}
    return bare | changes


def run(*arguments: str, **changes: str) -> subprocess.CompletedProcess[str]:
    """`barnbook` with these arguments, to its end."""
    return subprocess.run(
        [sys.executable, "-m", "barnbook", *arguments],
        env=environment(**changes),
        capture_output=True,
        text=True,
        timeout=PATIENCE_SECONDS,
        check=False,
    )


def until(true: Callable[[], Any], *, what: str, seconds: float = PATIENCE_SECONDS) -> Any:
    """What `true` gives, once it gives something."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if found := true():
            return found
        time.sleep(0.1)
    raise AssertionError(f"Waited {seconds:g} s in vain for {what}.")


class HouseAtWork:
    """`barnbook serve` on a free port. printed: what it has said so far."""

    def __init__(
        self, data: Path, *arguments: str, program: Sequence[str] = OURS, cwd: Path | None = None, **changes: str
    ) -> None:
        self.data = data
        command = [*program, "serve", "--port", "0", "--data", str(data), *arguments]
        self.process = subprocess.Popen(
            command, env=environment(**changes), stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, cwd=cwd
        )
        self._lines: list[str] = []
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        self._lines.extend(iter(self.process.stdout.readline, ""))

    def __enter__(self) -> HouseAtWork:
        until(lambda: "Stop" in self.printed or self.process.poll() is not None, what="the house to open")
        assert self.process.poll() is None, self.printed
        return self

    def __exit__(self, *_: object) -> None:
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()

    @property
    def printed(self) -> str:
        return "".join(self._lines)

    @property
    def address(self) -> str:
        return self._found(r"Open +(\S+)")

    @property
    def token(self) -> str:
        return self._found(r"/begin/(\S+)")

    def _found(self, pattern: str) -> str:
        found = re.search(pattern, self.printed)
        assert found is not None, self.printed
        return found[1]

    def stop(self, with_signal: int = signal.SIGTERM) -> int:
        """Its exit code."""
        self.process.send_signal(with_signal)
        return self.process.wait(PATIENCE_SECONDS)


class Visitor:
    """Somebody's browser at that address."""

    def __init__(self, address: str) -> None:
        self.address = address
        self.opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
        self.csrf = self.get("/api/house")[1]["csrf"]

    def get(self, path: str) -> tuple[int, Any]:
        return self._ask(urllib.request.Request(self.address + path))

    def post(self, path: str, body: Any) -> tuple[int, Any]:
        headers = {"Content-Type": "application/json", "X-CSRFToken": self.csrf}
        status, said = self._ask(urllib.request.Request(self.address + path, json.dumps(body).encode(), headers))
        if isinstance(said, dict):
            self.csrf = said.get("csrf", self.csrf)
        return status, said

    def _ask(self, request: urllib.request.Request) -> tuple[int, Any]:
        try:
            with self.opener.open(request, timeout=PATIENCE_SECONDS) as answer:
                return answer.status, json.load(answer)
        except urllib.error.HTTPError as error:
            return error.code, json.load(error)

    def begin(self, token: str) -> dict[str, Any]:
        """Begin an empty book, and be its owner."""
        asked = {
            "token": token,
            "choice": "empty",
            "farm_name": "Low Reed",
            "zone": "Europe/Vienna",
            "name": "Ilse Marten",
            "password": "reeds-and-grain",
            "device_name": "laptop",
        }
        status, said = self.post("/api/begin", asked)
        assert status == 201, said
        return dict(said["me"])

    def rows(self, table: str) -> list[dict[str, Any]]:
        """The rows of one table that stand, pulled from the first change on."""
        found: dict[str, dict[str, Any] | None] = {}
        after, more = 0, True
        while more:
            status, said = self.get(f"/api/changes?limit=2000&after={after}")
            assert status == 200, said
            found |= {each["id"]: each["row"] for each in said["rows"] if each["table"] == table}
            after, more = said["next"], said["more"]
        return [row for row in found.values() if row is not None]
