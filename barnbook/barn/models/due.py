"""Work that is due."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models

from barnbook.barn.models.row import Row


class Due(Row):
    """A piece of work with the first and the last day on which it should be done.

    Drawn up to 120 days ahead; whether it is due or late today is judged by the phone's own date.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    work = models.CharField(max_length=20)
    subject = models.CharField(max_length=60)
    first_day = models.DateField()
    last_day = models.DateField()
    left = models.IntegerField()
    done = models.BooleanField(default=False)

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"])]
        constraints = [models.UniqueConstraint(fields=["farm", "work", "subject"], name="one_due_a_work_and_subject")]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.id),
            "work": self.work,
            "subject": self.subject,
            "first_day": self.first_day.isoformat(),
            "last_day": self.last_day.isoformat(),
            "left": self.left,
            "done": self.done,
        }
