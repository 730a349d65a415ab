"""A brood: so many chicks of a line hatched on a day. Written again, it replaces the earlier one whole; but the trays
that a brood came of stay."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.brood import BroodState
from barnbook.journal.fields import Count, Day, Id, Text
from barnbook.journal.kind import Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    brood = Id()
    line = Id()
    code = Text(max_length=40)
    hatched_on = Day()
    chicks = Count(least=1)
    note = Text(allow_blank=True)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"line/{body['line']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"brood/{entry.body['brood']}", _write)]


def _write(state: BroodState, entry: Written) -> None:
    body = entry.body
    state.written_by = entry.id
    state.bought_sexed = 0
    state.values = {
        "line_id": uuid.UUID(body["line"]),
        "code": body["code"],
        "hatched_on": date.fromisoformat(body["hatched_on"]),
        "chicks": body["chicks"],
        "bought_in": False,
        "hatch_day_sure": True,
        "quarantine_until": None,
        "note": body["note"],
    }


KIND = Kind(name="brood", body=Body, needs=needs, effects=effects)
