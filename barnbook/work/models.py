"""What the work keeps for itself."""

from __future__ import annotations

from django.db import models


class Night(models.Model):
    """The last night whose work was called up for a farm: the day that had begun, in the farm's zone."""

    farm = models.OneToOneField("barn.Farm", on_delete=models.CASCADE, primary_key=True, related_name="+")
    day = models.DateField()
