"""Chicks of a brood by plumage class, one a tap or many at once; they add."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.brood import BroodState
from barnbook.barn.standing.setting import SettingState
from barnbook.journal.fields import Count, Id, Text
from barnbook.journal.kind import Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    """plumage: a key of the line's classes; null: nobody looked."""

    brood = Id()
    setting = Id(allow_null=True)
    plumage = Text(max_length=20, allow_null=True)
    chicks = Count(least=1)


def needs(body: Mapping[str, Any]) -> list[str]:
    named = [f"brood/{body['brood']}"]
    return [*named, f"setting/{body['setting']}"] if body["setting"] else named


def effects(entry: Written) -> list[Effect]:
    seen = [Effect(f"brood/{entry.body['brood']}", _see_in_brood)]
    if entry.body["setting"]:
        seen.append(Effect(f"setting/{entry.body['setting']}", _see_in_setting))
    return seen


def _see_in_brood(state: BroodState, entry: Written) -> None:
    key = entry.body["plumage"] or ""
    state.plumage[key] = state.plumage.get(key, 0) + entry.body["chicks"]
    state.last_seen = entry.id


def _see_in_setting(state: SettingState, entry: Written) -> None:
    state.chicks_seen += entry.body["chicks"]
    state.last_seen = entry.id


KIND = Kind(name="chicks_seen", body=Body, needs=needs, effects=effects)
