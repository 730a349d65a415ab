"""Eggs put into boxes, each line and day laid apart, for an order or for none. Written again, it replaces the earlier
one: the eggs of the one go back into the store, those of the other come out."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.shipment import ShipmentState
from barnbook.journal.fields import Count, Id, Text
from barnbook.journal.kind import Effect, Kind, Written
from barnbook.journal.store_eggs import MOST, StoreEggs, check_once, lines_needed


class PackedEggs(StoreEggs):
    """order null: for no order."""

    order = Id(allow_null=True)


class Body(serializers.Serializer[Any]):
    """boxes, box_holds: how many, and how many eggs one holds; null both where there is none."""

    shipment = Id()
    code = Text(max_length=40)
    customer = Id(allow_null=True)
    eggs = serializers.ListField(child=PackedEggs(), min_length=1, max_length=MOST)
    boxes = Count(least=1, allow_null=True)
    box_holds = Count(least=1, allow_null=True)
    packing = Text(max_length=80, allow_blank=True)
    note = Text(allow_blank=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        check_once(attrs["eggs"])
        boxes, holds = attrs["boxes"], attrs["box_holds"]
        if (boxes is None) != (holds is None):
            name = "box_holds" if holds is None else "boxes"
            raise serializers.ValidationError({name: "must be given too: how many boxes, and how many eggs one holds"})
        eggs = sum(each["eggs"] for each in attrs["eggs"])
        if boxes is not None and boxes * holds < eggs:
            raise serializers.ValidationError({"boxes": f"are too few: {boxes} of {holds} do not hold {eggs} eggs"})
        return attrs


def needs(body: Mapping[str, Any]) -> list[str]:
    orders = [f"order/{each['order']}" for each in body["eggs"] if each["order"]]
    return [*lines_needed(body), *dict.fromkeys(orders)]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"shipment/{entry.body['shipment']}", _pack)]


def _pack(state: ShipmentState, entry: Written) -> None:
    body = entry.body
    state.entry, state.stamp = entry.id, entry.stamp
    state.values = {
        "code": body["code"],
        "customer": uuid.UUID(body["customer"]) if body["customer"] else None,
        "eggs": list(body["eggs"]),
        "boxes": body["boxes"],
        "box_holds": body["box_holds"],
        "packing": body["packing"],
        "packed_on": entry.day,
        "note": body["note"],
    }


KIND = Kind(name="packed", body=Body, needs=needs, effects=effects)
