"""Several birds of a brood on the scale together, unbanded and unnamed."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.weighings import BatchWeighed
from barnbook.journal.fields import Count, Id, Typed, Weight
from barnbook.journal.kind import Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    """grams: of all of them together."""

    brood = Id()
    hens = Count()
    cocks = Count()
    unsexed = Count()
    grams = Weight()
    typed = Typed()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["hens"] + attrs["cocks"] + attrs["unsexed"] == 0:
            raise serializers.ValidationError({"hens": "and cocks and unsexed are all 0: say how many were weighed"})
        return attrs


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"brood/{body['brood']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"batch_weighing/{entry.id}", _weigh)]


def _weigh(state: BatchWeighed, entry: Written) -> None:
    body = entry.body
    state.weighed = {
        "brood": uuid.UUID(body["brood"]),
        "day": entry.day,
        "hens": body["hens"],
        "cocks": body["cocks"],
        "unsexed": body["unsexed"],
        "grams": float(body["grams"]),
    }


KIND = Kind(name="birds_weighed", body=Body, needs=needs, effects=effects)
