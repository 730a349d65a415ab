"""Huey's tasks of the house. Nothing happens at a time of its own: it is asked every few minutes what is due."""

from __future__ import annotations

from django.utils import timezone
from huey import crontab
from huey.contrib.djhuey import db_periodic_task

from barnbook.house.heartbeat import beat
from barnbook.house.keeping.backing_up import back_up_if_due


@db_periodic_task(crontab(minute="*/5"))
def keep_safe() -> None:
    """That there is somebody at work, and the nightly back-up, if it is due. Asked for at each start too."""
    beat(timezone.now())
    back_up_if_due(timezone.now())
