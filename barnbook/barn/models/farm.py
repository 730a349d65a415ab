"""The house (this installation), and the farms whose books it keeps."""

from __future__ import annotations

import uuid
from typing import Any
from zoneinfo import ZoneInfo

from django.db import models


def one_round() -> list[dict[str, Any]]:
    """A new farm walks once, in the morning, before the day's lay (Coturnix lay late in the day, from memory)."""
    return [{"key": "morning", "name": "Morning", "after_lay": False}]


class House(models.Model):
    """One row: which installation this is, and which copy of its history.

    house stays for ever, through restores. book is drawn anew by a restore, so that a phone knows to send again.
    public_address: where it answers to strangers, as its owner set it (see `barnbook.api.public_address`).
    """

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    house = models.UUIDField(default=uuid.uuid4)
    book = models.UUIDField(default=uuid.uuid4)
    public_address = models.CharField(max_length=300, default="", blank=True)

    @classmethod
    def here(cls) -> House:
        """This house; made at the first call."""
        return cls.objects.get_or_create(id=1)[0]


class Farms(models.Manager["Farm"]):
    def found(self, *, name: str, zone: str = "UTC", example: bool = False) -> Farm:
        """A new farm; its own row is the first of its changes."""
        farm = Farm(name=name, zone=zone, example=example, last_seq=1, seq=1)
        farm.begun_with = {field: getattr(farm, field) for field in FARM_SETTINGS}
        farm.save(force_insert=True)
        return farm

    def locked(self, farm_id: uuid.UUID) -> Farm:
        """The farm's row, locked until the transaction ends: whoever changes rows of a farm holds it."""
        return self.select_for_update().get(pk=farm_id)


FARM_SETTINGS = ("name", "zone", "weight_unit", "rounds")


class Farm(models.Model):
    """A farm and its settings. last_seq is the place of the newest change; it is drawn under this row's lock.

    begun_with: the settings it was made with, which stand while no entry gives others (or once it was struck).
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    name = models.CharField(max_length=120)
    zone = models.CharField(max_length=64, default="UTC")
    weight_unit = models.CharField(max_length=2, default="g")
    rounds = models.JSONField(default=one_round)
    begun_with = models.JSONField(default=dict)
    example = models.BooleanField(default=False)
    last_seq = models.BigIntegerField(default=0)
    seq = models.BigIntegerField(default=0)

    objects = Farms()

    def __str__(self) -> str:
        return self.name

    @property
    def tz(self) -> ZoneInfo:
        return ZoneInfo(self.zone)

    def is_round_after_lay(self, key: str) -> bool:
        """Whether that round collects the eggs of its own day (True) or those laid up to the day before."""
        return any(r["after_lay"] for r in self.rounds if r["key"] == key)

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.id),
            "name": self.name,
            "zone": self.zone,
            "weight_unit": self.weight_unit,
            "rounds": self.rounds,
            "example": self.example,
        }
