"""What was collected and weighed: numbers as the figures need them."""

from __future__ import annotations

from typing import Any

from django.db import models

from barnbook.barn.models.row import RowsOfFarm


class Collection(models.Model):
    """The eggs taken from one cage in one round. clash: counted more than once and not yet settled by the owner."""

    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    cage = models.UUIDField()
    day = models.DateField()
    round = models.CharField(max_length=20)
    eggs = models.PositiveSmallIntegerField()
    cracked = models.PositiveSmallIntegerField()
    soiled = models.PositiveSmallIntegerField()
    thin_shelled = models.PositiveSmallIntegerField()
    clash = models.BooleanField(default=False)

    objects = RowsOfFarm.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["farm", "cage", "day", "round"], name="one_collection_a_round")]

    @property
    def sound(self) -> int:
        return self.eggs - self.cracked - self.soiled - self.thin_shelled


class EggWeighing(models.Model):
    """grams of `eggs` eggs of one cage, weighed together."""

    entry = models.UUIDField(primary_key=True)
    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    cage = models.UUIDField()
    day = models.DateField()
    eggs = models.PositiveSmallIntegerField()
    grams = models.FloatField()

    objects = RowsOfFarm.as_manager()

    class Meta:
        indexes = [models.Index(fields=["farm", "cage", "day"])]


class BirdWeighing(models.Model):
    """grams of one bird on one day."""

    entry = models.UUIDField(primary_key=True)
    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    bird = models.UUIDField()
    brood = models.UUIDField()
    day = models.DateField()
    grams = models.FloatField()

    objects = RowsOfFarm.as_manager()

    class Meta:
        indexes = [models.Index(fields=["farm", "brood", "day"])]

    def row(self) -> dict[str, Any]:
        return {
            "entry": str(self.entry),
            "bird": str(self.bird),
            "brood": str(self.brood),
            "day": self.day.isoformat(),
            "grams": self.grams,
        }


class BatchWeighing(models.Model):
    """grams of several birds of a brood together, unbanded and unnamed."""

    entry = models.UUIDField(primary_key=True)
    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    brood = models.UUIDField()
    day = models.DateField()
    hens = models.PositiveSmallIntegerField()
    cocks = models.PositiveSmallIntegerField()
    unsexed = models.PositiveSmallIntegerField()
    grams = models.FloatField()

    objects = RowsOfFarm.as_manager()

    class Meta:
        indexes = [models.Index(fields=["farm", "brood", "day"])]


class Processing(models.Model):
    """Birds processed together. live_g, dressed_g: grams of all of them; pluck: 1 (torn) to 5 (clean).

    brood: that they were taken from; None: from a cage. bird: which, when it was one known by its id.
    """

    entry = models.UUIDField(primary_key=True)
    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    brood = models.UUIDField(null=True)
    cage = models.UUIDField(null=True)
    bird = models.UUIDField(null=True)
    day = models.DateField()
    hens = models.PositiveSmallIntegerField()
    cocks = models.PositiveSmallIntegerField()
    unsexed = models.PositiveSmallIntegerField()
    live_g = models.FloatField(null=True)
    dressed_g = models.FloatField(null=True)
    pluck = models.PositiveSmallIntegerField(null=True)

    objects = RowsOfFarm.as_manager()

    class Meta:
        indexes = [models.Index(fields=["farm", "brood"])]
