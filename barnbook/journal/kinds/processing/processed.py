"""Birds processed, taken from a cage or a brood: live and dressed weight, and how clean they plucked."""

from __future__ import annotations

import uuid
from typing import Any

from rest_framework import serializers

from barnbook.barn.models import HeadEvent
from barnbook.barn.standing.weighings import Processed
from barnbook.journal.fields import Count, Id, Text, Typed, Weight
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
    """live_g, dressed_g: of all of them together. pluck: 1 torn or many feathers left, 3 some pin feathers, 5 clean."""

    cage = Id(allow_null=True)
    brood = Id(allow_null=True)
    hens = Count()
    cocks = Count()
    unsexed = Count()
    birds = NamedBirds()
    live_g = Weight(allow_null=True)
    live_typed = Typed(allow_null=True)
    dressed_g = Weight(allow_null=True)
    dressed_typed = Typed(allow_null=True)
    pluck = Count(least=1, most=5, allow_null=True)
    note = Text(allow_blank=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        check_taken_from(attrs)
        check_numbers(attrs, done="were processed")
        for grams, typed in (("live_g", "live_typed"), ("dressed_g", "dressed_typed")):
            if (attrs[grams] is None) != (attrs[typed] is None):
                raise serializers.ValidationError({typed: f"and {grams} must both be given, or neither"})
        return attrs


def effects(entry: Written) -> list[Effect]:
    leaving = effects_of_leaving(entry, how="processed", kind=HeadEvent.Kind.MOVED_OUT)
    return [*leaving, Effect(f"processing/{entry.id}", _process)]


def _process(state: Processed, entry: Written) -> None:
    body = entry.body
    birds = body["birds"]
    alone = birds[0]["bird"] if len(birds) == 1 and body["hens"] + body["cocks"] + body["unsexed"] == 1 else None
    brood = body["brood"] or (birds[0]["brood"] if alone else None)
    state.processed = {
        "brood": uuid.UUID(brood) if brood else None,
        "cage": uuid.UUID(body["cage"]) if body["cage"] else None,
        "bird": uuid.UUID(alone) if alone else None,
        "day": entry.day,
        "hens": body["hens"],
        "cocks": body["cocks"],
        "unsexed": body["unsexed"],
        "live_g": body["live_g"],
        "dressed_g": body["dressed_g"],
        "pluck": body["pluck"],
    }


KIND = Kind(name="processed", body=Body, needs=needs_of_leaving, effects=effects, about=birds_about)
