"""Jobs on Redis by one setting: two workers give the same figures, and one killed in mid-job loses nothing."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from tests.house.test_reckoner import Phone, children, is_running
from tests.house_at_work import HouseAtWork, environment, until

CAGES = 6
COMPARED = ("subject", "name", "span", "value", "low", "high", "n", "first_day", "last_day", "missing", "left_out")


@pytest.fixture(scope="module")
def redis() -> Iterator[str]:
    """The address of a Redis of our own, in memory, on a socket of a free port."""
    if (
        shutil.which("redis-server") is None
        and hasattr(os, "geteuid")
        and os.geteuid() == 0
        and shutil.which("apt-get")
    ):
        quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
        subprocess.run(["apt-get", "update", "-qq"], check=False, env=quiet)
        subprocess.run(["apt-get", "install", "-y", "-qq", "redis-server"], check=False, env=quiet, capture_output=True)
    if shutil.which("redis-server") is None:
        pytest.fail("These tests need Redis: install Debian's package 'redis-server' and run them again.")
    import redis as client

    from tests.browser.house import free_port

    port = free_port()
    command = ["redis-server", "--port", str(port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no"]
    server = subprocess.Popen(command, stdout=subprocess.DEVNULL)

    def answers() -> bool:
        try:
            return bool(client.Redis(port=port).ping())
        except client.ConnectionError:
            return False

    until(answers, what="Redis to answer")
    yield f"redis://127.0.0.1:{port}/0"
    server.terminate()
    server.wait()


@contextmanager
def worker(data: Path, redis: str) -> Iterator[subprocess.Popen[str]]:
    """One more worker beside the house's own, as its owner would start it."""
    command = [sys.executable, "-m", "barnbook", "run_huey", "--workers", "1", "--no-periodic", "--data", str(data)]
    with (data.parent / f"worker-{time.monotonic_ns()}.log").open("w") as log:
        process = subprocess.Popen(
            command, env=environment(BARNBOOK_REDIS=redis), stdout=log, stderr=subprocess.STDOUT, text=True
        )
        try:
            yield process
        finally:
            process.terminate()
            process.wait()


def figures(phone: Phone) -> list[dict[str, Any]]:
    """Every figure, with its cage's code in place of its id; those computed at all."""
    codes = {f"cage/{row['id']}": row["code"] for row in phone.rows("cage")}
    rows = [{name: row[name] for name in COMPARED} for row in phone.rows("figure")]
    return sorted(({**row, "subject": codes[row["subject"]]} for row in rows), key=lambda row: str(row))


def six_cages(phone: Phone) -> None:
    for n in range(CAGES):
        phone.push(*phone.laying_cage(f"A{n}"))


def all_there(phone: Phone) -> bool:
    return len(phone.weeks()) == CAGES


@pytest.fixture(scope="module")
def plainly(tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, Any]]:
    """The figures without Redis, by the house alone."""
    with HouseAtWork(tmp_path_factory.mktemp("plain") / "data") as house:
        phone = Phone(house)
        six_cages(phone)
        until(lambda: all_there(phone), what="the figures")
        return figures(phone)


def test_two_workers_on_redis_give_the_same_figures(tmp_path: Path, redis: str, plainly: list[dict[str, Any]]) -> None:
    data = tmp_path / "data"
    with HouseAtWork(data, BARNBOOK_REDIS=redis) as house, worker(data, redis) as first, worker(data, redis) as second:
        phone = Phone(house)
        six_cages(phone)
        until(lambda: all_there(phone), what="the figures")
        assert figures(phone) == plainly
        assert first.poll() is None
        assert second.poll() is None


def test_a_worker_killed_in_mid_job_loses_nothing(tmp_path: Path, redis: str, plainly: list[dict[str, Any]]) -> None:
    data = tmp_path / "data"
    with HouseAtWork(data, BARNBOOK_REDIS=redis) as house, worker(data, redis) as first, worker(data, redis) as second:
        phone = Phone(house)
        six_cages(phone)
        at_work = (house.process.pid, first.pid, second.pid)
        pid, reckoner = until(
            lambda: [(pid, child) for pid in at_work for child in children(pid)], what="somebody to reckon"
        )[0]
        for victim in (reckoner, *((pid,) if pid != house.process.pid else ())):
            os.kill(victim, signal.SIGKILL)
        until(lambda: not is_running(reckoner), what="the reckoner to be dead")
        assert not all_there(phone), "killed before it had done"
        phone.push(*phone.laying_cage("B1"))  # the next nudge, from whichever phone, finds what is written down
        until(lambda: len(phone.weeks()) == CAGES + 1, what="the figures")
        assert [row for row in figures(phone) if row["subject"] != "B1"] == plainly


def test_a_house_whose_redis_is_away_opens_and_reckons_by_itself(tmp_path: Path, plainly: list[dict[str, Any]]) -> None:
    """The house opens without it, takes what is pushed, and reckons by itself."""
    with HouseAtWork(tmp_path / "data", BARNBOOK_REDIS="redis://127.0.0.1:1/0") as house:
        phone = Phone(house)
        six_cages(phone)
        until(lambda: all_there(phone), what="the figures")
        assert figures(phone) == plainly
