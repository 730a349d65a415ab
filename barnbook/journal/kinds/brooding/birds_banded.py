"""Bands put on birds of a brood: a run at once, or one. An id not seen before is a new bird of the brood."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.brood import BroodState
from barnbook.journal.fields import Id, Text
from barnbook.journal.kind import Effect, Kind, Written


class Banded(serializers.Serializer[Any]):
    """One bird and the band that it wears now."""

    bird = Id()
    band = Text(max_length=40)


class Body(serializers.Serializer[Any]):
    brood = Id()
    birds = serializers.ListField(child=Banded(), min_length=1, max_length=200)

    def validate_birds(self, birds: list[dict[str, Any]]) -> list[dict[str, Any]]:
        for name in ("bird", "band"):
            if len({each[name] for each in birds}) < len(birds):
                raise serializers.ValidationError(f"must name each {name} once")
        return birds


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"brood/{body['brood']}"]


def about(body: Mapping[str, Any]) -> list[str]:
    return [f"bird/{each['bird']}" for each in body["birds"]]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"brood/{entry.body['brood']}", _band)]


def _band(state: BroodState, entry: Written) -> None:
    for each in entry.body["birds"]:
        state.put_band(uuid.UUID(each["bird"]), each["band"], entry.id)


KIND = Kind(name="birds_banded", body=Body, needs=needs, effects=effects, about=about)
