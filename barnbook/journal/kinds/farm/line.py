"""A line as its owner describes it. Written again, it replaces the earlier one whole."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.line import LineState
from barnbook.journal.fields import Count, Flag, Id, Text, Weight
from barnbook.journal.kind import OWNERS, Effect, Kind, Written

FIELDS = (
    "name",
    "other_names",
    "egg_low_g",
    "egg_high_g",
    "weighing_age_days",
    "sexing_from_day",
    "sexing_to_day",
    "plumage",
    "candle_on_day",
    "lockdown_on_day",
    "hatch_on_day",
    "cock_cut_g",
    "hen_cut_g",
    "laying_life_weeks",
    "hen_breeding_weeks",
    "cock_breeding_weeks",
    "storage_limit_days",
    "note",
)
# What a line said nothing of is read with, before version 2. Where the days come from: docs/wire.md.
BEFORE_VERSION_2: dict[str, Any] = {
    "plumage": [],
    "candle_on_day": 7,
    "lockdown_on_day": 14,
    "hatch_on_day": 17,
    "cock_cut_g": None,
    "hen_cut_g": None,
    "laying_life_weeks": None,
    "hen_breeding_weeks": None,
    "cock_breeding_weeks": None,
    "storage_limit_days": 7,
}


class PlumageClass(serializers.Serializer[Any]):
    """A named look that a chick of the line may have; one of them is the type, the rest off-types."""

    key = Text(max_length=20)
    words = Text(max_length=120)
    is_type = Flag()


class Body(serializers.Serializer[Any]):
    line = Id()
    name = Text(max_length=120)
    other_names = serializers.ListField(child=Text(max_length=120), max_length=20)
    egg_low_g = Weight(allow_null=True)
    egg_high_g = Weight(allow_null=True)
    weighing_age_days = Count(least=1)
    sexing_from_day = Count(least=1)
    sexing_to_day = Count(least=1)
    plumage = serializers.ListField(child=PlumageClass(), max_length=12)
    candle_on_day = Count(least=1, allow_null=True)
    lockdown_on_day = Count(least=1)
    hatch_on_day = Count(least=1)
    cock_cut_g = Weight(allow_null=True)
    hen_cut_g = Weight(allow_null=True)
    laying_life_weeks = Count(least=1, allow_null=True)
    hen_breeding_weeks = Count(least=1, allow_null=True)
    cock_breeding_weeks = Count(least=1, allow_null=True)
    storage_limit_days = Count(least=1)
    note = Text(allow_blank=True)

    def validate_plumage(self, classes: list[dict[str, Any]]) -> list[dict[str, Any]]:
        if len({each["key"] for each in classes}) < len(classes):
            raise serializers.ValidationError("must each have a key of their own")
        if classes and sum(each["is_type"] for each in classes) != 1:
            raise serializers.ValidationError("must have one class that is the type")
        return classes

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        low, high = attrs["egg_low_g"], attrs["egg_high_g"]
        if low is not None and high is not None and high < low:
            raise serializers.ValidationError({"egg_high_g": "must not be below egg_low_g"})
        if attrs["sexing_to_day"] < attrs["sexing_from_day"]:
            raise serializers.ValidationError({"sexing_to_day": "must not be before sexing_from_day"})
        if attrs["lockdown_on_day"] >= attrs["hatch_on_day"]:
            raise serializers.ValidationError({"hatch_on_day": "must be after lockdown_on_day"})
        if attrs["candle_on_day"] is not None and attrs["candle_on_day"] > attrs["lockdown_on_day"]:
            raise serializers.ValidationError({"candle_on_day": "must not be after lockdown_on_day"})
        return attrs


def from_version_1(body: dict[str, Any]) -> dict[str, Any]:
    return {**body, **BEFORE_VERSION_2}


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"line/{entry.body['line']}", _write)]


def _write(state: LineState, entry: Written) -> None:
    state.values = {name: entry.body[name] for name in FIELDS}


KIND = Kind(name="line", body=Body, effects=effects, written_by=OWNERS, version=2, upgrades={1: from_version_1})
