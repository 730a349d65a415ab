"""The least that carries entries from a browser into a database: an IndexedDB store, batches of 500 by fetch, and a
house that is one table of SQLite, each batch in one transaction on the disk. It checks nothing and computes nothing."""

from __future__ import annotations

import json
import sqlite3
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from types import TracebackType
from typing import Any

PAGE = b"<!doctype html><title>bare</title>"

BARE_PUSH = """async (entries) => {
    const whole = (tx) => new Promise((yes, no) => { tx.oncomplete = yes; tx.onabort = () => no(tx.error); });
    const answer = (asked) => new Promise((yes, no) => {
        asked.onsuccess = () => yes(asked.result);
        asked.onerror = () => no(asked.error);
    });
    const opening = indexedDB.open('bare');
    opening.onupgradeneeded = () => {
        const store = opening.result.createObjectStore('outbox', { keyPath: 'place', autoIncrement: true });
        store.createIndex('open', 'open');
    };
    const db = await answer(opening);
    const filling = db.transaction('outbox', 'readwrite');
    for (const [kind, day, body] of entries) {
        const entry = { id: crypto.randomUUID(), kind, version: 1, day, stamp: Date.now(), zone: 'UTC', body };
        filling.objectStore('outbox').add({ entry, open: 'waiting' });
    }
    await whole(filling);
    const began = performance.now();
    for (;;) {
        const waiting = db.transaction('outbox').objectStore('outbox').index('open').getAll('waiting', 500);
        const batch = await answer(waiting);
        if (batch.length === 0) return performance.now() - began;
        const body = JSON.stringify(batch.map(({ entry }) => entry));
        const taken = new Set(await (await fetch('/push', { method: 'POST', body })).json());
        const tx = db.transaction('outbox', 'readwrite', { durability: 'relaxed' });
        for (const { open, ...kept } of batch)
            if (taken.has(kept.entry.id)) tx.objectStore('outbox').put({ ...kept, sent: Date.now() });
        await whole(tx);
    }
}"""


class BareHouse:
    """Serves while it is entered."""

    def __init__(self, path: Path) -> None:
        self.path = path
        with sqlite3.connect(path) as database:
            database.execute("PRAGMA journal_mode = WAL")
            database.execute("CREATE TABLE entry (id TEXT PRIMARY KEY, kind TEXT, day TEXT, stamp INTEGER, body TEXT)")
        self.server = ThreadingHTTPServer(("127.0.0.1", 0), self._handler())
        self.url = f"http://127.0.0.1:{self.server.server_port}/"

    def __enter__(self) -> BareHouse:
        threading.Thread(target=self.server.serve_forever, daemon=True).start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.server.shutdown()
        self.server.server_close()

    def held(self) -> int:
        with sqlite3.connect(self.path) as database:
            return int(database.execute("SELECT count(*) FROM entry").fetchone()[0])

    def take(self, entries: list[dict[str, Any]]) -> list[str]:
        rows = [(each["id"], each["kind"], each["day"], each["stamp"], json.dumps(each["body"])) for each in entries]
        database = sqlite3.connect(self.path, timeout=20)
        try:
            database.execute("PRAGMA synchronous = FULL")
            with database:
                database.executemany("INSERT OR IGNORE INTO entry VALUES (?, ?, ?, ?, ?)", rows)
        finally:
            database.close()
        return [each["id"] for each in entries]

    def _handler(self) -> type[BaseHTTPRequestHandler]:
        bare = self

        class Handler(BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.1"

            def do_GET(self) -> None:
                self._say(PAGE, "text/html")

            def do_POST(self) -> None:
                entries = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
                self._say(json.dumps(bare.take(entries)).encode(), "application/json")

            def _say(self, body: bytes, kind: str) -> None:
                self.send_response(200)
                self.send_header("Content-Type", kind)
                self.send_header("Content-Length", str(len(body)))
                self.end_headers()
                self.wfile.write(body)

            def log_message(self, *said: object) -> None:
                pass

        return Handler
