"""Birds put into a cage: from a brood, from another cage, or from elsewhere; with the ids of those that are known."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.models import HeadEvent
from barnbook.barn.standing.brood import BroodState
from barnbook.barn.standing.heads import CageHeads, Happened
from barnbook.journal.fields import Count, Id
from barnbook.journal.kind import Effect, Kind, Written
from barnbook.journal.named_birds import (
    NamedBirds,
    birds_about,
    by_brood,
    check_numbers,
    heads_of,
    without_birds,
)


class Body(serializers.Serializer[Any]):
    cage = Id()
    brood = Id(allow_null=True)
    from_cage = Id(allow_null=True)
    hens = Count()
    cocks = Count()
    unsexed = Count()
    birds = NamedBirds()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        check_numbers(attrs, done="birds were placed")
        if attrs["from_cage"] is not None and attrs["brood"] is not None:
            raise serializers.ValidationError({"from_cage": "and brood are both given: birds come from one of them"})
        if attrs["from_cage"] == attrs["cage"]:
            raise serializers.ValidationError({"from_cage": "is the cage that they were put into"})
        return attrs


def needs(body: Mapping[str, Any]) -> list[str]:
    named = [f"cage/{body['cage']}"]
    if body["brood"]:
        named.append(f"brood/{body['brood']}")
    if body["from_cage"]:
        named.append(f"cage/{body['from_cage']}")
    return list(dict.fromkeys([*named, *(f"brood/{brood}" for brood in by_brood(body))]))


def effects(entry: Written) -> list[Effect]:
    body = entry.body
    changes = [Effect(f"heads/{body['cage']}", _move_in)]
    if body["from_cage"]:
        changes.append(Effect(f"heads/{body['from_cage']}", _move_out))
    if body["brood"]:
        changes.append(Effect(f"brood/{body['brood']}", _leave_brood))
    return [*changes, *(Effect(f"brood/{brood}", _stand_in(birds)) for brood, birds in by_brood(body).items())]


def _move_in(state: CageHeads, entry: Written) -> None:
    brood, from_cage = entry.body["brood"], entry.body["from_cage"]
    state.happened(
        Happened(
            HeadEvent.Kind.MOVED_IN,
            entry.day,
            heads_of(entry.body),
            entry.id,
            brood=uuid.UUID(brood) if brood else None,
            from_cage=uuid.UUID(from_cage) if from_cage else None,
        )
    )


def _move_out(state: CageHeads, entry: Written) -> None:
    state.happened(Happened(HeadEvent.Kind.MOVED_OUT, entry.day, heads_of(entry.body), entry.id))


def _leave_brood(state: BroodState, entry: Written) -> None:
    heads = heads_of(entry.body)
    state.place(heads.total, heads.hens + heads.cocks, entry.id, named=len(entry.body["birds"]))


def _stand_in(birds: list[uuid.UUID]) -> Callable[[BroodState, Written], None]:
    def apply(state: BroodState, entry: Written) -> None:
        from_cage = entry.body["from_cage"]
        state.place_named(
            birds,
            cage=uuid.UUID(entry.body["cage"]),
            from_cage=uuid.UUID(from_cage) if from_cage else None,
            day=entry.day,
            entry=entry.id,
        )

    return apply


KIND = Kind(
    name="birds_placed",
    body=Body,
    needs=needs,
    effects=effects,
    about=birds_about,
    version=2,
    upgrades={1: without_birds},
)
