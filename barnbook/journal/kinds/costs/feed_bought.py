"""Feed bought: how much, and what was paid for it. It is the price of feed; what was eaten is another entry."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from barnbook.barn.models import Outlay
from barnbook.barn.standing.outlay import OutlayState
from barnbook.journal.fields import Amount, Text
from barnbook.journal.kind import Effect, Kind, Written

MOST_KG = 100_000
MOST_MONEY = 1_000_000


class Body(serializers.Serializer[Any]):
    """paid, currency: both, or neither where nobody said."""

    what = Text(max_length=80, allow_blank=True)
    kg = Amount(least=0.001, most=MOST_KG)
    paid = Amount(least=0, most=MOST_MONEY, allow_null=True)
    currency = Text(max_length=8, allow_null=True)
    note = Text(allow_blank=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if (attrs["paid"] is None) != (attrs["currency"] is None):
            raise serializers.ValidationError({"currency": "and paid must both be given, or neither"})
        return attrs


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"outlay/{entry.id}", _buy)]


def _buy(state: OutlayState, entry: Written) -> None:
    body = entry.body
    state.values = {
        "sort": Outlay.Sort.BOUGHT,
        "day": entry.day,
        "from_day": entry.day,
        "kg": body["kg"],
        "amount": body["paid"],
        "currency": body["currency"] or "",
        "what": body["what"],
    }


KIND = Kind(name="feed_bought", body=Body, effects=effects)
