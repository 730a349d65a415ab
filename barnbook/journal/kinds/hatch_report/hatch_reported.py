"""What a customer says of a shipment, line by line: by the link, or typed in by the owner from the reply slip.

Written again, it replaces the earlier one. No name and no remark: people outside the barn are outside the journal.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from barnbook.barn.models import Role
from barnbook.barn.standing.shipment import ShipmentState
from barnbook.journal.fields import Count, Flag, Id, Text
from barnbook.journal.kind import OWNERS, Effect, Kind, Written

MOST = 9_999  # as many eggs as an order may have


class ChicksReported(serializers.Serializer[Any]):
    """plumage: a key of the line; null: none of its classes."""

    plumage = Text(max_length=20, allow_null=True)
    chicks = Count(least=1, most=MOST)


class LineReported(serializers.Serializer[Any]):
    """null: not said (yet). clear: null also where the eggs were not candled."""

    line = Id()
    broken = Count(most=MOST, allow_null=True)
    set = Count(most=MOST, allow_null=True)
    clear = Count(most=MOST, allow_null=True)
    hatched = Count(most=MOST, allow_null=True)
    chicks = serializers.ListField(child=ChicksReported(), max_length=13)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["set"] is None and (attrs["clear"] is not None or attrs["hatched"] is not None):
            raise serializers.ValidationError("must say how many eggs were set, where it says what came of them")
        if (attrs["clear"] or 0) + (attrs["hatched"] or 0) > (attrs["set"] or 0):
            raise serializers.ValidationError("must not have more clear and hatched than eggs set")
        if sum(each["chicks"] for each in attrs["chicks"]) > (attrs["hatched"] or 0):
            raise serializers.ValidationError("must not have more chicks by plumage than hatched")
        if len({each["plumage"] for each in attrs["chicks"]}) < len(attrs["chicks"]):
            raise serializers.ValidationError("must name each plumage class once")
        return attrs


class Body(serializers.Serializer[Any]):
    """slip: typed in by the owner from what the customer wrote back."""

    shipment = Id()
    lines = serializers.ListField(child=LineReported(), min_length=1, max_length=20)
    slip = Flag()

    def validate_lines(self, lines: list[dict[str, Any]]) -> list[dict[str, Any]]:
        if len({each["line"] for each in lines}) < len(lines):
            raise serializers.ValidationError("must name each line once")
        return lines


def needs(body: Mapping[str, Any]) -> list[str]:
    return [f"shipment/{body['shipment']}"]


def effects(entry: Written) -> list[Effect]:
    return [Effect(f"shipment/{entry.body['shipment']}", _report)]


def _report(state: ShipmentState, entry: Written) -> None:
    report = state.report
    report.lines = list(entry.body["lines"])
    report.by_customer = not entry.body["slip"]
    report.entry = entry.id
    report.first_on = report.first_on or entry.day
    report.last_on = entry.day
    report.times += 1


KIND = Kind(name="hatch_reported", body=Body, needs=needs, effects=effects, written_by=OWNERS | {Role.CUSTOMER.value})
