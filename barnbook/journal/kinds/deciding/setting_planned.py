"""Eggs of a line to be set by a day, so that enough keepers come of them: it makes a due until so many are set.

Written again it replaces; 0 eggs: given up. cage: whose hens they are to follow; None: nobody's in particular.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.line import LineState
from barnbook.journal.fields import Count, Day, Id, Text
from barnbook.journal.kind import OWNERS, Effect, Kind, Written

MOST_EGGS = 5000  # as figures.eggs_to_set
FIELDS = ("cage", "eggs", "cocks", "hens", "from_day", "by_day", "note")


class Body(serializers.Serializer[Any]):
    """cocks, hens: keepers wanted of them."""

    plan = Id()
    line = Id()
    cage = Id(allow_null=True)
    eggs = Count(most=MOST_EGGS)
    cocks = Count()
    hens = Count()
    from_day = Day()
    by_day = Day()
    note = Text(allow_blank=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["by_day"] < attrs["from_day"]:
            raise serializers.ValidationError({"by_day": "must not be before from_day"})
        return attrs


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"line/{body['line']}"] + ([f"cage/{body['cage']}"] if body["cage"] else [])


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"line/{entry.body['line']}", _plan)]


def _plan(state: LineState, entry: Written) -> None:
    body = entry.body
    state.plans.pop(body["plan"], None)
    if body["eggs"]:
        values = {name: body[name] for name in FIELDS}
        state.plans[body["plan"]] = {"plan": body["plan"], **values, "planned_on": entry.day.isoformat()}


KIND = Kind(name="setting_planned", body=Body, needs=needs, effects=effects, written_by=OWNERS)
