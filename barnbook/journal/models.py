"""The entries, what each of them names, and what was set aside."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models

from barnbook.barn.models import Person
from barnbook.barn.models.row import Row, RowsOfFarm


class Entry(Row):
    """One record as it was made, by one person on one device; never changed.

    What may change is how the house reads it: whether it stands, waits for something that it names, or is aside
    (read, but against a rule of the book); the question asked about it; and the strike upon it.
    Order among entries is (day, stamp, id), never seq: seq is the place in the farm's changes.
    """

    class State(models.TextChoices):
        STANDS = "stands"
        WAITS = "waits"
        ASIDE = "aside"

    id = models.UUIDField(primary_key=True)
    kind = models.CharField(max_length=30)
    version = models.PositiveSmallIntegerField()
    day = models.DateField()
    stamp = models.BigIntegerField()
    zone = models.CharField(max_length=64)
    body = models.JSONField()
    author = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    author_role = models.CharField(max_length=10)
    device = models.ForeignKey("barn.Device", on_delete=models.SET_NULL, null=True, related_name="+")
    device_seq = models.BigIntegerField()
    mends = models.UUIDField(null=True)
    digest = models.CharField(max_length=64)
    received_at = models.DateTimeField()
    state = models.CharField(max_length=6, choices=State.choices)
    code = models.CharField(max_length=30, default="", blank=True)
    detail = models.TextField(default="", blank=True)
    struck_by = models.UUIDField(null=True)

    class Meta:
        indexes = [
            models.Index(fields=["farm", "seq"]),
            models.Index(fields=["farm", "day"]),
            # Few wait, and each batch asks for them: without it every entry of the farm would be looked at.
            models.Index(fields=["farm"], condition=models.Q(state="waits"), name="entries_that_wait"),
        ]

    @property
    def order(self) -> tuple[Any, int, uuid.UUID]:
        return (self.day, self.stamp, self.id)

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.id),
            "author": str(self.author_id),
            "kind": self.kind,
            "version": self.version,
            "day": self.day.isoformat(),
            "stamp": self.stamp,
            "zone": self.zone,
            "body": self.body,
            "state": self.state,
            "code": self.code or None,
            "detail": self.detail or None,
            "struck_by": str(self.struck_by) if self.struck_by else None,
            "mends": str(self.mends) if self.mends else None,
        }


class Naming(models.Model):
    """An entry names a subject: it changes it (changes), or it needs it to be there."""

    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="namings")
    subject = models.CharField(max_length=110)
    changes = models.BooleanField()

    objects = RowsOfFarm.as_manager()

    class Meta:
        indexes = [models.Index(fields=["farm", "subject", "changes"])]


class Asked(models.Model):
    """A question about an entry, by who asks it: a subject's key, or `arrival/<code>` for what was seen when it came.
    Which of several shows on the entry is `barnbook.journal.questions`' to say."""

    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="+")
    asker = models.CharField(max_length=110)
    code = models.CharField(max_length=30)
    detail = models.TextField()

    objects = RowsOfFarm.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["entry", "asker"], name="one_question_an_asker")]
        indexes = [models.Index(fields=["farm", "asker"])]


class SetAside(Row):
    """Bytes that came and cannot be read as an entry, or not yet: kept, with the reason, and counting for nothing."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    entry_id = models.CharField(max_length=64, default="", blank=True)
    kind = models.CharField(max_length=60, default="", blank=True)
    author = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    device = models.ForeignKey("barn.Device", on_delete=models.SET_NULL, null=True, related_name="+")
    digest = models.CharField(max_length=64)
    raw = models.TextField()
    later = models.BooleanField(default=False)
    code = models.CharField(max_length=30)
    detail = models.TextField()
    field = models.CharField(max_length=60, default="", blank=True)
    received_at = models.DateTimeField()
    mended_by = models.UUIDField(null=True)

    class Meta:
        indexes = [
            models.Index(fields=["farm", "seq"]),
            models.Index(fields=["farm", "entry_id"]),
            models.Index(fields=["farm", "digest"]),
        ]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.id),
            "entry": self.entry_id or None,
            "kind": self.kind or None,
            "author": str(self.author_id) if self.author_id else None,
            "received": int(self.received_at.timestamp() * 1000),
            "code": self.code,
            "detail": self.detail,
            "field": self.field or None,
            "raw": self.raw[:2000],
            "mended_by": str(self.mended_by) if self.mended_by else None,
        }
