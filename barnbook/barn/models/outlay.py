"""What was bought, fed and paid for: what the costs are reckoned from."""

from __future__ import annotations

from django.db import models

from barnbook.barn.models.row import RowsOfFarm


class Outlay(models.Model):
    """One entry of feed bought, feed fed or another expense.

    kg: of feed bought or fed.  amount: money paid; None: not said.  from_day: the first of the days that it was fed on,
    the last is `day`.  row, brood: who ate it; both empty: all the cages.  part, line: what another expense was for.
    """

    class Sort(models.TextChoices):
        BOUGHT = "bought"
        FED = "fed"
        OTHER = "other"

    entry = models.UUIDField(primary_key=True)
    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    sort = models.CharField(max_length=6, choices=Sort.choices)
    day = models.DateField()
    from_day = models.DateField()
    kg = models.FloatField(null=True)
    amount = models.FloatField(null=True)
    currency = models.CharField(max_length=8, default="", blank=True)
    what = models.CharField(max_length=80, default="", blank=True)
    row = models.CharField(max_length=40, default="", blank=True)
    brood = models.UUIDField(null=True)
    line = models.UUIDField(null=True)
    part = models.CharField(max_length=10, default="", blank=True)

    objects = RowsOfFarm.as_manager()

    class Meta:
        indexes = [models.Index(fields=["farm", "day"])]
