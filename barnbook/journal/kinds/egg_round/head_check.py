"""What stands in a cage, counted by looking: it resets the head count."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.models import HeadEvent
from barnbook.barn.standing.heads import CageHeads, Happened, Heads
from barnbook.journal.fields import Count, Id
from barnbook.journal.kind import Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    cage = Id()
    hens = Count()
    cocks = Count()
    unsexed = Count()


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"cage/{body['cage']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"heads/{entry.body['cage']}", _check)]


def _check(state: CageHeads, entry: Written) -> None:
    body = entry.body
    seen = Heads(body["hens"], body["cocks"], body["unsexed"])
    state.happened(Happened(HeadEvent.Kind.CHECKED, entry.day, seen, entry.id))


KIND = Kind(name="head_check", body=Body, needs=needs, effects=effects)
