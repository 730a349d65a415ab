"""Birds found dead, in a cage or in a brood."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.models import HeadEvent
from barnbook.barn.standing.brood import BroodState
from barnbook.barn.standing.heads import CageHeads, Happened, Heads
from barnbook.journal.fields import Count, Id, Text
from barnbook.journal.kind import Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    cage = Id(allow_null=True)
    brood = Id(allow_null=True)
    hens = Count()
    cocks = Count()
    unsexed = Count()
    note = Text(allow_blank=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if (attrs["cage"] is None) == (attrs["brood"] is None):
            raise serializers.ValidationError({"cage": "or brood must be given, and only one of them"})
        if attrs["hens"] + attrs["cocks"] + attrs["unsexed"] == 0:
            raise serializers.ValidationError({"hens": "and cocks and unsexed are all 0: say how many were found dead"})
        return attrs


def _heads(entry: Written) -> Heads:
    return Heads(entry.body["hens"], entry.body["cocks"], entry.body["unsexed"])


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"cage/{body['cage']}" if body["cage"] else f"brood/{body['brood']}"]


def effects(entry: Written) -> list[Effect]:
    if entry.body["cage"]:
        return [Effect(f"heads/{entry.body['cage']}", _die_in_cage)]
    return [Effect(f"brood/{entry.body['brood']}", _die_in_brood)]


def _die_in_cage(state: CageHeads, entry: Written) -> None:
    state.happened(Happened(HeadEvent.Kind.DIED, entry.day, _heads(entry), entry.id))


def _die_in_brood(state: BroodState, entry: Written) -> None:
    state.dead += _heads(entry).total


KIND = Kind(name="found_dead", body=Body, needs=needs, effects=effects)
