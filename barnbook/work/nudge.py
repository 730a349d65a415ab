"""Telling the worker that there is something to reckon. A nudge that is lost costs time, never a figure."""

from __future__ import annotations

import logging

from django.db import transaction

from barnbook.work import reckoner

log = logging.getLogger(__name__)


def nudge() -> None:
    """After the present transaction: ask for a reckoning soon."""
    transaction.on_commit(_enqueue, robust=True)


def _enqueue() -> None:
    from barnbook.work.tasks import reckon_soon  # Huey's tasks need Django to be ready

    try:
        reckon_soon()
    except Exception:  # the queue is away (Redis down): then without it
        log.exception("The queue could not be reached; this house reckons by itself")
        reckoner.wake()
