"""Birds sold alive, from a cage or a brood. Who bought them is not written here: people outside the barn are outside
the journal."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from barnbook.barn.models import HeadEvent
from barnbook.journal.fields import Count, Id, Text
from barnbook.journal.kind import Effect, Kind, Written
from barnbook.journal.named_birds import (
    NamedBirds,
    birds_about,
    check_numbers,
    check_taken_from,
    effects_of_leaving,
    needs_of_leaving,
)


class Body(serializers.Serializer[Any]):
    cage = Id(allow_null=True)
    brood = Id(allow_null=True)
    hens = Count()
    cocks = Count()
    unsexed = Count()
    birds = NamedBirds()
    note = Text(allow_blank=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        check_taken_from(attrs)
        check_numbers(attrs, done="were sold")
        return attrs


def effects(entry: Written) -> list[Effect]:
    return effects_of_leaving(entry, how="sold", kind=HeadEvent.Kind.MOVED_OUT)


KIND = Kind(name="birds_sold", body=Body, needs=needs_of_leaving, effects=effects, about=birds_about)
