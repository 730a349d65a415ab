"""The store looked at: so many eggs of this line and day are there. It stands against all that was written before."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from barnbook.barn.models import EggMove
from barnbook.journal.fields import Count, Day, Id, Text
from barnbook.journal.kind import Effect, Kind, Written
from barnbook.journal.store_eggs import MOST, check_once, lines_needed, moves_of


class SeenEggs(serializers.Serializer[Any]):
    line = Id()
    laid_on = Day()
    eggs = Count()


class Body(serializers.Serializer[Any]):
    eggs = serializers.ListField(child=SeenEggs(), min_length=1, max_length=MOST)
    note = Text(allow_blank=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        check_once(attrs["eggs"])
        return attrs


def effects(entry: Written) -> list[Effect]:
    return moves_of(entry, how=EggMove.How.SEEN)


KIND = Kind(name="store_seen", body=Body, needs=lines_needed, effects=effects)
