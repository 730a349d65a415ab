"""A cage: its code, its row and its place in the walking order. Written again, it replaces the earlier one whole."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.cage import CageState
from barnbook.journal.fields import Count, Flag, Id, Text
from barnbook.journal.kind import OWNERS, Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    cage = Id()
    code = Text(max_length=20)
    row = Text(max_length=40)
    place = Count(most=9999)
    line = Id(allow_null=True)
    closed = Flag()


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"line/{body['line']}"] if body["line"] else []


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"cage/{entry.body['cage']}", _write)]


def _write(state: CageState, entry: Written) -> None:
    body = entry.body
    if not state.lines or state.lines[-1]["line"] != body["line"]:
        state.lines = [*state.lines, {"from_day": entry.day.isoformat(), "line": body["line"]}]
    state.values = {
        "code": body["code"],
        "walk_row": body["row"],
        "place": body["place"],
        "line_id": uuid.UUID(body["line"]) if body["line"] else None,
        "closed": body["closed"],
    }


KIND = Kind(name="cage", body=Body, needs=needs, effects=effects, written_by=OWNERS)
