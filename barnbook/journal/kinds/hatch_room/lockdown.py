"""A setting locked down: no more turning, more moisture, until it hatches."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.setting import SettingState
from barnbook.journal.fields import Id, Text
from barnbook.journal.kind import Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    setting = Id()
    note = Text(allow_blank=True)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"setting/{body['setting']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"setting/{entry.body['setting']}", _lock_down)]


def _lock_down(state: SettingState, entry: Written) -> None:
    state.locked_down_on = entry.day


KIND = Kind(name="lockdown", body=Body, needs=needs, effects=effects)
