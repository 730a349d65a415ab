"""The link by which a customer reports on a shipment, and what they remark. Both are outside the journal."""

from __future__ import annotations

from django.db import models

from barnbook.barn.models.row import RowsOfFarm


class ReportLink(models.Model):
    """A secret address at which a shipment's hatch is reported: of the secret only its hash is kept.

    Outside the journal: a rebuild leaves it alone.
    """

    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    shipment = models.UUIDField()
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()

    objects = RowsOfFarm.as_manager()

    class Meta:
        indexes = [models.Index(fields=["farm", "shipment"])]


class ReportRemark(models.Model):
    """What a customer wrote beside the numbers: a person's words, so it is outside the journal as the person is."""

    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    shipment = models.UUIDField(unique=True)
    customer = models.UUIDField(null=True)
    text = models.TextField()
    written_at = models.DateTimeField()

    objects = RowsOfFarm.as_manager()

    def __str__(self) -> str:
        return f"remark on shipment {self.shipment}"  # what a log or a traceback shows
