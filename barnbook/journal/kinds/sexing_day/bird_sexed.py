"""One bird looked at: cock, hen, or not sure. Looked at again, the last look stands."""

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
    result = serializers.ChoiceField(choices=["cock", "hen", "unsure"])
    band = Text(max_length=40, allow_null=True)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"brood/{body['brood']}"]


def about(body: Mapping[str, Any]) -> list[str]:
    return [f"bird/{body['bird']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"brood/{entry.body['brood']}", _look)]


def _look(state: BroodState, entry: Written) -> None:
    id_ = uuid.UUID(entry.body["bird"])
    called(state, entry)
    state.look(id_, entry.body["result"], day=entry.day, by=entry.author, entry=entry.id)
    state.put_band(id_, entry.body["band"], entry.id)


KIND = Kind(
    name="bird_sexed", body=Body, needs=needs, effects=effects, about=about, version=2, upgrades={1: without_number}
)
