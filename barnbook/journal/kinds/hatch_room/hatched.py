"""What came out of a tray since the last look; written again it adds."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.setting import Hatched, SettingState
from barnbook.journal.fields import Count, Id, Text
from barnbook.journal.kind import Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    setting = Id()
    tray = Id()
    hatched = Count()
    pipped_dead = Count()
    dead_in_shell = Count()
    note = Text(allow_blank=True)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"setting/{body['setting']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"setting/{entry.body['setting']}", _hatch)]


def _hatch(state: SettingState, entry: Written) -> None:
    body = entry.body
    out = Hatched(entry.id, entry.day, body["hatched"], body["pipped_dead"], body["dead_in_shell"])
    state.of(uuid.UUID(body["tray"])).hatchings.append(out)


KIND = Kind(name="hatched", body=Body, needs=needs, effects=effects)
