"""The secret address of a farm's calendar of what is due."""

from __future__ import annotations

from django.db import models

from barnbook.barn.models.row import RowsOfFarm


class CalendarLink(models.Model):
    """token: the secret part of the address. It tells brood codes and days of work, and nothing of people.

    One a farm; turned off it is gone, and turned on again it is another address. Outside the journal, as the line
    sheet's.
    """

    farm = models.OneToOneField("barn.Farm", on_delete=models.CASCADE, primary_key=True, related_name="+")
    token = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()

    objects = RowsOfFarm.as_manager()
