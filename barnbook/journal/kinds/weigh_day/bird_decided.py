"""What the person decided of a bird: keep, sell, process, or hold. Their own tap; the last one stands."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.brood import BroodState
from barnbook.journal.fields import Id, Text
from barnbook.journal.kind import Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    bird = Id()
    brood = Id()
    decision = serializers.ChoiceField(choices=["keep", "sell", "process", "hold"])
    note = Text(allow_blank=True)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"brood/{body['brood']}"]


def about(body: Mapping[str, Any]) -> list[str]:
    return [f"bird/{body['bird']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"brood/{entry.body['brood']}", _decide)]


def _decide(state: BroodState, entry: Written) -> None:
    bird = state.bird(uuid.UUID(entry.body["bird"]))
    bird.decision, bird.decided_on = entry.body["decision"], entry.day


KIND = Kind(name="bird_decided", body=Body, needs=needs, effects=effects, about=about)
