"""What every row that a phone may pull has: its farm, and its place in that farm's changes."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from typing import Any, Self

from django.db import models


class RowsOfFarm(models.QuerySet[Any]):
    """The one place where rows are scoped by farm."""

    def of(self, farm: models.Model | uuid.UUID) -> Self:
        return self.filter(farm_id=farm if isinstance(farm, uuid.UUID) else farm.pk)


class Row(models.Model):
    """A row of one farm. seq is its place in the farm's changes: a larger one is newer."""

    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="+")
    seq = models.BigIntegerField(default=0)

    objects = RowsOfFarm.as_manager()

    class Meta:
        abstract = True


def changed(farm: Any, rows: Iterable[Any]) -> list[Any]:
    """Give each row the next place in the farm's changes.

    The caller holds the farm's lock (`Farm.objects.locked`), saves the rows and then the farm's `last_seq`, all in one
    transaction: so the order of places is the order of commits, and a reader can never skip a late commit.
    """
    rows = list(rows)
    for row in rows:
        farm.last_seq += 1
        row.seq = farm.last_seq
    return rows


class Gone(Row):
    """A row that stood once and was taken away: phones are told so."""

    table = models.CharField(max_length=20)
    row_id = models.CharField(max_length=64)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["farm", "table", "row_id"], name="one_gone_a_row")]
        indexes = [models.Index(fields=["farm", "seq"])]
