"""The birds and where they stand: lines, cages, the head count of each cage, broods and their birds."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models

from barnbook.barn.models.row import Row, RowsOfFarm


class Line(Row):
    """A breeding population kept as one."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    name = models.CharField(max_length=120)
    other_names = models.JSONField(default=list)
    egg_low_g = models.FloatField(null=True)
    egg_high_g = models.FloatField(null=True)
    weighing_age_days = models.PositiveSmallIntegerField(default=56)
    sexing_from_day = models.PositiveSmallIntegerField(default=42)
    sexing_to_day = models.PositiveSmallIntegerField(default=56)
    note = models.TextField(default="", blank=True)

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"])]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.id),
            "name": self.name,
            "other_names": self.other_names,
            "egg_low_g": self.egg_low_g,
            "egg_high_g": self.egg_high_g,
            "weighing_age_days": self.weighing_age_days,
            "sexing_from_day": self.sexing_from_day,
            "sexing_to_day": self.sexing_to_day,
            "note": self.note,
        }


class Cage(Row):
    """A place birds stand. hens, cocks and unsexed are what the head count comes to; below zero is a
    contradiction that is shown, never clipped."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    code = models.CharField(max_length=20)
    walk_row = models.CharField(max_length=40)
    place = models.PositiveIntegerField()
    line = models.ForeignKey(Line, on_delete=models.DO_NOTHING, db_constraint=False, null=True, related_name="+")
    closed = models.BooleanField(default=False)
    hens = models.IntegerField(default=0)
    cocks = models.IntegerField(default=0)
    unsexed = models.IntegerField(default=0)
    stocked_on = models.DateField(null=True)

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"])]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.id),
            "code": self.code,
            "row": self.walk_row,
            "place": self.place,
            "line": str(self.line_id) if self.line_id else None,
            "closed": self.closed,
            "hens": self.hens,
            "cocks": self.cocks,
            "unsexed": self.unsexed,
            "stocked_on": self.stocked_on.isoformat() if self.stocked_on else None,
        }


class HeadEvent(models.Model):
    """One change of a cage's head count, in the order in which it happened (`place`)."""

    class Kind(models.TextChoices):
        MOVED_IN = "moved_in"
        MOVED_OUT = "moved_out"
        DIED = "died"
        CHECKED = "checked"

    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    cage = models.UUIDField()
    place = models.PositiveIntegerField()
    day = models.DateField()
    kind = models.CharField(max_length=10, choices=Kind.choices)
    hens = models.PositiveIntegerField()
    cocks = models.PositiveIntegerField()
    unsexed = models.PositiveIntegerField()
    brood = models.UUIDField(null=True)
    entry = models.UUIDField()

    objects = RowsOfFarm.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["farm", "cage", "place"], name="one_head_event_a_place")]


class Brood(Row):
    """The chicks of one hatch of one line, raised together."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    line = models.ForeignKey(Line, on_delete=models.DO_NOTHING, db_constraint=False, related_name="+")
    code = models.CharField(max_length=40)
    hatched_on = models.DateField()
    chicks = models.PositiveIntegerField()
    alive = models.IntegerField()
    hens = models.IntegerField(default=0)
    cocks = models.IntegerField(default=0)
    unsure = models.IntegerField(default=0)
    unlooked = models.IntegerField()
    placed = models.IntegerField(default=0)
    note = models.TextField(default="", blank=True)

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"])]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.id),
            "line": str(self.line_id),
            "code": self.code,
            "hatched_on": self.hatched_on.isoformat(),
            "chicks": self.chicks,
            "alive": self.alive,
            "hens": self.hens,
            "cocks": self.cocks,
            "unsure": self.unsure,
            "unlooked": self.unlooked,
            "placed": self.placed,
            "note": self.note,
        }


class Bird(Row):
    """One animal of a brood. number: its place within the brood, in the order in which birds were first written."""

    bird = models.UUIDField()
    brood = models.ForeignKey(Brood, on_delete=models.CASCADE, related_name="birds")
    number = models.PositiveIntegerField()
    band = models.CharField(max_length=40, null=True)
    sex = models.CharField(max_length=8, default="unsexed")
    looked_on = models.DateField(null=True)
    last_weight_g = models.FloatField(null=True)
    weighed_on = models.DateField(null=True)

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"]), models.Index(fields=["bird"])]
        constraints = [models.UniqueConstraint(fields=["brood", "bird"], name="a_bird_once_in_its_brood")]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.bird),
            "brood": str(self.brood_id),
            "number": self.number,
            "band": self.band,
            "sex": self.sex,
            "looked_on": self.looked_on.isoformat() if self.looked_on else None,
            "last_weight_g": self.last_weight_g,
            "weighed_on": self.weighed_on.isoformat() if self.weighed_on else None,
        }
