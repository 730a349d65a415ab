"""A shipment left, on the entry's day: by post, by a carrier, fetched at the gate."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.shipment import ShipmentState
from barnbook.journal.fields import Id, Text
from barnbook.journal.kind import Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    shipment = Id()
    by = Text(max_length=80)
    note = Text(allow_blank=True)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"shipment/{body['shipment']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"shipment/{entry.body['shipment']}", _send)]


def _send(state: ShipmentState, entry: Written) -> None:
    state.sent_on, state.sent_by = entry.day, entry.body["by"]


KIND = Kind(name="sent", body=Body, needs=needs, effects=effects)
