"""The owner sets a shipment's hatch report aside, with the reason: it is read, and in no figure; the figures say how
many were. Struck, it counts again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.shipment import ShipmentState
from barnbook.journal.fields import Id, Text
from barnbook.journal.kind import OWNERS, Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    """why: a reason that names nobody."""

    shipment = Id()
    why = Text(max_length=200)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"shipment/{body['shipment']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"shipment/{entry.body['shipment']}", _set_aside)]


def _set_aside(state: ShipmentState, entry: Written) -> None:
    state.report.aside_on = entry.day
    state.report.aside_why = entry.body["why"]


KIND = Kind(name="hatch_report_aside", body=Body, needs=needs, effects=effects, written_by=OWNERS)
