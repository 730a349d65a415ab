"""Huey's tasks: only nudges. What must be done is written in the book (ToReckon, Night)."""

from __future__ import annotations

from django.utils import timezone
from huey import crontab
from huey.contrib.djhuey import db_periodic_task, db_task

from barnbook.barn import erasing
from barnbook.work import nightly, reckoner


@db_task()
def reckon_soon() -> None:
    """After a push."""
    reckoner.wake()


@db_periodic_task(crontab(minute="*/5"))
def sweep() -> None:
    """What no nudge told of: after a start, a kill, a lost queue; and the nights that have come. Asked for at each
    start, and every five minutes, so also five minutes after a laptop wakes."""
    nightly.call_up(timezone.now())
    reckoner.wake_if_needed()
    erasing.replay_erasures()
