"""The farm's own settings: its name, zone, unit of weight, and how often it walks past the cages."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.farm import FarmSettings
from barnbook.journal.fields import Flag, Text, Zone
from barnbook.journal.kind import OWNERS, Effect, Kind, Written


class Round(serializers.Serializer[Any]):
    """One walk past the cages. after_lay: it collects the eggs of its own day, else those laid until the day before."""

    key = Text(max_length=20)
    name = Text(max_length=40)
    after_lay = Flag()


class Body(serializers.Serializer[Any]):
    name = Text(max_length=120)
    zone = Zone(max_length=64)
    weight_unit = serializers.ChoiceField(choices=["g", "oz"])
    rounds = serializers.ListField(child=Round(), min_length=1, max_length=8)

    def validate_rounds(self, rounds: list[dict[str, Any]]) -> list[dict[str, Any]]:
        keys = [each["key"] for each in rounds]
        if len(set(keys)) != len(keys):
            raise serializers.ValidationError("must each have a key of their own")
        if any("/" in key for key in keys):
            raise serializers.ValidationError("must have keys without a slash")
        return rounds


def effects(entry: Written) -> list[Effect]:
    return [Effect("farm", _write)]


def _write(state: FarmSettings, entry: Written) -> None:
    state.values = {name: entry.body[name] for name in ("name", "zone", "weight_unit", "rounds")}


KIND = Kind(name="farm", body=Body, effects=effects, written_by=OWNERS)
