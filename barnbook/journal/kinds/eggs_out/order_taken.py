"""An order: how many eggs of which line by which day. Who wants them is an opaque id: people outside the barn are
outside the journal. Written again, it replaces the earlier one; what was promised stays promised."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.order import OrderState
from barnbook.journal.fields import Count, Day, Id, Text
from barnbook.journal.kind import OWNERS, Effect, Kind, Written
from barnbook.journal.store_eggs import MOST_ORDERED


class Body(serializers.Serializer[Any]):
    """oldest_days: how old the eggs may be on the day; null: the line's storage limit."""

    order = Id()
    code = Text(max_length=40)
    customer = Id(allow_null=True)
    line = Id()
    eggs = Count(least=1, most=MOST_ORDERED)
    wanted_by = Day()
    oldest_days = Count(least=1, most=60, allow_null=True)
    note = Text(allow_blank=True)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"line/{body['line']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"order/{entry.body['order']}", _take)]


def _take(state: OrderState, entry: Written) -> None:
    body = entry.body
    state.first_day = state.first_day or entry.day
    state.values = {
        "code": body["code"],
        "customer": uuid.UUID(body["customer"]) if body["customer"] else None,
        "line": uuid.UUID(body["line"]),
        "eggs": body["eggs"],
        "wanted_by": date.fromisoformat(body["wanted_by"]),
        "oldest_days": body["oldest_days"],
        "note": body["note"],
    }


KIND = Kind(name="order_taken", body=Body, needs=needs, effects=effects, written_by=OWNERS)
