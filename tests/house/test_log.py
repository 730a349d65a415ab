"""The house's log is kept in its folder, never fills the disk, and gives nobody away."""

from __future__ import annotations

import json
import logging
import re
import sqlite3
import urllib.error
import urllib.request
import uuid
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest

from barnbook.site.log_line import LogLine
from tests.browser.house import free_port
from tests.house.pen import Pen
from tests.house_at_work import HouseAtWork, Visitor, run


def test_it_turns_over(tmp_path: Path) -> None:
    said = "import logging; [logging.getLogger('barnbook').warning('%s %s', n, 'x' * 999) for n in range(6000)]"
    assert run("shell", "-c", said, "--data", str(tmp_path)).returncode == 0
    logs = sorted(tmp_path.glob("house.log*"))
    assert [log.name for log in logs] == ["house.log", *(f"house.log.{n}" for n in range(1, 5))]
    assert all(log.stat().st_size <= 1_000_000 for log in logs)
    assert "5999 xxx" in logs[0].read_text().splitlines()[-1], "the newest is kept, the oldest is let go of"


def asked(address: str, body: bytes | None = None) -> int:
    """What it answers to whoever has no account."""
    try:
        with urllib.request.urlopen(address, body) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as error:
        return error.code


def test_it_knows_no_more_of_people_than_their_names(tmp_path: Path) -> None:
    """Everything personal or secret goes through the house, at first well and then with a book that fails under it."""
    port, customer, shipment = free_port(), str(uuid.uuid4()), str(uuid.uuid4())
    at = f"http://127.0.0.1:{port}"
    secrets = {
        "contact": "orla@fenwick.example, 0664 7654321",
        "remark": "pays late, lives behind the mill",
        "report": "half of them were broken, my doctor says hello",
        "password": "reeds-and-grain",
        "a wrong password": "sedge-and-mallow",
        "a new password": "oats-before-noon",
    }
    with HouseAtWork(tmp_path, "--port", str(port), BARNBOOK_PUBLIC_ADDRESS=at) as house:
        secrets["begin"] = house.token
        owner = Pen(at, token=house.token)
        line = {"line": str(uuid.uuid4()), "name": "Slate Barrow", "other_names": [], "egg_low_g": 15.0}
        line |= {"egg_high_g": 16.0, "weighing_age_days": 56, "sexing_from_day": 42, "sexing_to_day": 56, "note": ""}
        eggs = [{"order": None, "line": line["line"], "laid_on": None, "eggs": 12}]
        packed: dict[str, Any] = {"shipment": shipment, "code": "P-1", "customer": customer, "eggs": eggs}
        packed |= {"packing": "", "note": "", "boxes": None, "box_holds": None}
        assert owner._ask(put(owner, f"/api/customers/{customer}", secrets))[0] in (200, 201)
        # Eggs that nobody counted: asked about.
        assert owner.words(owner.entry("line", **line), owner.entry("packed", **packed)) == ["written", "questioned"]

        assert (
            Visitor(at).post("/api/sign-in", {"name": "Ilse Marten", "password": secrets["a wrong password"]})[0] == 401
        )
        wren = owner.post("/api/people", {"name": "Wren Aldous", "role": "helper"})[1]
        secrets["code"] = owner.post(f"/api/people/{wren['id']}/code", {})[1]["code"]
        assert asked(f"{at}/api/join?code={secrets['code']}") == 200
        come = {"code": secrets["code"], "password": secrets["a new password"], "device_name": "a blue phone"}
        assert Visitor(at).post("/api/join", come)[0] == 201
        again = owner.post(f"/api/people/{wren['id']}/code", {})[1]["code"]
        secrets["another code"] = again

        for name, path in (
            ("calendar", "/api/calendar-link"),
            ("sheet", f"/api/lines/{line['line']}/sheet-link"),
            ("link", f"/api/shipments/{shipment}/link"),
        ):
            status, said = owner.post(path, {})
            assert status == 201, said
            secrets[name] = said["url"].rsplit("/", 1)[1].removesuffix(".ics")
        report = f"remark={quote(secrets['report'])}".encode()
        open_to_strangers = {
            f"{at}/calendar/{secrets['calendar']}.ics": None,
            f"{at}/sheet/{secrets['sheet']}": None,
            f"{at}/report/{secrets['link']}": report,
            f"{at}/api/join?code={again}": None,
        }
        for address, body in open_to_strangers.items():
            assert asked(address, body) < 500, address

        with sqlite3.connect(tmp_path / "book.sqlite3", timeout=20) as book:
            for table in ("barn_calendarlink", "barn_sheetlink", "barn_reportlink", "barn_customer", "house_joincode"):
                book.execute(f"ALTER TABLE {table} RENAME TO gone_{table}")
        for address, body in open_to_strangers.items():
            assert asked(address, body) >= 500, address
        assert owner._ask(put(owner, f"/api/customers/{customer}", secrets))[0] >= 500
        assert Visitor(at).post("/api/join", come | {"code": again})[0] >= 500
        assert house.stop() == 0
        said_on_screen = house.printed.replace(house.token, "", 1)  # printed once, for its owner
    log = "".join(path.read_text(encoding="utf-8") for path in tmp_path.glob("house.log*"))
    assert log.count("no such table") >= 5, "it does say what failed"
    for text in (log, said_on_screen):
        for what, secret in secrets.items():
            for part in re.split(r"[, ]{2,}|, ", secret):
                assert part not in text, what
            assert quote(secret) not in text, what
        assert "cookie" not in text.lower()


def put(owner: Visitor, path: str, secrets: dict[str, str]) -> urllib.request.Request:
    """A customer, as the owner writes them down."""
    typed = {"name": "Orla Fenwick", "contact": secrets["contact"], "remarks": secrets["remark"]}
    headers = {"Content-Type": "application/json", "X-CSRFToken": owner.csrf}
    return urllib.request.Request(owner.address + path, json.dumps(typed).encode(), headers, method="PUT")


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("Service Unavailable: /calendar/aB3_x-9.ics", "Service Unavailable: /calendar/(hidden)"),
        ("GET https://x.example/sheet/tok-en/sheet.json", "GET https://x.example/sheet/(hidden)/sheet.json"),
        ("Internal Server Error: /report/tok", "Internal Server Error: /report/(hidden)"),
        ("/begin/abc and /join/abcde-fghij", "/begin/(hidden) and /join/(hidden)"),
        ("/api/join?code=abcde-fghij&x=1", "/api/join?code=(hidden)&x=1"),
        ("/api/cages?after=7", "/api/cages?after=7"),
    ],
)
def test_no_address_that_opens_something_stands_in_it(said: str, shown: str) -> None:
    assert LogLine("{message}", style="{").format(logging.LogRecord("x", 40, "", 0, "%s", (said,), None)) == shown
