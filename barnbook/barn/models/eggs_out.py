"""The egg store, and what leaves it: eggs in and out by line and day laid, orders, shipments, what can be promised."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models

from barnbook.barn.models.row import Row, RowsOfFarm


class EggMove(models.Model):
    """Eggs of one line and day laid that came into the store or left it, or were seen there, by one entry.

    source: the subject that laid it down. line None: the cage had none, so no line's store holds them. laid_on None:
    nobody knows. (day, stamp, entry): its place in the order of things.
    """

    class How(models.TextChoices):
        COLLECTED = "collected"
        SEEN = "seen"
        SET = "set"
        PACKED = "packed"
        EATEN = "eaten"
        SOLD_TO_EAT = "sold_to_eat"
        THROWN_AWAY = "thrown_away"

    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    source = models.CharField(max_length=110)
    entry = models.UUIDField()
    day = models.DateField()
    stamp = models.BigIntegerField()
    how = models.CharField(max_length=12, choices=How.choices)
    line = models.UUIDField(null=True)
    cage = models.UUIDField(null=True)
    laid_on = models.DateField(null=True)
    eggs = models.PositiveIntegerField()

    objects = RowsOfFarm.as_manager()

    class Meta:
        indexes = [
            models.Index(fields=["farm", "source"]),
            models.Index(fields=["farm", "line", "laid_on"]),
            models.Index(fields=["farm", "cage"]),
        ]


class EggStore(Row):
    """Eggs of one line and day laid. left: what should be there now; below zero when more was taken than the book has.

    seen, seen_on: what somebody last saw there. Its id is "<line>/<laid_on>", so that a phone finds it before it comes.
    """

    id = models.CharField(primary_key=True, max_length=50)
    line = models.UUIDField()
    laid_on = models.DateField(null=True)
    collected = models.PositiveIntegerField(default=0)
    seen = models.PositiveIntegerField(null=True)
    seen_on = models.DateField(null=True)
    set = models.PositiveIntegerField(default=0)
    packed = models.PositiveIntegerField(default=0)
    eaten = models.PositiveIntegerField(default=0)
    sold_to_eat = models.PositiveIntegerField(default=0)
    thrown_away = models.PositiveIntegerField(default=0)
    left = models.IntegerField()

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"]), models.Index(fields=["farm", "line", "laid_on"])]

    def row(self) -> dict[str, Any]:
        return {
            "id": self.id,
            "line": str(self.line),
            "laid_on": self.laid_on.isoformat() if self.laid_on else None,
            "collected": self.collected,
            "seen": self.seen,
            "seen_on": self.seen_on.isoformat() if self.seen_on else None,
            "set": self.set,
            "packed": self.packed,
            "eaten": self.eaten,
            "sold_to_eat": self.sold_to_eat,
            "thrown_away": self.thrown_away,
            "left": self.left,
        }


class Order(Row):
    """Eggs that a customer wants. customer: an opaque id; who that is stands outside the journal (ruling 4).

    oldest_days: how old the eggs may be on the day; None: the line's storage limit. promised_*: the owner's word.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    code = models.CharField(max_length=40)
    customer = models.UUIDField(null=True)
    line = models.UUIDField()
    eggs = models.PositiveIntegerField()
    wanted_by = models.DateField()
    oldest_days = models.PositiveSmallIntegerField(null=True)
    taken_on = models.DateField()
    note = models.TextField(default="", blank=True)
    promised_eggs = models.PositiveIntegerField(null=True)
    promised_for = models.DateField(null=True)
    promised_sure = models.FloatField(null=True)
    promised_on = models.DateField(null=True)
    withdrawn_on = models.DateField(null=True)

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"]), models.Index(fields=["farm", "line"])]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.id),
            "code": self.code,
            "customer": str(self.customer) if self.customer else None,
            "line": str(self.line),
            "eggs": self.eggs,
            "wanted_by": self.wanted_by.isoformat(),
            "oldest_days": self.oldest_days,
            "taken_on": self.taken_on.isoformat(),
            "note": self.note,
            "promised_eggs": self.promised_eggs,
            "promised_for": self.promised_for.isoformat() if self.promised_for else None,
            "promised_sure": self.promised_sure,
            "promised_on": self.promised_on.isoformat() if self.promised_on else None,
            "withdrawn_on": self.withdrawn_on.isoformat() if self.withdrawn_on else None,
        }


class Shipment(Row):
    """Eggs packed, and perhaps sent. eggs: [{order or null, line, laid_on or null, eggs}], as written.

    report: what was last said of their hatch, and whether that is closed, set aside or contradicts what was packed (see
    `barnbook.barn.standing.hatch_report`); None while nothing was.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    code = models.CharField(max_length=40)
    customer = models.UUIDField(null=True)
    eggs = models.JSONField(default=list)
    boxes = models.PositiveSmallIntegerField(null=True)
    box_holds = models.PositiveSmallIntegerField(null=True)
    packing = models.CharField(max_length=80, default="", blank=True)
    packed_on = models.DateField()
    sent_on = models.DateField(null=True)
    sent_by = models.CharField(max_length=80, default="", blank=True)
    report = models.JSONField(null=True)
    note = models.TextField(default="", blank=True)

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"])]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.id),
            "code": self.code,
            "customer": str(self.customer) if self.customer else None,
            "eggs": self.eggs,
            "boxes": self.boxes,
            "box_holds": self.box_holds,
            "packing": self.packing,
            "packed_on": self.packed_on.isoformat(),
            "sent_on": self.sent_on.isoformat() if self.sent_on else None,
            "sent_by": self.sent_by,
            "report": self.report,
            "note": self.note,
        }


class CanPromise(Row):
    """What can be promised of a line, day by day, and how sure the promises given are. Worked out by barnbook.work.

    most: the largest order for each day from from_day on.  orders: [{order, sure, short}] of those promised and not
    packed, anew as most were that order not there.  missing: as a figure's.  lay_rate: eggs a hen-day foreseen; hens:
    those counted on.  unknown_before: of the eggs taken with no day given, those that are of none in the store now.
    """

    line = models.UUIDField()
    from_day = models.DateField()
    most = models.JSONField(default=list)
    orders = models.JSONField(default=list)
    hens = models.PositiveIntegerField(default=0)
    unknown_before = models.PositiveIntegerField(default=0)
    lay_rate = models.FloatField(null=True)
    missing = models.JSONField(null=True)
    computed_at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"])]
        constraints = [models.UniqueConstraint(fields=["farm", "line"], name="one_can_promise_a_line")]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.line),
            "from_day": self.from_day.isoformat(),
            "most": self.most,
            "orders": self.orders,
            "hens": self.hens,
            "unknown_before": self.unknown_before,
            "lay_rate": self.lay_rate,
            "missing": self.missing,
            "computed_at": int(self.computed_at.timestamp() * 1000),
        }


class Withheld(Row):
    """Eggs of a line and day laid within a withdrawal span: not to be sold or eaten. Worked out by barnbook.work.
    Its id is as that of EggStore."""

    id = models.CharField(primary_key=True, max_length=50)
    line = models.UUIDField()
    laid_on = models.DateField()
    eggs = models.PositiveIntegerField()

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"]), models.Index(fields=["farm", "line"])]

    def row(self) -> dict[str, Any]:
        return {"id": self.id, "line": str(self.line), "laid_on": self.laid_on.isoformat(), "eggs": self.eggs}
