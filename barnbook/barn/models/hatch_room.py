"""Eggs in the incubator: settings, their trays, and who stood in the cages that the eggs came from."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models

from barnbook.barn.models.row import Row


class Setting(Row):
    """Eggs put into an incubator together. candled, hatched_trays: of how many trays that is written."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    code = models.CharField(max_length=40)
    incubator = models.CharField(max_length=40, default="", blank=True)
    set_on = models.DateField()
    eggs = models.PositiveIntegerField()
    trays = models.PositiveSmallIntegerField()
    candled = models.PositiveSmallIntegerField(default=0)
    locked_down_on = models.DateField(null=True)
    hatched = models.PositiveIntegerField(default=0)
    hatched_trays = models.PositiveSmallIntegerField(default=0)
    chicks_seen = models.PositiveIntegerField(default=0)
    note = models.TextField(default="", blank=True)

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"])]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.id),
            "code": self.code,
            "incubator": self.incubator,
            "set_on": self.set_on.isoformat(),
            "eggs": self.eggs,
            "trays": self.trays,
            "candled": self.candled,
            "locked_down_on": self.locked_down_on.isoformat() if self.locked_down_on else None,
            "hatched": self.hatched,
            "hatched_trays": self.hatched_trays,
            "chicks_seen": self.chicks_seen,
            "note": self.note,
        }


class Tray(Row):
    """A part of a setting with one source: a cage, or the line and no one cage.

    laid: [{laid_on: day or null, eggs}]. left: eggs still in it; below zero when more was taken out than set, shown so.
    """

    tray = models.UUIDField()
    setting = models.ForeignKey(Setting, on_delete=models.CASCADE, related_name="+")
    place = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=20)
    line = models.UUIDField()
    cage = models.UUIDField(null=True)
    laid = models.JSONField(default=list)
    eggs = models.PositiveIntegerField()
    read = models.PositiveIntegerField(default=0)
    clear = models.PositiveIntegerField(default=0)
    dead_early = models.PositiveIntegerField(default=0)
    unread = models.PositiveIntegerField(default=0)
    broken = models.PositiveIntegerField(default=0)
    removed = models.PositiveIntegerField(default=0)
    left = models.IntegerField()
    candled_on = models.DateField(null=True)
    hatched = models.PositiveIntegerField(default=0)
    pipped_dead = models.PositiveIntegerField(default=0)
    dead_in_shell = models.PositiveIntegerField(default=0)
    hatched_on = models.DateField(null=True)

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"]), models.Index(fields=["farm", "cage"])]
        constraints = [models.UniqueConstraint(fields=["setting", "tray"], name="a_tray_once_in_its_setting")]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.tray),
            "setting": str(self.setting_id),
            "name": self.name,
            "line": str(self.line),
            "cage": str(self.cage) if self.cage else None,
            "eggs": self.eggs,
            "laid": self.laid,
            "read": self.read,
            "clear": self.clear,
            "dead_early": self.dead_early,
            "unread": self.unread,
            "broken": self.broken,
            "removed": self.removed,
            "left": self.left,
            "candled_on": self.candled_on.isoformat() if self.candled_on else None,
            "hatched": self.hatched,
            "pipped_dead": self.pipped_dead,
            "dead_in_shell": self.dead_in_shell,
            "hatched_on": self.hatched_on.isoformat() if self.hatched_on else None,
        }


class Parents(Row):
    """Who stood in a tray's source cage on the days on which its eggs were laid: the least and the most of each sex.

    birds: ids of those known by id. Worked out by barnbook.work, from the head counts; never written by an entry.
    """

    tray = models.UUIDField()
    setting = models.UUIDField()
    cage = models.UUIDField()
    eggs = models.PositiveIntegerField()
    days_unknown = models.PositiveIntegerField()
    first_laid = models.DateField(null=True)
    last_laid = models.DateField(null=True)
    hens_low = models.IntegerField(null=True)
    hens_high = models.IntegerField(null=True)
    cocks_low = models.IntegerField(null=True)
    cocks_high = models.IntegerField(null=True)
    birds = models.JSONField(default=list)

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"]), models.Index(fields=["farm", "setting"])]
        constraints = [models.UniqueConstraint(fields=["setting", "tray"], name="one_parentage_a_tray")]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.tray),
            "setting": str(self.setting),
            "tray": str(self.tray),
            "cage": str(self.cage),
            "first_laid": self.first_laid.isoformat() if self.first_laid else None,
            "last_laid": self.last_laid.isoformat() if self.last_laid else None,
            "eggs": self.eggs,
            "days_unknown": self.days_unknown,
            "hens_low": self.hens_low,
            "hens_high": self.hens_high,
            "cocks_low": self.cocks_low,
            "cocks_high": self.cocks_high,
            "birds": self.birds,
        }
