"""One bird of a brood on the scale. An id not seen before is a new bird of that brood."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.brood import BroodState
from barnbook.barn.standing.weighings import BirdWeighed
from barnbook.journal.fields import Count, Id, Text, Typed, Weight
from barnbook.journal.kind import Effect, Kind, Written
from barnbook.journal.named_birds import called, without_number


class Body(serializers.Serializer[Any]):
    bird = Id()
    brood = Id()
    number = Count(least=1, most=9999, allow_null=True)
    band = Text(max_length=40, allow_null=True)
    grams = Weight()
    typed = Typed()


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"brood/{body['brood']}"]


def about(body: Mapping[str, Any]) -> list[str]:
    return [f"bird/{body['bird']}"]


def effects(entry: Written) -> list[Effect]:
    return [
        Effect(f"brood/{entry.body['brood']}", _note_weight),
        Effect(f"bird_weighing/{entry.id}", _weigh),
    ]


def _note_weight(state: BroodState, entry: Written) -> None:
    id_ = uuid.UUID(entry.body["bird"])
    bird = called(state, entry)
    bird.last_weight_g, bird.weighed_on = float(entry.body["grams"]), entry.day
    state.put_band(id_, entry.body["band"], entry.id)


def _weigh(state: BirdWeighed, entry: Written) -> None:
    body = entry.body
    state.weighed = (uuid.UUID(body["bird"]), uuid.UUID(body["brood"]), entry.day, float(body["grams"]))


KIND = Kind(
    name="bird_weight", body=Body, needs=needs, effects=effects, about=about, version=2, upgrades={1: without_number}
)
