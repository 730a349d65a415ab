"""Keeping the reckoner: a process of its own, started when there is something to reckon.

NumPy and SciPy cost about 85 MB, more than all the rest of the house: they live in that process and go with it.
This module never imports them.
"""

from __future__ import annotations

import logging
import os
import subprocess
import sys
import threading
from contextlib import suppress

from django.conf import settings
from django.db import close_old_connections
from huey.contrib.djhuey import HUEY

from barnbook.barn.models import ToReckon

log = logging.getLogger(__name__)

STAND_BY_SECONDS = 20
GO_WITHIN_SECONDS = 5

_lock = threading.Lock()
_child: subprocess.Popen[bytes] | None = None
_closing = False


def wake() -> None:
    """See to it that what is written down is reckoned soon, and come back at once.

    Where Huey runs its jobs on the spot (tests), so does this.
    """
    global _child
    if HUEY.immediate:
        from barnbook.work.reckon import reckon

        reckon()
        return
    with _lock:
        if _closing or _nudge(_child):
            return
        _child = _start()
        threading.Thread(target=_see_off, args=(_child,), name="reckoner", daemon=True).start()


def wake_if_needed() -> None:
    """As `wake`, where something is written down."""
    if ToReckon.objects.exists():
        wake()


def close() -> None:
    """The house goes: let the reckoner finish what it has in hand, and end."""
    global _closing
    with _lock:
        _closing = True
        child = _child
    if child is None:
        return
    with suppress(OSError):
        assert child.stdin is not None
        child.stdin.close()
    try:
        child.wait(GO_WITHIN_SECONDS)
    except subprocess.TimeoutExpired:
        child.kill()  # nothing is lost: what it had in hand is still written down


def _start() -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "barnbook", "reckon", "--stand-by", str(STAND_BY_SECONDS)]
    # Its linear algebra is many small products: a second thread is waited for longer than it helps.
    environment = {"OPENBLAS_NUM_THREADS": "1"} | os.environ | {"BARNBOOK_DATA": str(settings.DATA)}
    return subprocess.Popen(command, env=environment, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL)


def _nudge(child: subprocess.Popen[bytes] | None) -> bool:
    """Whether the child was there to be told."""
    if child is None or child.poll() is not None:
        return False
    assert child.stdin is not None
    try:
        child.stdin.write(b"\n")
        child.stdin.flush()
    except (OSError, ValueError):
        return False
    return True


def _see_off(child: subprocess.Popen[bytes]) -> None:
    """A nudge may have reached the child as it was going: look once more. After a failure the sweep looks again."""
    if child.wait() != 0:
        if not _closing:
            log.error("The reckoner ended with %s; it is tried again within a few minutes", child.returncode)
        return
    try:
        wake_if_needed()
    finally:
        close_old_connections()
