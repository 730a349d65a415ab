"""A line between phone and house that fails as told: it cuts, loses answers, and says what a house never said."""

from __future__ import annotations

import http.client
import http.server
import json
import math
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from tests.browser.house import House, free_port

# What is done to an answer of the house: its JSON before it goes on to the phone.
Change = Callable[[dict[str, Any]], None]
Fault = str | tuple[int, str] | tuple[int, str, int]


@dataclass
class Line:
    """faults: for the next requests whose path begins so, in order: `cut` (the house never hears it), `lost` (the house
    does it, the phone never hears), or a problem that answers in the house's place, with its Retry-After (s) if it has
    one.  most_entries: of a batch; what has more is refused by something on the way, which is not the house (413).
    changed: done to every answer.  heard: when each request came, by the clock of time.monotonic, and its path.
    """

    house: House
    port: int = field(default_factory=free_port)
    faults: list[tuple[str, Fault]] = field(default_factory=list)
    most_entries: int | None = None
    changed: dict[str, Change] = field(default_factory=dict)
    asked: list[tuple[str, Any]] = field(default_factory=list)
    heard: list[tuple[float, str]] = field(default_factory=list)

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def pushed(self) -> list[str]:
        """The ids of all entries that the house was sent, as often as they were sent."""
        return [entry["id"] for path, body in self.asked if path == "/api/push" for entry in body["entries"]]

    def fault_for(self, path: str) -> Fault | None:
        for at, (prefix, fault) in enumerate(self.faults):
            if path.startswith(prefix):
                del self.faults[at]
                return fault
        return None


@contextmanager
def line_to(house: House) -> Iterator[Line]:
    line = Line(house)

    class Carries(http.server.BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_GET(self) -> None:
            body = self.rfile.read(int(self.headers.get("Content-Length", 0)))
            line.heard.append((time.monotonic(), self.path))
            fault = line.fault_for(self.path)
            if self.path == "/api/push" and len(json.loads(body)["entries"]) > (line.most_entries or math.inf):
                self._answer(413, [("Content-Type", "text/html")], b"<h1>Request Entity Too Large</h1>")
                return
            if fault == "cut":
                self.close_connection = True
                return
            if isinstance(fault, tuple):
                status, code, *later = fault
                said = {
                    "type": "about:blank",
                    "title": code,
                    "status": status,
                    "code": code,
                    "detail": f"It is {code}.",
                }
                when = [("Retry-After", str(seconds)) for seconds in later]
                self._answer(status, [("Content-Type", "application/problem+json"), *when], json.dumps(said).encode())
                return
            try:
                status, headers, content = self._ask_the_house(body)
            except OSError:
                self.close_connection = True
                return
            if self.path.startswith("/api/"):
                line.asked.append((self.path, json.loads(body) if body else None))
            if fault == "lost":
                self.close_connection = True
                return
            for prefix, change in line.changed.items():
                if self.path.startswith(prefix) and status == 200:
                    said = json.loads(content)
                    change(said)
                    content = json.dumps(said).encode()
            self._answer(status, headers, content)

        do_POST = do_HEAD = do_GET  # noqa: N815 (the names that http.server looks for)

        def _ask_the_house(self, body: bytes) -> tuple[int, list[tuple[str, str]], bytes]:
            ask = http.client.HTTPConnection("127.0.0.1", line.house.port, timeout=60)
            headers = {name: value for name, value in self.headers.items() if name != "Accept-Encoding"}
            ask.request(self.command, self.path, body=body or None, headers=headers)
            answer = ask.getresponse()
            content = answer.read()
            ask.close()
            return answer.status, answer.getheaders(), content

        def _answer(self, status: int, headers: list[tuple[str, str]], content: bytes) -> None:
            self.send_response(status)
            for name, value in headers:
                if name.lower() not in ("content-length", "transfer-encoding", "connection", "server", "date"):
                    self.send_header(name, value)
            self.send_header("Content-Length", str(len(content)))
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, *_: object) -> None:
            pass

    http.server.ThreadingHTTPServer.allow_reuse_address = True
    with http.server.ThreadingHTTPServer(("127.0.0.1", line.port), Carries) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield line
        server.shutdown()
