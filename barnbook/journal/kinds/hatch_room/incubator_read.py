"""What an incubator's own gauges showed: warmth and moisture at a setting. It changes nothing that stands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.journal.fields import Amount, Id, Text
from barnbook.journal.kind import Kind


class Body(serializers.Serializer[Any]):
    """humidity_percent: relative."""

    setting = Id()
    temperature_c = Amount(least=-40, most=60, allow_null=True)
    humidity_percent = Amount(least=0, most=100, allow_null=True)
    note = Text(allow_blank=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["temperature_c"] is None and attrs["humidity_percent"] is None:
            raise serializers.ValidationError({"temperature_c": "or humidity_percent must be given"})
        return attrs


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"setting/{body['setting']}"]


KIND = Kind(name="incubator_read", body=Body, needs=needs)
