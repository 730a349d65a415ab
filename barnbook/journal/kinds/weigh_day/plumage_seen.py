"""The plumage class of one bird, seen on the bird itself: it tells what an off-type weighs. The last one stands."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.brood import BroodState
from barnbook.journal.fields import Id, Text
from barnbook.journal.kind import Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    """plumage: a key of the line's classes."""

    bird = Id()
    brood = Id()
    plumage = Text(max_length=20)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"brood/{body['brood']}"]


def about(body: Mapping[str, Any]) -> list[str]:
    return [f"bird/{body['bird']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"brood/{entry.body['brood']}", _see)]


def _see(state: BroodState, entry: Written) -> None:
    state.bird(uuid.UUID(entry.body["bird"])).plumage = entry.body["plumage"]


KIND = Kind(name="plumage_seen", body=Body, needs=needs, effects=effects, about=about)
