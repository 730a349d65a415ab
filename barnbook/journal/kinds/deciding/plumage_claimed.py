"""What the owner says of a line's plumage: the shares it is sold as, which classes are held to be single recessives,
and whether its parents meet at random. Written again it replaces; no parts: it is sold as nothing.

The class is a key of the line. One that the line does not name (any more) counts as claimed all the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.line import LineState
from barnbook.journal.fields import Amount, Flag, Id, Text
from barnbook.journal.kind import OWNERS, Effect, Kind, Written

MOST_CLASSES = 12


class Part(serializers.Serializer[Any]):
    """A class and its part of all: 97, 2 and 1 are 97, 2 and 1 of a hundred."""

    key = Text(max_length=20)
    part = Amount(least=0, most=1_000)


class Body(serializers.Serializer[Any]):
    line = Id()
    parts = serializers.ListField(child=Part(), max_length=MOST_CLASSES)
    recessive = serializers.ListField(child=Text(max_length=20), max_length=MOST_CLASSES)
    met_at_random = Flag()
    note = Text(allow_blank=True)

    def validate_parts(self, parts: list[dict[str, Any]]) -> list[dict[str, Any]]:
        if len({each["key"] for each in parts}) < len(parts):
            raise serializers.ValidationError("must name each class once")
        if len(parts) == 1 or (parts and not sum(each["part"] for each in parts) > 0):
            raise serializers.ValidationError("must be two parts or more that come to more than 0, or none")
        return parts

    def validate_recessive(self, keys: list[str]) -> list[str]:
        if len(set(keys)) < len(keys):
            raise serializers.ValidationError("must name each class once")
        return keys


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"line/{body['line']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"line/{entry.body['line']}", _claim)]


def _claim(state: LineState, entry: Written) -> None:
    body = entry.body
    state.claim = {
        "parts": {each["key"]: each["part"] for each in body["parts"]},
        "recessive": list(body["recessive"]),
        "met_at_random": body["met_at_random"],
        "said_on": entry.day.isoformat(),
    }


KIND = Kind(name="plumage_claimed", body=Body, needs=needs, effects=effects, written_by=OWNERS)
