"""A brood that comes of a setting. Its chicks are those that `chicks_seen` counts; its parents, by way of its trays,
are the source cages and who stood in them on the days the eggs were laid."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.brood import BroodState
from barnbook.journal.fields import Day, Id, Text
from barnbook.journal.kind import Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    brood = Id()
    setting = Id()
    trays = serializers.ListField(child=Id(), min_length=1, max_length=40)
    line = Id()
    code = Text(max_length=40)
    hatched_on = Day()
    note = Text(allow_blank=True)

    def validate_trays(self, trays: list[uuid.UUID]) -> list[uuid.UUID]:
        if len(set(trays)) < len(trays):
            raise serializers.ValidationError("must be named once each")
        return trays


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"line/{body['line']}", f"setting/{body['setting']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"brood/{entry.body['brood']}", _hatch)]


def _hatch(state: BroodState, entry: Written) -> None:
    body = entry.body
    state.written_by = entry.id
    state.setting, state.trays = uuid.UUID(body["setting"]), list(body["trays"])
    state.bought_sexed = 0
    state.values = {
        "line_id": uuid.UUID(body["line"]),
        "code": body["code"],
        "hatched_on": date.fromisoformat(body["hatched_on"]),
        "chicks": None,
        "bought_in": False,
        "hatch_day_sure": True,
        "quarantine_until": None,
        "note": body["note"],
    }


KIND = Kind(name="brood_hatched", body=Body, needs=needs, effects=effects)
