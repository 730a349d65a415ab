"""Hours of light and warmth of a group: the cages of a row, a brood, or the whole barn. It changes nothing that
stands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.journal.fields import Amount, Id, Text
from barnbook.journal.kind import Kind


class Body(serializers.Serializer[Any]):
    """row and brood null: the whole barn."""

    row = Text(max_length=40, allow_null=True)
    brood = Id(allow_null=True)
    light_hours = Amount(least=0, most=24, allow_null=True)
    temperature_c = Amount(least=-40, most=60, allow_null=True)
    note = Text(allow_blank=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["row"] is not None and attrs["brood"] is not None:
            raise serializers.ValidationError({"row": "and brood are both given: it is of one of them"})
        if attrs["light_hours"] is None and attrs["temperature_c"] is None:
            raise serializers.ValidationError({"light_hours": "or temperature_c must be given"})
        return attrs


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"brood/{body['brood']}"] if body["brood"] else []


KIND = Kind(name="lights_and_heat", body=Body, needs=needs)
