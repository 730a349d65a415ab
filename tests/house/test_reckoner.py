"""The reckoner beside a real house: what a push gives, what a kill costs, and what the house never carries."""

from __future__ import annotations

import os
import signal
import sys
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import uuid6

from barnbook.work.standing_by import QUIET_SECONDS
from tests.house_at_work import HouseAtWork, Visitor, until

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="looks at processes through /proc")

EGGS = [4, 5, 4, 4, 3, 5, 4, 4, 5, 4]  # of the ten mornings up to today


class Phone(Visitor):
    """A visitor who began the book, and writes entries."""

    def __init__(self, house: HouseAtWork) -> None:
        super().__init__(house.address)
        self.me = self.begin(house.token)
        self.written = 0

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
            "stamp": int(now.timestamp() * 1000),
            "zone": "Europe/Vienna",
            "body": body,
        }

    def push(self, *entries: dict[str, Any]) -> None:
        now_ms = int(datetime.now(UTC).timestamp() * 1000)
        batch = {"protocol": 1, "batch": str(uuid6.uuid7()), "device_time": now_ms, "entries": list(entries)}
        status, said = self.post("/api/push", batch)
        assert status == 200, said
        assert {verdict["verdict"] for verdict in said["verdicts"]} == {"written"}, said

    def laying_cage(self, code: str) -> list[dict[str, Any]]:
        """Five hens for ten days, counted each morning."""
        cage = str(uuid6.uuid7())
        rounds = {"round": "morning", "cracked": 0, "soiled": 0, "thin_shelled": 0}
        return [
            self.entry("cage", cage=cage, code=code, row="A", place=1, line=None, closed=False),
            self.entry("birds_placed", days_ago=11, cage=cage, brood=None, from_cage=None, hens=5, cocks=1, unsexed=0),
            *(self.entry("egg_count", days_ago=9 - i, cage=cage, eggs=n, **rounds) for i, n in enumerate(EGGS)),
        ]

    def weeks(self) -> list[dict[str, Any]]:
        """The lay rates over 7 days that have come."""
        figures = self.rows("figure")
        return [row for row in figures if (row["name"], row["span"]) == ("lay_rate", "7d")]


def children(pid: int) -> list[int]:
    """The running children of that process."""
    found = []
    for task in Path(f"/proc/{pid}/task").iterdir():
        found += [int(child) for child in (task / "children").read_text().split()]
    return found


def libraries(pid: int) -> set[str]:
    """Of NumPy and SciPy: those whose compiled parts that process has loaded."""
    maps = Path(f"/proc/{pid}/maps").read_text()
    return {name for name in ("numpy", "scipy") if f"/{name}/" in maps}


def is_running(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False


@pytest.fixture
def house(tmp_path: Path) -> Iterator[HouseAtWork]:
    with HouseAtWork(tmp_path / "data") as house:
        yield house


def test_a_push_becomes_a_figure_and_the_house_stays_light(house: HouseAtWork) -> None:
    phone = Phone(house)
    phone.push(*phone.laying_cage("A1"))
    (reckoner,) = until(lambda: children(house.process.pid), what="the reckoner to start")
    (week,) = until(phone.weeks, what="the lay rate")
    # By hand: the last seven mornings hold 4+3+5+4+4+5+4 = 29 eggs of 5 hens on 7 days.
    assert (week["n"], week["value"]) == (35, pytest.approx(29 / 35))
    assert libraries(reckoner) == {"numpy", "scipy"}  # so that the next line means something
    assert libraries(house.process.pid) == set()
    # The same process takes up the next push.
    phone.push(*phone.laying_cage("A2"))
    until(lambda: len(phone.weeks()) == 2, what="the second lay rate")
    assert children(house.process.pid) == [reckoner]
    # Stopping the house takes it along.
    assert house.stop() == 0
    until(lambda: not is_running(reckoner), what="the reckoner to end")
    assert "Traceback" not in house.printed


def test_a_reckoner_killed_before_it_wrote_loses_nothing(house: HouseAtWork) -> None:
    phone = Phone(house)
    phone.push(*phone.laying_cage("A1"))
    (reckoner,) = until(lambda: children(house.process.pid), what="the reckoner to start")
    os.kill(reckoner, signal.SIGKILL)
    until(lambda: not is_running(reckoner), what="the reckoner to be dead")
    assert phone.weeks() == []  # it stands by for 2 s of quiet before it writes
    phone.push(*phone.laying_cage("A2"))  # the next nudge finds both
    until(lambda: len(phone.weeks()) == 2, what="both lay rates")


def test_a_house_killed_makes_it_good_at_its_next_start(house: HouseAtWork) -> None:
    phone = Phone(house)
    phone.push(*phone.laying_cage("A1"))
    (reckoner,) = until(lambda: children(house.process.pid), what="the reckoner to start")
    os.kill(reckoner, signal.SIGKILL)
    house.process.kill()
    house.process.wait()
    with HouseAtWork(house.data) as again:
        visitor = Visitor(again.address)
        visitor.post("/api/sign-in", {"name": "Ilse Marten", "password": "reeds-and-grain"})

        def week() -> list[dict[str, Any]]:
            return [row for row in visitor.rows("figure") if row["span"] == "7d"]

        assert until(week, what="the lay rate")[0]["value"] == pytest.approx(29 / 35)


def test_the_reckoner_ends_when_its_house_is_killed(house: HouseAtWork) -> None:
    phone = Phone(house)
    phone.push(*phone.laying_cage("A1"))
    (reckoner,) = until(lambda: children(house.process.pid), what="the reckoner to start")
    until(phone.weeks, what="the lay rate")  # now it stands by, for 20 s
    house.process.kill()
    house.process.wait()
    until(lambda: not is_running(reckoner), what="the reckoner to end", seconds=15)


def test_many_batches_are_reckoned_once(house: HouseAtWork) -> None:
    """A phone that sends its outbox in batches a moment apart: the figures are written when it has done."""
    phone = Phone(house)
    entries = phone.laying_cage("A1")
    phone.push(*entries[:2])
    until(lambda: children(house.process.pid), what="the reckoner to start")
    for some in (entries[2:6], entries[6:9], entries[9:]):
        quiet_since = time.monotonic()
        time.sleep(0.7)
        weeks = phone.weeks()
        if time.monotonic() - quiet_since < QUIET_SECONDS:  # a busy machine may have been quiet for longer
            assert weeks == []
        phone.push(*some)
    (week,) = until(phone.weeks, what="the lay rate")
    assert week["n"] == 35
