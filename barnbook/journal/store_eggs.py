"""Eggs of the store in a body: so many of a line and day laid, each line and day once."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.egg_moves import Move, Moves
from barnbook.journal.fields import Count, Day, Id
from barnbook.journal.kind import Effect, Written

MOST = 200
MOST_ORDERED = 9_999


class StoreEggs(serializers.Serializer[Any]):
    """laid_on null: nobody knows."""

    line = Id()
    laid_on = Day(allow_null=True)
    eggs = Count(least=1)


def check_once(eggs: Iterable[Mapping[str, Any]]) -> None:
    """Refuse a line and day laid (for one order) that is named twice."""
    named = [(each.get("order"), each["line"], each["laid_on"]) for each in eggs]
    if len(set(named)) < len(named):
        raise serializers.ValidationError({"eggs": "must name each day of lay of a line once"})


def lines_needed(body: Mapping[str, Any]) -> list[str]:
    return list(dict.fromkeys(f"line/{each['line']}" for each in body["eggs"]))


def moves_of(entry: Written, *, how: str) -> list[Effect]:
    """The eggs of the body, as moves of this entry's own."""

    def move(state: Moves, written: Written) -> None:
        state.moves = [
            Move(
                entry=written.id,
                day=written.day,
                stamp=written.stamp,
                how=how,
                eggs=each["eggs"],
                line=uuid.UUID(each["line"]),
                laid_on=date.fromisoformat(each["laid_on"]) if each["laid_on"] else None,
            )
            for each in written.body["eggs"]
        ]

    return [Effect(f"eggs_moved/{entry.id}", move)]
