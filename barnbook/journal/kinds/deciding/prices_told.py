"""What feed, labour and a place cost the owner of a line, and what its birds bring: for waiting or processing.

Prices are the owner's, in any one currency. Feed is what one bird eats a day around the weighing age, as weighed or as
read; where it was read stands in the note. Written again it replaces.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.standing.line import LineState
from barnbook.journal.fields import Amount, Id, Text
from barnbook.journal.kind import OWNERS, Effect, Kind, Written

SOLD = ("live_kg", "dressed_kg", "bird")
MOST_MONEY = 1_000_000
FIELDS = (
    "currency",
    "feed_per_kg",
    "cock_feed_g_a_day",
    "hen_feed_g_a_day",
    "sold_by",
    "price",
    "labour_a_bird_day",
    "place_a_bird_day",
)


class Body(serializers.Serializer[Any]):
    """price: of a kg alive, a kg dressed or a bird, by `sold_by`."""

    line = Id()
    currency = Text(max_length=8)
    feed_per_kg = Amount(least=0, most=MOST_MONEY)
    cock_feed_g_a_day = Amount(least=0, most=500)
    hen_feed_g_a_day = Amount(least=0, most=500)
    sold_by = serializers.ChoiceField(SOLD)
    price = Amount(least=0, most=MOST_MONEY)
    labour_a_bird_day = Amount(least=0, most=MOST_MONEY)
    place_a_bird_day = Amount(least=0, most=MOST_MONEY)
    note = Text(allow_blank=True)


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"line/{body['line']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"line/{entry.body['line']}", _tell)]


def _tell(state: LineState, entry: Written) -> None:
    state.prices = {**{name: entry.body[name] for name in FIELDS}, "told_on": entry.day.isoformat()}


KIND = Kind(name="prices_told", body=Body, needs=needs, effects=effects, written_by=OWNERS)
