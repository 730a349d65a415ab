"""Birds bought in: they make a brood of their own, in quarantine until a day. Written again, it replaces."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.brood import BroodState
from barnbook.journal.fields import Count, Day, Flag, Id, Text
from barnbook.journal.kind import Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    """hatch_day_sure: false where the day they hatched on is somebody's estimate."""

    brood = Id()
    line = Id()
    code = Text(max_length=40)
    hatched_on = Day()
    hatch_day_sure = Flag()
    hens = Count()
    cocks = Count()
    unsexed = Count()
    quarantine_until = Day(allow_null=True)
    note = Text(allow_blank=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["hens"] + attrs["cocks"] + attrs["unsexed"] == 0:
            raise serializers.ValidationError({"hens": "and cocks and unsexed are all 0: say how many were bought"})
        return attrs


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"line/{body['line']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"brood/{entry.body['brood']}", _buy)]


def _buy(state: BroodState, entry: Written) -> None:
    body = entry.body
    until = body["quarantine_until"]
    state.written_by = entry.id
    state.bought_sexed = body["hens"] + body["cocks"]
    state.values = {
        "line_id": uuid.UUID(body["line"]),
        "code": body["code"],
        "hatched_on": date.fromisoformat(body["hatched_on"]),
        "chicks": body["hens"] + body["cocks"] + body["unsexed"],
        "bought_in": True,
        "hatch_day_sure": body["hatch_day_sure"],
        "quarantine_until": date.fromisoformat(until) if until else None,
        "note": body["note"],
    }


KIND = Kind(name="birds_bought_in", body=Body, needs=needs, effects=effects)
