"""A strike: the entry that it names was written in error. It stays readable and counts for nothing.

What a strike does is not a change of the barn but of how an entry is read: see barnbook.journal.strike.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.journal.fields import Id, Text
from barnbook.journal.kind import Kind


class Body(serializers.Serializer[Any]):
    entry = Id()
    why = Text(allow_blank=True)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"entry/{body['entry']}"]


KIND = Kind(name="strike", body=Body, needs=needs)
