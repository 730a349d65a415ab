"""A line as its owner describes it. Written again, it replaces the earlier one whole."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.line import LineState
from barnbook.journal.fields import Count, Id, Text, Weight
from barnbook.journal.kind import OWNERS, Effect, Kind, Written

FIELDS = (
    "name",
    "other_names",
    "egg_low_g",
    "egg_high_g",
    "weighing_age_days",
    "sexing_from_day",
    "sexing_to_day",
    "note",
)


class Body(serializers.Serializer[Any]):
    line = Id()
    name = Text(max_length=120)
    other_names = serializers.ListField(child=Text(max_length=120), max_length=20)
    egg_low_g = Weight(allow_null=True)
    egg_high_g = Weight(allow_null=True)
    weighing_age_days = Count(least=1)
    sexing_from_day = Count(least=1)
    sexing_to_day = Count(least=1)
    note = Text(allow_blank=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        low, high = attrs["egg_low_g"], attrs["egg_high_g"]
        if low is not None and high is not None and high < low:
            raise serializers.ValidationError({"egg_high_g": "must not be below egg_low_g"})
        if attrs["sexing_to_day"] < attrs["sexing_from_day"]:
            raise serializers.ValidationError({"sexing_to_day": "must not be before sexing_from_day"})
        return attrs


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"line/{entry.body['line']}", _write)]


def _write(state: LineState, entry: Written) -> None:
    state.values = {name: entry.body[name] for name in FIELDS}


KIND = Kind(name="line", body=Body, effects=effects, written_by=OWNERS)
