"""A treatment of a cage, a brood or a line, and how long its eggs and meat wait, as owner and veterinarian set it.

Written again, it replaces the earlier one whole.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.withdrawal import TreatmentState
from barnbook.journal.fields import Day, Id, Text
from barnbook.journal.kind import OWNERS, Effect, Kind, Written

SUBJECTS = ("cage", "brood", "line")


class Body(serializers.Serializer[Any]):
    """eggs_until, meat_until: the last day on which none may be used or sold; null: no wait was set."""

    treatment = Id()
    cage = Id(allow_null=True)
    brood = Id(allow_null=True)
    line = Id(allow_null=True)
    what = Text(max_length=200)
    from_day = Day()
    to_day = Day(allow_null=True)
    eggs_until = Day(allow_null=True)
    meat_until = Day(allow_null=True)
    note = Text(allow_blank=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if sum(attrs[name] is not None for name in SUBJECTS) != 1:
            raise serializers.ValidationError({"cage": "or brood or line must be given, and only one of them"})
        for name in ("to_day", "eggs_until", "meat_until"):
            if attrs[name] is not None and attrs[name] < attrs["from_day"]:
                raise serializers.ValidationError({name: "must not be before from_day"})
        return attrs


def _subject(body: Mapping[str, Any]) -> str:
    return next(f"{name}/{body[name]}" for name in SUBJECTS if body[name])


def needs(body: Mapping[str, Any]) -> list[str]:
    return [_subject(body)]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"treatment/{entry.body['treatment']}", _treat)]


def _treat(state: TreatmentState, entry: Written) -> None:
    body = entry.body
    days = {
        name: date.fromisoformat(body[name]) if body[name] else None for name in ("to_day", "eggs_until", "meat_until")
    }
    state.values = {
        "subject": _subject(body),
        "what": body["what"],
        "first_day": date.fromisoformat(body["from_day"]),
        "last_day": days["to_day"],
        "eggs_until": days["eggs_until"],
        "meat_until": days["meat_until"],
        "note": body["note"],
    }


KIND = Kind(name="treated", body=Body, needs=needs, effects=effects, written_by=OWNERS)
