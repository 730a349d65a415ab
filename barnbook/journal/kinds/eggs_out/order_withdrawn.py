"""An order that the customer, or the owner, took back. What was promised of it no longer binds any eggs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.order import OrderState
from barnbook.journal.fields import Id, Text
from barnbook.journal.kind import OWNERS, Effect, Kind, Written


class Body(serializers.Serializer[Any]):
    order = Id()
    why = Text(allow_blank=True)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"order/{body['order']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"order/{entry.body['order']}", _withdraw)]


def _withdraw(state: OrderState, entry: Written) -> None:
    state.withdrawn_on = entry.day


KIND = Kind(name="order_withdrawn", body=Body, needs=needs, effects=effects, written_by=OWNERS)
