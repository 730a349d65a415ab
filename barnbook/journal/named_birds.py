"""Birds known by their id among a number of birds: who was placed, died, was processed or sold.

The numbers beside them (hens, cocks, unsexed) count every bird, those known by their id among them.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.models import HeadEvent
from barnbook.barn.standing.bird import BirdState
from barnbook.barn.standing.brood import BroodState, Left
from barnbook.barn.standing.heads import CageHeads, Happened, Heads
from barnbook.journal.fields import Id
from barnbook.journal.kind import Effect, Written

MOST = 200


class NamedBird(serializers.Serializer[Any]):
    """A bird known by its id, and its brood."""

    bird = Id()
    brood = Id()


class NamedBirds(serializers.ListField):
    """At most 200 birds known by their id, each once."""

    child = NamedBird()

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=MOST, **kwargs)

    def to_internal_value(self, data: Any) -> list[dict[str, Any]]:
        birds: list[dict[str, Any]] = super().to_internal_value(data)
        if len({each["bird"] for each in birds}) < len(birds):
            raise serializers.ValidationError("must name each bird once")
        return birds


def check_numbers(attrs: Mapping[str, Any], *, done: str) -> None:
    """Somebody must have been `done`, and no more birds named than that. Raises a ValidationError with its field."""
    total = attrs["hens"] + attrs["cocks"] + attrs["unsexed"]
    if total == 0:
        raise serializers.ValidationError({"hens": f"and cocks and unsexed are all 0: say how many {done}"})
    if len(attrs["birds"]) > total:
        raise serializers.ValidationError(
            {"birds": f"names {len(attrs['birds'])} birds, but only {total} {done}: count those you name too"}
        )


def check_taken_from(attrs: Mapping[str, Any]) -> None:
    """They come from one cage or one brood; those of a brood are its own birds."""
    if (attrs["cage"] is None) == (attrs["brood"] is None):
        raise serializers.ValidationError({"cage": "or brood must be given, and only one of them"})
    if attrs["brood"] is not None and any(each["brood"] != attrs["brood"] for each in attrs["birds"]):
        raise serializers.ValidationError({"birds": "must be of the brood that they were taken from"})


def without_birds(body: dict[str, Any]) -> dict[str, Any]:
    """A body of the time before birds could be named."""
    return {**body, "birds": []}


def without_number(body: dict[str, Any]) -> dict[str, Any]:
    """A body of the time before phones told how they called a bird."""
    return {**body, "number": None}


def called(state: BroodState, entry: Written) -> BirdState:
    """The one bird that an entry is about, with the number that its phone showed."""
    bird = state.bird(uuid.UUID(entry.body["bird"]))
    bird.say_number(entry.body["number"], entry.author, entry.stamp)
    return bird


def heads_of(body: Mapping[str, Any]) -> Heads:
    return Heads(body["hens"], body["cocks"], body["unsexed"])


def by_brood(body: Mapping[str, Any]) -> dict[str, list[uuid.UUID]]:
    """The birds named, by the id of their brood."""
    found: dict[str, list[uuid.UUID]] = {}
    for each in body["birds"]:
        found.setdefault(each["brood"], []).append(uuid.UUID(each["bird"]))
    return found


def birds_about(body: Mapping[str, Any]) -> list[str]:
    return [f"bird/{each['bird']}" for each in body["birds"]]


def needs_of_leaving(body: Mapping[str, Any]) -> list[str]:
    place = f"cage/{body['cage']}" if body["cage"] else f"brood/{body['brood']}"
    return list(dict.fromkeys([place, *(f"brood/{brood}" for brood in by_brood(body))]))


def effects_of_leaving(entry: Written, *, how: str, kind: HeadEvent.Kind) -> list[Effect]:
    """What it changes that birds died, were processed or sold. how: dead, processed, sold.

    From a cage: its heads; and of the broods of the birds named, those birds. From a brood: the brood.
    """
    body = entry.body
    if body["brood"]:
        return [Effect(f"brood/{body['brood']}", _leave_brood(how))]
    heads = Effect(f"heads/{body['cage']}", _leave_cage(kind))
    return [heads, *(Effect(f"brood/{brood}", _named_leave(how, birds)) for brood, birds in by_brood(body).items())]


def _leave_cage(kind: HeadEvent.Kind) -> Any:
    def apply(state: CageHeads, entry: Written) -> None:
        state.happened(Happened(kind, entry.day, heads_of(entry.body), entry.id))

    return apply


def _leave_brood(how: str) -> Any:
    def apply(state: BroodState, entry: Written) -> None:
        heads = heads_of(entry.body)
        named = tuple(uuid.UUID(each["bird"]) for each in entry.body["birds"])
        left = Left(entry.id, total=heads.total, sexed=heads.hens + heads.cocks, named=named, from_cage=False)
        state.leave(how, left, entry.day)

    return apply


def _named_leave(how: str, birds: list[uuid.UUID]) -> Any:
    def apply(state: BroodState, entry: Written) -> None:
        heads = heads_of(entry.body)
        left = Left(entry.id, total=len(birds), sexed=heads.hens + heads.cocks, named=tuple(birds), from_cage=True)
        state.leave(how, left, entry.day)

    return apply
