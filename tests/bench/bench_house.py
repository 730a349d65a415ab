"""The house's own figures: how soon it opens, what it weighs idle, how soon a push becomes a lay rate.

    python -m tests.bench.bench_house

Memory is the proportional set size (PSS) that Linux gives in smaps_rollup, of the house with its worker in it, after
the example farm was pulled whole, a push was taken and reckoned, and the reckoner has gone again.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
django.setup()

from tests.house.test_reckoner import Phone, children, libraries  # noqa: E402  (reads the tables' models)
from tests.house_at_work import HouseAtWork, Visitor, run, until  # noqa: E402

MOST_MB = 120
MOST_OPENING_S = 5
MOST_EXAMPLE_S = 30


def pss_mb(pid: int) -> float:
    for line in Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines():
        if line.startswith("Pss:"):
            return int(line.split()[1]) / 1024
    raise RuntimeError("Linux gave no PSS")


def timed(what: Callable[[], object]) -> float:
    began = time.perf_counter()
    what()
    return time.perf_counter() - began


def say(what: str, value: float, unit: str, most: float | None = None) -> bool:
    wanted = "" if most is None else f"   to reach: {most:g} {unit}{'' if value <= most else '   MISSED'}"
    print(f"{what:<58}{value:8.2f} {unit}{wanted}")
    return most is None or value <= most


def main() -> int:
    well = True
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "data"
        began = time.perf_counter()
        with HouseAtWork(data) as house:
            Visitor(house.address)
            say("first start, empty folder, to the first answer", time.perf_counter() - began, "s")
            say("idle, just opened (PSS)", pss_mb(house.process.pid), "MB")
            Phone(house)
            house.stop()
        making = timed(lambda: run("example", "--quiet", "--data", str(data)))
        well &= say("the example farm, made", making, "s", MOST_EXAMPLE_S)
        began = time.perf_counter()
        with HouseAtWork(data, "--example") as house:
            visitor = Visitor(house.address)
            well &= say("second start to the first answer", time.perf_counter() - began, "s", MOST_OPENING_S)
            pid = house.process.pid
            until(lambda: children(pid), what="the reckoner")
            (reckoner,) = children(pid)
            until(lambda: libraries(reckoner) == {"numpy", "scipy"}, what="NumPy and SciPy in the reckoner")
            name, password = house._found(r"sign in as (.+), password"), house._found(r", password (\S+)")
            visitor.post("/api/sign-in", {"name": name, "password": password})
            began = time.perf_counter()
            until(lambda: len(visitor.rows("figure")) >= 120, what="the example's figures")
            say("figures of the example's cages there, after that", time.perf_counter() - began, "s")
            say("the reckoner at work (PSS)", pss_mb(reckoner), "MB")
            say("the whole book of the example pulled by one phone", timed(lambda: visitor.rows("cage")), "s")
            until(lambda: not children(pid), what="the reckoner to go")
            well &= say("idle, after all that (PSS)", pss_mb(pid), "MB", MOST_MB)
            assert not libraries(pid)
            say("stop, to its end", timed(house.stop), "s")
        with HouseAtWork(Path(folder) / "other") as house:
            phone = Phone(house)
            until(lambda: not children(house.process.pid), what="the first night's reckoning to end")
            phone.push(*phone.laying_cage("A1"))
            say("push to lay rate, the reckoner not there yet", timed(lambda: until(phone.weeks, what="it")), "s")
            phone.push(*phone.laying_cage("A2"))
            again = timed(lambda: until(lambda: len(phone.weeks()) == 2, what="the second"))
            say("push to lay rate, the reckoner still there", again, "s")
    return 0 if well else 1


if __name__ == "__main__":
    sys.exit(main())
