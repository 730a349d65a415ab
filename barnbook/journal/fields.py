"""The fields a body is made of, each with one sentence for what is wrong with it."""

from __future__ import annotations

import math
import uuid
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers


class Bounded(serializers.Field[Any, Any, Any, Any]):
    """Looks at its bounds while it reads, with a sentence of its own; as validators they only stand in the schema."""

    def run_validators(self, value: Any) -> None:
        """Not once more."""


class Count(Bounded, serializers.IntegerField):
    """A whole number 0 to 999 (or `most`); no text, no half."""

    def __init__(self, *, least: int = 0, most: int = 999, **kwargs: Any) -> None:
        self.least, self.most = least, most
        super().__init__(min_value=least, max_value=most, **kwargs)

    def to_internal_value(self, data: Any) -> int:
        if isinstance(data, bool) or not isinstance(data, int):
            raise serializers.ValidationError(f"must be a whole number from {self.least} to {self.most}")
        if not self.least <= data <= self.most:
            raise serializers.ValidationError(f"must be from {self.least} to {self.most}, not {data}")
        return data


def _is_number(data: Any) -> bool:
    """A finite number, and not one of the truth values that Python counts among them."""
    # A whole number may have more digits than a float can hold: isfinite is for floats alone.
    return isinstance(data, int | float) and not isinstance(data, bool) and (type(data) is int or math.isfinite(data))


class Weight(serializers.FloatField):
    """Grams: above 0, at most 100 kg, finite."""

    def to_internal_value(self, data: Any) -> float:
        if not _is_number(data):
            raise serializers.ValidationError("must be a number of grams")
        if not 0 < data <= 100_000:
            raise serializers.ValidationError("must be more than 0 and at most 100,000 grams")
        return float(data)


class Amount(Bounded, serializers.FloatField):
    """A number from `least` to `most`, halves and all."""

    def __init__(self, *, least: float, most: float, **kwargs: Any) -> None:
        self.least, self.most = least, most
        super().__init__(min_value=least, max_value=most, **kwargs)

    def to_internal_value(self, data: Any) -> float:
        if not _is_number(data) or not self.least <= data <= self.most:
            raise serializers.ValidationError(f"must be a number from {self.least:g} to {self.most:g}")
        return float(data)


class Text(serializers.CharField):
    """A text of at most 500 characters, kept as it was typed."""

    def __init__(self, *, max_length: int = 500, **kwargs: Any) -> None:
        super().__init__(max_length=max_length, trim_whitespace=False, **kwargs)

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str):
            raise serializers.ValidationError("must be a text")
        if "\x00" in data:
            raise serializers.ValidationError("must not hold a null character")
        return data


class Id(serializers.UUIDField):
    """A UUID in its usual text form."""

    def to_internal_value(self, data: Any) -> uuid.UUID:
        if not isinstance(data, str) or len(data) != 36:
            raise serializers.ValidationError("must be an id (a UUID in text)")
        try:
            id_ = uuid.UUID(data)
        except ValueError:
            raise serializers.ValidationError("must be an id (a UUID in text)") from None
        if str(id_) != data:
            raise serializers.ValidationError("must be an id in small letters with hyphens")
        return id_


# What a phone that has lost its clock says (1970) is no day of the barn; and a figure adds to a day and takes from it,
# so none may lie at the end of what a calendar holds.
FIRST_DAY = date(1990, 1, 1)
LAST_DAY = date(2199, 12, 31)


class Day(serializers.DateField):
    """A calendar day, as 2026-03-14, from 1990 to 2199."""

    def to_internal_value(self, value: Any) -> date:
        day = _day(value)
        if day is None:
            raise serializers.ValidationError("must be a day such as 2026-03-14")
        if not FIRST_DAY <= day <= LAST_DAY:
            raise serializers.ValidationError(f"must be a day from {FIRST_DAY} to {LAST_DAY}, not {day}")
        return day


def _day(value: Any) -> date | None:
    try:
        day = date.fromisoformat(value)
    except (TypeError, ValueError):
        return None
    return day if day.isoformat() == value else None  # fromisoformat also reads 20260314 and 2026-W11-6


@extend_schema_field(OpenApiTypes.STR)
class Zone(Text):
    """The name of a time zone in the IANA database."""

    def to_internal_value(self, data: Any) -> str:
        name = super().to_internal_value(data)
        try:
            ZoneInfo(name)
        except (ValueError, OSError, KeyError):
            known = name in available_timezones()
        else:
            known = True
        if not known:
            raise serializers.ValidationError("must be a time zone such as Europe/Vienna")
        return name


class Flag(serializers.BooleanField):
    """True or false, and nothing that looks like it."""

    def to_internal_value(self, data: Any) -> bool:
        if not isinstance(data, bool):
            raise serializers.ValidationError("must be true or false")
        return data


class Typed(serializers.Serializer[Any]):
    """What the person typed, and in which unit: kept beside the grams that it came to."""

    value = Text(max_length=20)
    unit = serializers.ChoiceField(choices=["g", "oz"])
