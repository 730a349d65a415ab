"""The reckoner's own process: reckons once things are quiet, stands by a little for more, and ends."""

from __future__ import annotations

import queue
import threading
import time
from datetime import timedelta
from typing import IO

from django.db.models import Max
from django.utils import timezone

from barnbook.barn.models import ToReckon
from barnbook.work.reckon import reckon

QUIET_SECONDS = 2.0
LONGEST_WAIT_SECONDS = 10.0


def stand_by(nudges: IO[bytes], *, seconds: float) -> bool:
    """Reckon, wait `seconds` for a line from `nudges`, reckon again, until none comes or `nudges` ends.

    The end of `nudges` means that the house is going: the subjects in hand are finished, the others wait for its
    next start. Returns whether all went well.
    """
    heard: queue.SimpleQueue[None] = queue.SimpleQueue()
    house_is_gone = threading.Event()

    def listen() -> None:
        for _ in nudges:
            heard.put(None)
        house_is_gone.set()
        heard.put(None)

    threading.Thread(target=listen, name="nudges", daemon=True).start()
    well = True
    while True:
        wait_for_quiet(gone=house_is_gone)
        outcome = reckon(stop=house_is_gone.is_set)
        well = well and not outcome.failed
        try:
            heard.get(timeout=seconds)
        except queue.Empty:
            return well
        while not heard.empty():
            heard.get()
        if house_is_gone.is_set():
            return well


def wait_for_quiet(*, gone: threading.Event) -> None:
    """Until nothing has been written down for 2 s, so that a phone's many batches are reckoned once; at most 10 s."""
    until = time.monotonic() + LONGEST_WAIT_SECONDS
    while time.monotonic() < until:
        newest = ToReckon.objects.aggregate(newest=Max("since"))["newest"]
        left = QUIET_SECONDS if newest is None else QUIET_SECONDS - (timezone.now() - newest) / timedelta(seconds=1)
        if newest is None or left <= 0 or gone.wait(min(left, QUIET_SECONDS)):
            return
