"""The owner closes a hatch report: from now on the link takes no more. Struck, it is open again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.shipment import ShipmentState
from barnbook.journal.fields import Id
from barnbook.journal.kind import OWNERS, Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    shipment = Id()


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"shipment/{body['shipment']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"shipment/{entry.body['shipment']}", _close)]


def _close(state: ShipmentState, entry: Written) -> None:
    state.report.closed_on = state.report.closed_on or entry.day


KIND = Kind(name="hatch_report_closed", body=Body, needs=needs, effects=effects, written_by=OWNERS)
