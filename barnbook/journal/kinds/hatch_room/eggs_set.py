"""Eggs put into an incubator together, tray by tray. Written again, it replaces the earlier setting whole."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.setting import SettingState
from barnbook.journal.fields import Count, Day, Id, Text
from barnbook.journal.kind import Effect, Kind, Written


class EggsLaid(serializers.Serializer[Any]):
    """Eggs of one day of lay; laid_on null: nobody knows which."""

    laid_on = Day(allow_null=True)
    eggs = Count(least=1)


class TraySet(serializers.Serializer[Any]):
    """A part of the setting with one source. cage null: eggs of the line, of no one cage."""

    tray = Id()
    name = Text(max_length=20)
    line = Id()
    cage = Id(allow_null=True)
    eggs = serializers.ListField(child=EggsLaid(), min_length=1, max_length=31)


class Body(serializers.Serializer[Any]):
    setting = Id()
    code = Text(max_length=40)
    incubator = Text(max_length=40, allow_blank=True)
    set_on = Day()
    trays = serializers.ListField(child=TraySet(), min_length=1, max_length=40)
    note = Text(allow_blank=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        trays = attrs["trays"]
        for name in ("tray", "name"):
            if len({tray[name] for tray in trays}) < len(trays):
                raise serializers.ValidationError(
                    {"trays": f"must each have {'an id' if name == 'tray' else 'a name'} of their own"}
                )
        for tray in trays:
            days = [each["laid_on"] for each in tray["eggs"]]
            if len(set(days)) < len(days):
                raise serializers.ValidationError({"trays": f"name a day of lay twice in tray {tray['name']}"})
            late = next((day for day in days if day is not None and day > attrs["set_on"]), None)
            if late is not None:
                raise serializers.ValidationError(
                    {"trays": f"hold eggs laid on {late} in tray {tray['name']}, after they were set"}
                )
        return attrs


def needs(body: Mapping[str, Any]) -> list[str]:
    lines = [f"line/{tray['line']}" for tray in body["trays"]]
    cages = [f"cage/{tray['cage']}" for tray in body["trays"] if tray["cage"]]
    return list(dict.fromkeys([*lines, *cages]))


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"setting/{entry.body['setting']}", _set)]


def _set(state: SettingState, entry: Written) -> None:
    body = entry.body
    state.written_by, state.stamp = entry.id, entry.stamp
    state.values = {
        "code": body["code"],
        "incubator": body["incubator"],
        "set_on": date.fromisoformat(body["set_on"]),
        "note": body["note"],
    }
    state.trays = [
        {
            "tray": uuid.UUID(tray["tray"]),
            "name": tray["name"],
            "line": uuid.UUID(tray["line"]),
            "cage": uuid.UUID(tray["cage"]) if tray["cage"] else None,
            "laid": tray["eggs"],
            "eggs": sum(each["eggs"] for each in tray["eggs"]),
        }
        for tray in body["trays"]
    ]


KIND = Kind(name="eggs_set", body=Body, needs=needs, effects=effects)
