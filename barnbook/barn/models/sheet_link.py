"""The public link to a line's sheet: there while the owner has it on."""

from __future__ import annotations

from django.db import models

from barnbook.barn.models.row import RowsOfFarm


class SheetLink(models.Model):
    """token: the secret part of the address, kept as it is: whoever has the link may read what is published anyway.

    One a line; turned off it is gone, and turned on again it is another address. Outside the journal: a rebuild leaves
    it alone.
    """

    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    line = models.UUIDField(unique=True)
    token = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()

    objects = RowsOfFarm.as_manager()
