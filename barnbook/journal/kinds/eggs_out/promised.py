"""The owner's word to a customer: so many eggs on that day. Given only where the house was at least 90 in 100 sure
(barnbook.figures.promise); `sure` is what it had said."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.order import OrderState
from barnbook.journal.fields import Amount, Count, Day, Id
from barnbook.journal.kind import OWNERS, Effect, Kind, Written
from barnbook.journal.store_eggs import MOST_ORDERED

LEAST_SURE = 0.9


class Body(serializers.Serializer[Any]):
    order = Id()
    eggs = Count(least=1, most=MOST_ORDERED)
    for_day = Day()
    sure = Amount(least=LEAST_SURE, most=1)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"order/{body['order']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"order/{entry.body['order']}", _promise)]


def _promise(state: OrderState, entry: Written) -> None:
    state.promised = {
        "promised_eggs": entry.body["eggs"],
        "promised_for": date.fromisoformat(entry.body["for_day"]),
        "promised_sure": float(entry.body["sure"]),
        "promised_on": entry.day,
    }


KIND = Kind(name="promised", body=Body, needs=needs, effects=effects, written_by=OWNERS)
