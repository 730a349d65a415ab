"""Feed eaten over some days, the entry's day the last: by a brood, by the cages of a row, or by all the cages."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from rest_framework import serializers

from barnbook.barn.models import Outlay
from barnbook.barn.standing.outlay import OutlayState
from barnbook.journal.fields import Amount, Count, Id, Text
from barnbook.journal.kind import Effect, Kind, Written

MOST_KG = 100_000
MOST_DAYS = 92


class Body(serializers.Serializer[Any]):
    """days: how many it was eaten on, the entry's own the last.  row, brood null both: all the cages."""

    row = Text(max_length=40, allow_null=True)
    brood = Id(allow_null=True)
    kg = Amount(least=0.001, most=MOST_KG)
    days = Count(least=1, most=MOST_DAYS)
    note = Text(allow_blank=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["row"] is not None and attrs["brood"] is not None:
            raise serializers.ValidationError({"row": "and brood must not both be given"})
        return attrs


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"brood/{body['brood']}"] if body["brood"] else []


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"outlay/{entry.id}", _feed)]


def _feed(state: OutlayState, entry: Written) -> None:
    body = entry.body
    day: date = entry.day
    state.values = {
        "sort": Outlay.Sort.FED,
        "day": day,
        "from_day": day - timedelta(days=body["days"] - 1),
        "kg": body["kg"],
        "row": body["row"] or "",
        "brood": uuid.UUID(body["brood"]) if body["brood"] else None,
    }


KIND = Kind(name="feed_fed", body=Body, needs=needs, effects=effects)
