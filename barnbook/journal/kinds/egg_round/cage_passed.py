"""A cage passed over in a round: its eggs stay, and belong to the next count. It changes nothing that stands."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.journal.fields import Id, Text
from barnbook.journal.kind import Kind


class Body(serializers.Serializer[Any]):
    cage = Id()
    round = Text(max_length=20)
    reason = Text(allow_blank=True)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"cage/{body['cage']}"]


KIND = Kind(name="cage_passed", body=Body, needs=needs)
