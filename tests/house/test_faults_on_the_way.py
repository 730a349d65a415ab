"""What happens between a phone and a house that runs: cut, locked, full, poisoned, and a clock that is wrong."""

from __future__ import annotations

import contextlib
import resource
import socket
import sqlite3
import struct
import sys
import threading
import time
from collections.abc import Iterator

import pytest

from tests.house.pen import Pen, a_book, opened, stands_as_its_entries_give
from tests.house_at_work import HouseAtWork, until


@pytest.fixture(scope="module")
def book() -> Iterator[dict[str, str]]:
    with a_book() as book:
        yield book


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory, book: dict[str, str]) -> Iterator[HouseAtWork]:
    with HouseAtWork(tmp_path_factory.mktemp("house") / "data", **book) as house:
        yield house
        stands_as_its_entries_give(house.data, **book)


@pytest.fixture(scope="module")
def pen(house: HouseAtWork) -> Pen:
    return opened(house)


on_sqlite = pytest.mark.skipif("'DATABASE_URL' in __import__('os').environ", reason="a fault of the file of SQLite")


def test_the_answer_lost_after_the_house_had_written(pen: Pen) -> None:
    sent = pen.counts(40)
    with pen.connect() as wire:
        # Closed with a reset the moment the request is through: whatever the house answers, nobody hears.
        wire.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
        wire.sendall(pen.request(*sent))
        until(lambda: sent[-1]["id"] in pen.journal(), what="the house to have written")
    assert pen.words(*sent) == ["already"] * 40
    assert sum(id_ in {e["id"] for e in sent} for id_ in pen.journal()) == 40


@pytest.mark.parametrize("share", [0.1, 0.5, 0.999])
def test_a_request_cut_in_its_middle(pen: Pen, share: float) -> None:
    sent = pen.counts(30)
    request = pen.request(*sent)
    with pen.connect() as wire:
        wire.sendall(request[: int(len(request) * share)])
    time.sleep(0.3)
    assert not {entry["id"] for entry in sent} & pen.journal().keys()
    assert pen.words(*sent) == ["written"] * 30


def test_the_same_request_twice_at_once(pen: Pen) -> None:
    """The phone gave up waiting and sent again while the house was still at work: one writes, the other knows."""
    sent = pen.counts(60)
    said: list[list[str]] = []
    both = [threading.Thread(target=lambda: said.append(pen.words(*sent))) for _ in range(2)]
    for each in both:
        each.start()
    for each in both:
        each.join()
    assert sorted(said) == [["already"] * 60, ["written"] * 60]


def test_a_poison_entry_among_499_good_ones(pen: Pen) -> None:
    sent = pen.counts(499)
    poison = {**sent[0], "id": pen.entry("egg_count")["id"], "body": {"cage": pen.cage, "eggs": "many"}}
    words = pen.words(*sent[:250], poison, *sent[250:])
    assert words == ["written"] * 250 + ["aside"] + ["written"] * 249
    (aside,) = [row for row in pen.rows("aside") if row["entry"] == poison["id"]]
    assert aside["code"] == "body_missing_field"
    assert aside["detail"].endswith(".")


def test_a_clock_wrong_by_a_day_is_asked_about_and_nothing_is_rewritten(pen: Pen) -> None:
    (entry,) = pen.counts(1)
    entry["stamp"] -= 26 * 3600 * 1000
    status, said = pen.push(entry, device_time=int(time.time() * 1000) - 26 * 3600 * 1000)
    assert status == 200
    assert (said["verdicts"][0]["verdict"], said["verdicts"][0]["code"]) == ("questioned", "clock_a_day_off")
    shown = pen.journal()[entry["id"]]
    assert (shown["stamp"], shown["day"]) == (entry["stamp"], entry["day"])
    assert abs(said["house_time"] - time.time() * 1000) < 10_000, "by which the phone learns how far its clock is off"


def test_an_unpaired_phone_keeps_its_entries_and_brings_them_when_it_is_paired_again(house: HouseAtWork) -> None:
    phone = Pen(house.address)
    sent = phone.counts(3)
    for handler in phone.opener.handlers:
        for cookie in list(getattr(handler, "cookiejar", ())):
            if cookie.name == "barnbook_device":
                handler.cookiejar.clear(cookie.domain, cookie.path, cookie.name)  # type: ignore[attr-defined]
    status, said = phone.push(*sent)
    assert (status, said["code"]) == (401, "signed_out")
    again = Pen(house.address, cage=phone.cage)
    assert set(again.words(*sent)) == {"written"}


@on_sqlite
def test_the_database_is_locked_for_a_while(house: HouseAtWork, pen: Pen) -> None:
    """Another process has the write lock: the push waits its turn."""
    sent = pen.counts(5)
    with contextlib.closing(sqlite3.connect(house.data / "book.sqlite3", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        said: list[list[str]] = []
        pushing = threading.Thread(target=lambda: said.append(pen.words(*sent)))
        pushing.start()
        time.sleep(1.5)
        assert not said, "nothing was written while the other had the lock"
        other.execute("ROLLBACK")
        pushing.join()
    assert said == [["written"] * 5]


@on_sqlite
def test_the_database_is_locked_for_too_long(house: HouseAtWork, pen: Pen) -> None:
    """Longer than the 20 s that the house waits: 503, nothing taken, and later it is."""
    sent = pen.counts(5)
    with contextlib.closing(sqlite3.connect(house.data / "book.sqlite3", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        status, said = pen.push(*sent)
        other.execute("ROLLBACK")
    assert (status, said["code"]) == (503, "busy")
    assert pen.words(*sent) == ["written"] * 5


@on_sqlite
@pytest.mark.skipif(sys.platform != "linux", reason="sets a limit on a running process, which only Linux can")
def test_the_disk_of_the_house_is_full(house: HouseAtWork, pen: Pen) -> None:
    """No file of the house may grow any more, as on a full disk: 503, nothing taken, and with room again it is."""
    sent = pen.counts(400)
    pid, limit = house.process.pid, resource.RLIMIT_FSIZE
    before = resource.prlimit(pid, limit)
    resource.prlimit(pid, limit, (4096, before[1]))
    try:
        status, said = pen.push(*sent)
    finally:
        resource.prlimit(pid, limit, before)
    assert (status, said["code"]) == (503, "busy")
    assert not {entry["id"] for entry in sent} & pen.journal().keys()
    assert pen.words(*sent) == ["written"] * 400
