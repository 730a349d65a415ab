"""Birds found dead, in a cage or in a brood; with the ids of those that are known."""

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
    without_birds,
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
        check_numbers(attrs, done="were found dead")
        return attrs


def effects(entry: Written) -> list[Effect]:
    return effects_of_leaving(entry, how="dead", kind=HeadEvent.Kind.DIED)


KIND = Kind(
    name="found_dead",
    body=Body,
    needs=needs_of_leaving,
    effects=effects,
    about=birds_about,
    version=2,
    upgrades={1: without_birds},
)
