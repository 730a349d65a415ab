"""Birds put into a cage: from a brood, from another cage, or from elsewhere."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.models import HeadEvent
from barnbook.barn.standing.brood import BroodState
from barnbook.barn.standing.heads import CageHeads, Happened, Heads
from barnbook.journal.fields import Count, Id
from barnbook.journal.kind import Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    cage = Id()
    brood = Id(allow_null=True)
    from_cage = Id(allow_null=True)
    hens = Count()
    cocks = Count()
    unsexed = Count()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["hens"] + attrs["cocks"] + attrs["unsexed"] == 0:
            raise serializers.ValidationError(
                {"hens": "and cocks and unsexed are all 0: say how many birds were placed"}
            )
        if attrs["from_cage"] is not None and attrs["brood"] is not None:
            raise serializers.ValidationError({"from_cage": "and brood are both given: birds come from one of them"})
        if attrs["from_cage"] == attrs["cage"]:
            raise serializers.ValidationError({"from_cage": "is the cage that they were put into"})
        return attrs


def _heads(entry: Written) -> Heads:
    return Heads(entry.body["hens"], entry.body["cocks"], entry.body["unsexed"])


def needs(body: Mapping[str, Any]) -> list[str]:
    named = [f"cage/{body['cage']}"]
    if body["brood"]:
        named.append(f"brood/{body['brood']}")
    if body["from_cage"]:
        named.append(f"cage/{body['from_cage']}")
    return named


def effects(entry: Written) -> list[Effect]:
    body = entry.body
    changes = [Effect(f"heads/{body['cage']}", _move_in)]
    if body["from_cage"]:
        changes.append(Effect(f"heads/{body['from_cage']}", _move_out))
    if body["brood"]:
        changes.append(Effect(f"brood/{body['brood']}", _leave_brood))
    return changes


def _move_in(state: CageHeads, entry: Written) -> None:
    brood = entry.body["brood"]
    state.happened(
        Happened(HeadEvent.Kind.MOVED_IN, entry.day, _heads(entry), entry.id, uuid.UUID(brood) if brood else None)
    )


def _move_out(state: CageHeads, entry: Written) -> None:
    state.happened(Happened(HeadEvent.Kind.MOVED_OUT, entry.day, _heads(entry), entry.id))


def _leave_brood(state: BroodState, entry: Written) -> None:
    state.placed += _heads(entry).total
    state.placed_sexed += _heads(entry).hens + _heads(entry).cocks


KIND = Kind(name="birds_placed", body=Body, needs=needs, effects=effects)
