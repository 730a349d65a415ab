"""What changed in a farm since a place: the sync's reading half.

Each row carries its place (seq), drawn under the farm's lock and committed with it; so whoever has read up to a place
has missed nothing before it.
"""

from __future__ import annotations

import heapq
import uuid
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import islice
from typing import Any

from django.db.models import Q

from barnbook.barn.models import (
    Bird,
    Brood,
    Cage,
    CanPromise,
    Due,
    EggStore,
    Farm,
    Figure,
    FigureTable,
    Gone,
    Line,
    Order,
    Parents,
    Person,
    Setting,
    Shipment,
    Tray,
    Wait,
    Withdrawal,
    Withheld,
)
from barnbook.journal.models import Entry, SetAside

DAYS_OF_ENTRIES = 90  # older ones are read on demand
DAYS_OF_EGGS = 60  # older ones hatch no more (docs/sources.md), and nobody counts them any longer

TABLES: dict[str, Any] = {
    "farm": Farm,
    "person": Person,
    "line": Line,
    "cage": Cage,
    "brood": Brood,
    "bird": Bird,
    "setting": Setting,
    "tray": Tray,
    "parents": Parents,
    "withdrawal": Withdrawal,
    "wait": Wait,
    "egg_store": EggStore,
    "order": Order,
    "shipment": Shipment,
    "can_promise": CanPromise,
    "withheld": Withheld,
    "entry": Entry,
    "aside": SetAside,
    "figure": Figure,
    "figure_table": FigureTable,
    "due": Due,
}


@dataclass(frozen=True, slots=True)
class Changes:
    """rows: {table, id, row or None}, oldest change first.  next: ask after this place.  more: there is more."""

    rows: list[dict[str, Any]]
    next: int
    more: bool


def changes_after(farm_id: uuid.UUID, *, after: int, limit: int, today: date, without: Collection[str] = ()) -> Changes:
    """At most `limit` rows whose place is above `after`, in the order of their places.

    The farm's place is read first: what is committed meanwhile is above it, and is left to the next call, so that
    the several queries speak of one moment.
    """
    last = Farm.objects.values_list("last_seq", flat=True).get(pk=farm_id)
    streams = [
        _places(model, name, farm_id, after=after, last=last, limit=limit, today=today)
        for name, model in TABLES.items()
        if name not in without
    ]
    streams.append(_gone(farm_id, after=after, last=last, limit=limit))
    merged = list(islice(heapq.merge(*streams, key=lambda each: each[0]), limit + 1))
    page, more = merged[:limit], len(merged) > limit
    rows = [{"table": table, "id": id_, "row": row} for _, table, id_, row in page]
    return Changes(rows=rows, next=page[-1][0] if more else max(last, after), more=more)


Place = tuple[int, str, str, dict[str, Any] | None]


def _places(
    model: Any, table: str, farm_id: uuid.UUID, *, after: int, last: int, limit: int, today: date
) -> Iterator[Place]:
    rows = model.objects.filter(seq__gt=after, seq__lte=last).order_by("seq")
    rows = rows.filter(pk=farm_id) if model is Farm else rows.filter(farm_id=farm_id)
    if model is Entry:
        rows = rows.filter(day__gte=today - timedelta(days=DAYS_OF_ENTRIES))
    if model is EggStore:
        rows = rows.filter(Q(laid_on=None) | Q(laid_on__gte=today - timedelta(days=DAYS_OF_EGGS)))
    for each in rows[: limit + 1]:
        row = each.row()
        yield (each.seq, table, row["id"], row)


def _gone(farm_id: uuid.UUID, *, after: int, last: int, limit: int) -> Iterator[Place]:
    for each in Gone.objects.of(farm_id).filter(seq__gt=after, seq__lte=last).order_by("seq")[: limit + 1]:
        yield (each.seq, each.table, each.row_id, None)
