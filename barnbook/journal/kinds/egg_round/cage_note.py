"""A note about a cage. It changes nothing that stands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.journal.fields import Id, Text
from barnbook.journal.kind import Kind


class Body(serializers.Serializer[Any]):
    cage = Id()
    text = Text()


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"cage/{body['cage']}"]


KIND = Kind(name="cage_note", body=Body, needs=needs)
