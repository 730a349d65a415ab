"""A flood at the report page beside a phone's ordinary pushes: what the phone waits with it and without, in one run."""

from __future__ import annotations

import statistics
import threading
import time
import urllib.error
import urllib.request
from pathlib import Path

from tests.house.pen import Pen, a_book
from tests.house_at_work import HouseAtWork

FLOODERS = 4
SECONDS = 3.0
MOST_SLOWER = 12.0
"""Times that the median may grow. The flood shares the machine with the house, so part of it is the flooders' own."""


def wait_ms(pen: Pen, seconds: float) -> float:
    """The median of a phone's push of one count."""
    waits, end = [], time.monotonic() + seconds
    while time.monotonic() < end:
        begun = time.monotonic()
        assert pen.words(*pen.counts(1)) == ["written"]
        waits.append((time.monotonic() - begun) * 1000)
    return statistics.median(waits)


def flood(address: str, stop: threading.Event, answers: list[int]) -> None:
    """Posts to addresses that lead to nothing, as fast as they are answered; some of them huge."""
    sent = 0
    while not stop.is_set():
        sent += 1
        body = b"hatched-0=33&remark=" + b"x" * (200_000 if sent % 10 == 0 else 400)
        try:
            with urllib.request.urlopen(f"{address}/report/guess{sent}", body, timeout=30) as answer:
                answers.append(answer.status)
        except urllib.error.HTTPError as error:
            answers.append(error.code)
        except OSError:  # the house hung up on what was too much to read
            answers.append(0)


def test_a_flood_of_strangers_does_not_shut_the_barn_out(tmp_path: Path) -> None:
    with a_book() as book, HouseAtWork(tmp_path, **book) as house:
        pen = Pen(house.address, token=house.token)
        wait_ms(pen, 0.5)
        quiet = wait_ms(pen, SECONDS)
        stop, answers = threading.Event(), list[int]()
        flooders = [threading.Thread(target=flood, args=(house.address, stop, answers)) for _ in range(FLOODERS)]
        for each in flooders:
            each.start()
        flooded = wait_ms(pen, SECONDS)
        stop.set()
        for each in flooders:
            each.join()
        print(f"a push: {quiet:.1f} ms alone, {flooded:.1f} ms beside {len(answers) / SECONDS:.0f} posts a second")
        assert len(answers) > 200
        assert set(answers) <= {404, 413, 429, 0}
        assert answers.count(404) <= 20
        assert flooded / quiet < MOST_SLOWER
        assert not any(row["kind"] == "hatch_reported" for row in pen.rows("entry"))
        assert "guess" not in house.printed
