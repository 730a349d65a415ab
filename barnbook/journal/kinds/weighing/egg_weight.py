"""Eggs of a cage on the scale: one, or several at once."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.weighings import EggsWeighed
from barnbook.journal.fields import Count, Id, Typed, Weight
from barnbook.journal.kind import Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    cage = Id()
    eggs = Count(least=1)
    grams = Weight()
    typed = Typed()


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"cage/{body['cage']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"egg_weighing/{entry.id}", _weigh)]


def _weigh(state: EggsWeighed, entry: Written) -> None:
    body = entry.body
    state.weighed = (uuid.UUID(body["cage"]), entry.day, body["eggs"], float(body["grams"]))


KIND = Kind(name="egg_weight", body=Body, needs=needs, effects=effects)
