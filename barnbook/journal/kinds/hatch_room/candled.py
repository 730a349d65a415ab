"""A tray candled: what was found among the eggs still in it. A later candling of the tray adds to the earlier."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.setting import Candled, SettingState
from barnbook.journal.fields import Count, Id, Text
from barnbook.journal.kind import Effect, Kind, Written

NUMBERS = ("read", "clear", "dead_early", "unread", "broken", "removed")


class Body(serializers.Serializer[Any]):
    """read: eggs that could be read, clear and dead early ones among them. unread: too dark, and left in."""

    setting = Id()
    tray = Id()
    read = Count()
    clear = Count()
    dead_early = Count()
    unread = Count()
    broken = Count()
    removed = Count()
    note = Text(allow_blank=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        judged = attrs["clear"] + attrs["dead_early"]
        if judged > attrs["read"]:
            raise serializers.ValidationError(
                {"read": f"must be every egg that could be read: {judged} were clear or dead, but {attrs['read']} read"}
            )
        if not any(attrs[name] for name in NUMBERS):
            raise serializers.ValidationError({"read": "and all the others are 0: say how many eggs were candled"})
        return attrs


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"setting/{body['setting']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"setting/{entry.body['setting']}", _candle)]


def _candle(state: SettingState, entry: Written) -> None:
    numbers = {name: entry.body[name] for name in NUMBERS}
    state.of(uuid.UUID(entry.body["tray"])).candlings.append(Candled(entry.id, entry.day, **numbers))


KIND = Kind(name="candled", body=Body, needs=needs, effects=effects)
