"""An early guess of a bird's sex. It is no look: the bird stays to be sexed, and the vent scores the guess.

By foam a bird is a cock, or unsure, never a hen: foam is absent in some cocks until the end of week 10 (Central Avian
Research Institute, poulvet.com).
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.brood import BroodState
from barnbook.journal.fields import Count, Id, Text
from barnbook.journal.kind import Effect, Kind, Written
from barnbook.journal.named_birds import called, without_number


class Body(serializers.Serializer[Any]):
    bird = Id()
    brood = Id()
    number = Count(least=1, most=9999, allow_null=True)
    guess = serializers.ChoiceField(choices=["cock", "hen", "unsure"])
    by = serializers.ChoiceField(choices=["feathers", "foam", "voice", "other"])
    band = Text(max_length=40, allow_null=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["by"] == "foam" and attrs["guess"] == "hen":
            raise serializers.ValidationError(
                {"guess": "must be cock or unsure by foam: a bird without foam may be a cock until week 10"}
            )
        return attrs


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"brood/{body['brood']}"]


def about(body: Mapping[str, Any]) -> list[str]:
    return [f"bird/{body['bird']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"brood/{entry.body['brood']}", _guess)]


def _guess(state: BroodState, entry: Written) -> None:
    id_ = uuid.UUID(entry.body["bird"])
    bird = called(state, entry)
    bird.guess, bird.guessed_by, bird.guessed_on = entry.body["guess"], entry.body["by"], entry.day
    state.put_band(id_, entry.body["band"], entry.id)


KIND = Kind(
    name="sex_guessed", body=Body, needs=needs, effects=effects, about=about, version=2, upgrades={1: without_number}
)
