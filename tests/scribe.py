"""Writes entries as a phone would, for tests."""

from __future__ import annotations

import uuid
from datetime import UTC, date, datetime
from typing import Any

import uuid6

from barnbook.barn.models import Person
from barnbook.journal.intake import Arrival, Verdict, take

NOON = datetime(2026, 7, 15, 12, 0, tzinfo=UTC)
DAY = date(2026, 7, 15)


def new_id() -> str:
    return str(uuid6.uuid7())


class Scribe:
    """One person on one phone."""

    def __init__(self, person: Person) -> None:
        from tests.barn.factories import a_device

        self.person = person
        self.farm = person.farm
        self.device = a_device(person)
        self.device_seq = 0

    def entry(self, kind: str, *, day: date = DAY, stamp: int | None = None, **body: Any) -> dict[str, Any]:
        """An entry as it goes over the wire, not yet sent."""
        self.device_seq += 1
        return {
            "id": new_id(),
            "author": str(self.person.pk),
            "device_seq": self.device_seq,
            "kind": kind,
            "version": 1,
            "day": day.isoformat(),
            "stamp": stamp if stamp is not None else 1_784_116_800_000 + self.device_seq,
            "zone": "America/New_York",
            "body": body,
        }

    def send(self, *entries: Any, now: datetime = NOON, authors: list[Person] | None = None) -> list[Verdict]:
        """Send entries straight into the journal."""
        people = authors if authors is not None else [self.person]
        arrival = Arrival(authors={person.pk: person for person in people}, now=now, device=self.device)
        return take(self.farm.pk, list(entries), arrival)

    def write(
        self, kind: str, *, day: date = DAY, stamp: int | None = None, now: datetime = NOON, **body: Any
    ) -> Verdict:
        """Write and send one entry."""
        return self.send(self.entry(kind, day=day, stamp=stamp, **body), now=now)[0]

    # Bodies ------------------------------------------------------------------------------------------------

    def line(self, name: str = "Slate Barrow", **changes: Any) -> str:
        """Write a line; returns its id."""
        line = changes.pop("line", new_id())
        body = {
            "line": line,
            "name": name,
            "other_names": [],
            "egg_low_g": 15.0,
            "egg_high_g": 16.0,
            "weighing_age_days": 56,
            "sexing_from_day": 42,
            "sexing_to_day": 56,
            "note": "",
        }
        self.expect("written", self.write("line", **body | changes))
        return line

    def cage(self, code: str = "A1", *, line: str | None = None, place: int = 1, **changes: Any) -> str:
        """Write a cage; returns its id."""
        cage = changes.pop("cage", new_id())
        body = {"cage": cage, "code": code, "row": code[:1], "place": place, "line": line, "closed": False}
        self.expect("written", self.write("cage", **body | changes))
        return cage

    def brood(self, line: str, *, hatched_on: date, chicks: int = 48, code: str = "26-07", **changes: Any) -> str:
        """Write a brood; returns its id."""
        brood = changes.pop("brood", new_id())
        body = {
            "brood": brood,
            "line": line,
            "code": code,
            "hatched_on": hatched_on.isoformat(),
            "chicks": chicks,
            "note": "",
        }
        self.expect("written", self.write("brood", **body | changes))
        return brood

    def stock(self, cage: str, *, hens: int = 5, cocks: int = 1, day: date = DAY, brood: str | None = None) -> Verdict:
        """Put birds into a cage."""
        return self.write(
            "birds_placed", day=day, cage=cage, brood=brood, from_cage=None, hens=hens, cocks=cocks, unsexed=0
        )

    def count(
        self, cage: str, eggs: int, *, day: date = DAY, round_: str = "morning", now: datetime = NOON, **changes: Any
    ) -> Verdict:
        """Count a cage's eggs."""
        return self.write("egg_count", day=day, now=now, **self.count_body(cage, eggs, round_) | changes)

    @staticmethod
    def count_body(cage: str, eggs: int, round_: str = "morning") -> dict[str, Any]:
        return {"cage": cage, "round": round_, "eggs": eggs, "cracked": 0, "soiled": 0, "thin_shelled": 0}

    @staticmethod
    def expect(word: str, verdict: Verdict) -> None:
        assert verdict.verdict == word, verdict


def uid(text: str) -> uuid.UUID:
    return uuid.UUID(text)
