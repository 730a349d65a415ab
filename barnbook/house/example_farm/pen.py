"""The hand that writes: entries as the people of the farm make them, each at its moment on its phone."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from barnbook.house.example_farm import story

HOUR, MINUTE = 3600.0, 60.0
PHONE_OF = {person.key: person.phone for person in story.PEOPLE}


@dataclass(frozen=True, slots=True)
class Draft:
    """An entry as it was made. who, phone: keys of the story.  stamp: milliseconds since 1970-01-01 UTC."""

    id: str
    who: str
    phone: str
    kind: str
    day: date
    stamp: int
    body: dict[str, Any]


class Pen:
    """Gathers drafts. Days are offsets from today; a time of day is seconds since the farm's midnight."""

    def __init__(self, *, today: date, zone: str, seed: int) -> None:
        self.today = today
        self.zone = ZoneInfo(zone)
        self.drafts: list[Draft] = []
        self._ids = Random(f"{seed}:ids")

    def date(self, day: int) -> date:
        return self.today + timedelta(days=day)

    def stamp(self, day: int, at: float) -> int:
        midnight = datetime.combine(self.date(day), time(), tzinfo=self.zone).astimezone(UTC)
        return int(midnight.timestamp() * 1000) + int(at * 1000)

    def new_id(self, day: int, at: float) -> str:
        """A UUIDv7 (RFC 9562) of that moment, the rest of its bits from the seed."""
        bits = self._ids.getrandbits(74)
        value = (self.stamp(day, at) << 80) | (7 << 76) | ((bits >> 62) << 64) | (0b10 << 62) | (bits & (2**62 - 1))
        return str(uuid.UUID(int=value))

    def write(self, who: str, kind: str, *, day: int, at: float, **body: Any) -> str:
        """Write an entry; returns its id."""
        phone = PHONE_OF[who]
        if phone is None:
            raise ValueError(f"{who} has no phone here and writes nothing: give the entry to somebody who has.")
        id_ = self.new_id(day, at)
        self.drafts.append(Draft(id_, who, phone, kind, self.date(day), self.stamp(day, at), body))
        return id_

    def in_order(self) -> list[Draft]:
        return sorted(self.drafts, key=lambda draft: (draft.stamp, draft.id))
