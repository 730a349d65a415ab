"""Treatments; and until when eggs and meat must wait, wherever the birds went meanwhile."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models

from barnbook.barn.models.row import Row


class Withdrawal(Row):
    """One treatment of a cage, a brood or a line. The waits are the owner's and the veterinarian's, last day in."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    subject = models.CharField(max_length=60)
    what = models.CharField(max_length=200)
    first_day = models.DateField()
    last_day = models.DateField(null=True)
    eggs_until = models.DateField(null=True)
    meat_until = models.DateField(null=True)
    note = models.TextField(default="", blank=True)

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"])]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.id),
            "subject": self.subject,
            "what": self.what,
            "first_day": self.first_day.isoformat(),
            "last_day": self.last_day.isoformat() if self.last_day else None,
            "eggs_until": self.eggs_until.isoformat() if self.eggs_until else None,
            "meat_until": self.meat_until.isoformat() if self.meat_until else None,
            "note": self.note,
        }


class Wait(Row):
    """Until when the eggs and the meat of a cage, a brood or a line must wait, by all treatments that reach it.

    Worked out by barnbook.work from the treatments and the moves; never written by an entry.
    """

    subject = models.CharField(max_length=60)
    eggs_until = models.DateField(null=True)
    meat_until = models.DateField(null=True)
    treatments = models.JSONField(default=list)

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"])]
        constraints = [models.UniqueConstraint(fields=["farm", "subject"], name="one_wait_a_subject")]

    def row(self) -> dict[str, Any]:
        return {
            "id": self.subject,
            "subject": self.subject,
            "eggs_until": self.eggs_until.isoformat() if self.eggs_until else None,
            "meat_until": self.meat_until.isoformat() if self.meat_until else None,
            "treatments": self.treatments,
        }
