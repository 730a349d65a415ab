"""The eggs found in one cage in one round: every egg counts; cracked, soiled and thin-shelled are among them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.collection import Counted, Counts
from barnbook.journal.fields import Count, Id, Text
from barnbook.journal.kind import Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    cage = Id()
    round = Text(max_length=20)
    eggs = Count()
    cracked = Count()
    soiled = Count()
    thin_shelled = Count()

    def validate_round(self, key: str) -> str:
        if "/" in key:
            raise serializers.ValidationError("must not hold a slash")
        return key

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        not_sound = attrs["cracked"] + attrs["soiled"] + attrs["thin_shelled"]
        if not_sound > attrs["eggs"]:
            raise serializers.ValidationError(
                {"eggs": f"must be every egg found: {not_sound} were not sound, but only {attrs['eggs']} were found"}
            )
        return attrs


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"cage/{body['cage']}"]


def effects(entry: Written) -> list[Effect]:
    body = entry.body
    return [Effect(f"collection/{body['cage']}/{entry.day.isoformat()}/{body['round']}", _count)]


def _count(state: Counts, entry: Written) -> None:
    body = entry.body
    numbers = (body["eggs"], body["cracked"], body["soiled"], body["thin_shelled"])
    state.counts.append(Counted(entry.id, *numbers, stamp=entry.stamp))


KIND = Kind(name="egg_count", body=Body, needs=needs, effects=effects)
