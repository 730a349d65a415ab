"""People outside the barn. They are outside the journal too (ruling 4): in no entry, in nobody's changes, in no export
unless asked, and erased for good on request. Entries carry an id that says nothing."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models

from barnbook.barn.models.row import RowsOfFarm


class Customer(models.Model):
    """Somebody who is sent eggs. No seq: no phone pulls this row, the owner reads it at the house."""

    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    name = models.CharField(max_length=120)
    contact = models.TextField(default="", blank=True)
    remarks = models.TextField(default="", blank=True)
    since = models.DateField()

    objects = RowsOfFarm.as_manager()

    def __str__(self) -> str:
        return f"customer {self.pk}"  # what a log or a traceback shows

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.id),
            "name": self.name,
            "contact": self.contact,
            "remarks": self.remarks,
            "since": self.since.isoformat(),
        }
