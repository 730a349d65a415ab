"""Figures at rest, and what must be reckoned again."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import models

from barnbook.barn.models.row import Row, RowsOfFarm


class Figure(Row):
    """A computed number with its n, interval, span and the time it was computed (see figures.estimate)."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    subject = models.CharField(max_length=60)
    name = models.CharField(max_length=40)
    span = models.CharField(max_length=20)
    unit = models.CharField(max_length=40)
    value = models.FloatField(null=True)
    low = models.FloatField(null=True)
    high = models.FloatField(null=True)
    n = models.FloatField(default=0)
    n_of = models.CharField(max_length=40)
    first_day = models.DateField(null=True)
    last_day = models.DateField(null=True)
    method = models.TextField(default="")
    left_out = models.JSONField(default=list)
    missing = models.JSONField(null=True)
    notes = models.JSONField(default=list)
    computed_at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"])]
        constraints = [
            models.UniqueConstraint(fields=["farm", "subject", "name", "span"], name="one_figure_a_subject_and_span")
        ]

    def row(self) -> dict[str, Any]:
        return {
            "id": str(self.id),
            "subject": self.subject,
            "name": self.name,
            "span": self.span,
            "unit": self.unit,
            "value": self.value,
            "low": self.low,
            "high": self.high,
            "n": self.n,
            "n_of": self.n_of,
            "first_day": self.first_day.isoformat() if self.first_day else None,
            "last_day": self.last_day.isoformat() if self.last_day else None,
            "method": self.method,
            "left_out": self.left_out,
            "missing": self.missing,
            "notes": self.notes,
            "computed_at": int(self.computed_at.timestamp() * 1000),
        }


class FigureTable(Row):
    """What one page at the house shows of one line: its figures, and the curves and tables behind them, as one row.

    subject: the page and the line (`laying/<line>`).  body: as docs/wire.md gives it for that page; every number in it
    that someone decides by is a figure, with its n, interval and span.
    """

    subject = models.CharField(max_length=60)
    body = models.JSONField()
    computed_at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"])]
        constraints = [models.UniqueConstraint(fields=["farm", "subject"], name="one_figure_table_a_subject")]

    def row(self) -> dict[str, Any]:
        return {
            "id": self.subject,
            "body": self.body,
            "computed_at": int(self.computed_at.timestamp() * 1000),
        }


class ToReckon(models.Model):
    """A subject whose figures and dues must be computed again.

    Written in the push's own transaction, so that a job killed half-way loses nothing: the job is only a nudge.
    """

    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    subject = models.CharField(max_length=60)
    since = models.DateTimeField()

    objects = RowsOfFarm.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["farm", "subject"], name="reckon_once")]
