"""What was asked about entries was looked at, and is right as it is written: the question is answered for good.

Two counts of one round are not answered so: one of them is to be struck, or their eggs would be counted twice. What it
does is not a change of the barn but of how entries are read: see barnbook.journal.questions.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.journal.fields import Id, Text
from barnbook.journal.kind import OWNERS, Kind

MOST = 200


class Code(Text):
    """The code of a question."""

    def to_internal_value(self, data: Any) -> str:
        code = super().to_internal_value(data)
        if code == "counted_twice":
            raise serializers.ValidationError("cannot be counted_twice: strike the count that is wrong")
        return code


class Body(serializers.Serializer[Any]):
    entries = serializers.ListField(child=Id(), min_length=1, max_length=MOST)
    code = Code(max_length=30)
    note = Text(allow_blank=True)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"entry/{id_}" for id_ in body["entries"]]


KIND = Kind(name="found_right", body=Body, needs=needs, written_by=OWNERS)
