"""Birds found injured, in a cage or a brood. It changes nothing that stands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.journal.fields import Count, Id, Text
from barnbook.journal.kind import Kind


class Body(serializers.Serializer[Any]):
    cage = Id(allow_null=True)
    brood = Id(allow_null=True)
    bird = Id(allow_null=True)
    number = Count(least=1)
    text = Text()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["cage"] is None and attrs["brood"] is None:
            raise serializers.ValidationError({"cage": "or brood must be given: say where the birds are"})
        if attrs["bird"] is not None and attrs["brood"] is None:
            raise serializers.ValidationError({"bird": "is given without its brood: give that too"})
        if attrs["bird"] is not None and attrs["number"] != 1:
            raise serializers.ValidationError({"number": "must be 1 where the bird is named"})
        return attrs


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"{name}/{body[name]}" for name in ("cage", "brood") if body[name]]


def about(body: Mapping[str, Any]) -> list[str]:
    return [f"bird/{body['bird']}"] if body["bird"] else []


KIND = Kind(name="injured", body=Body, needs=needs, about=about)
