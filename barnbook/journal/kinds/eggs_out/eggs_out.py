"""Eggs taken from the store for good: eaten, sold to eat, or thrown away."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from barnbook.barn.models import EggMove
from barnbook.journal.fields import Text
from barnbook.journal.kind import Effect, Kind, Written
from barnbook.journal.store_eggs import MOST, StoreEggs, check_once, lines_needed, moves_of

HOW = (EggMove.How.EATEN, EggMove.How.SOLD_TO_EAT, EggMove.How.THROWN_AWAY)


class Body(serializers.Serializer[Any]):
    how = serializers.ChoiceField(choices=[str(how) for how in HOW])
    eggs = serializers.ListField(child=StoreEggs(), min_length=1, max_length=MOST)
    note = Text(allow_blank=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        check_once(attrs["eggs"])
        return attrs


def effects(entry: Written) -> list[Effect]:
    return moves_of(entry, how=entry.body["how"])


KIND = Kind(name="eggs_out", body=Body, needs=lines_needed, effects=effects)
