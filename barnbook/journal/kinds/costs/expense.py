"""Something else that was used up and paid for: for laying, hatching, rearing or processing; of one line, or shared."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.models import Outlay
from barnbook.barn.standing.outlay import OutlayState
from barnbook.journal.fields import Amount, Id, Text
from barnbook.journal.kind import OWNERS, Effect, Kind, Written

PARTS = ("laying", "hatching", "rearing", "processing")
MOST_MONEY = 1_000_000


class Body(serializers.Serializer[Any]):
    """part: what it was for.  line null: shared among the lines, by the measure that goes with the part."""

    part = serializers.ChoiceField(PARTS)
    what = Text(max_length=80)
    line = Id(allow_null=True)
    amount = Amount(least=0, most=MOST_MONEY)
    currency = Text(max_length=8)
    note = Text(allow_blank=True)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"line/{body['line']}"] if body["line"] else []


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"outlay/{entry.id}", _spend)]


def _spend(state: OutlayState, entry: Written) -> None:
    body = entry.body
    state.values = {
        "sort": Outlay.Sort.OTHER,
        "day": entry.day,
        "from_day": entry.day,
        "amount": body["amount"],
        "currency": body["currency"],
        "what": body["what"],
        "line": uuid.UUID(body["line"]) if body["line"] else None,
        "part": body["part"],
    }


KIND = Kind(name="expense", body=Body, needs=needs, effects=effects, written_by=OWNERS)
