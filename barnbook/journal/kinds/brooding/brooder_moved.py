"""A brood moved to another brooder, by its name."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.brood import BroodState
from barnbook.journal.fields import Id, Text
from barnbook.journal.kind import Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    brood = Id()
    to = Text(max_length=80)
    note = Text(allow_blank=True)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"brood/{body['brood']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"brood/{entry.body['brood']}", _move)]


def _move(state: BroodState, entry: Written) -> None:
    state.brooder = entry.body["to"]


KIND = Kind(name="brooder_moved", body=Body, needs=needs, effects=effects)
