"""A phone's outbox, saved as a file, read into the book by hand.

For a phone that can no longer reach the house: its address changed, its screen broke, its session ended. Whoever can
run a command on the house's own machine may read it in; each entry stays its author's, and one that is in the book
already counts once (law 1).
"""

from __future__ import annotations

import json
import uuid
from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from barnbook.barn.models import Farm, Person
from barnbook.journal.intake import Arrival, Verdict, take

AT_ONCE = 500
ENVELOPE = ("id", "author", "device_seq", "kind", "version", "day", "stamp", "zone", "body", "mends")


class UnreadableOutboxError(ValueError):
    """The file is none that a phone saved, or of another house's farm. The message is a sentence for the person."""


@dataclass(slots=True)
class ReadIn:
    """counts: how many entries had each verdict.  refused: those set aside, with their reasons."""

    farm: Farm
    counts: Counter[str] = field(default_factory=Counter)
    refused: list[Verdict] = field(default_factory=list)


def read_in(text: str, *, now: datetime) -> ReadIn:
    """Read a saved outbox into the book of its farm. Raises UnreadableOutboxError; nothing is written then."""
    content = _content(text)
    farm = _farm(content)
    entries = [_as_pushed(entry) for entry in content["entries"]]
    arrival = Arrival(authors={person.pk: person for person in Person.objects.of(farm)}, now=now)
    found = ReadIn(farm)
    for start in range(0, len(entries), AT_ONCE):
        for verdict in take(farm.pk, entries[start : start + AT_ONCE], arrival):
            found.counts[verdict.verdict] += 1
            if verdict.verdict in ("aside", "later"):
                found.refused.append(verdict)
    return found


def _content(text: str) -> dict[str, Any]:
    try:
        content = json.loads(text)
    except (ValueError, RecursionError):
        raise UnreadableOutboxError(
            "This is no saved outbox: it is not JSON. Save the outbox on the phone again."
        ) from None
    if (
        not isinstance(content, dict)
        or content.get("barnbook") != "outbox"
        or not isinstance(content.get("entries"), list)
    ):
        raise UnreadableOutboxError("This is no saved outbox: choose the file that the phone's outbox page saved.")
    return content


def _farm(content: dict[str, Any]) -> Farm:
    try:
        farm = Farm.objects.filter(pk=uuid.UUID(str(content.get("farm")))).first()
    except ValueError:
        farm = None
    if farm is None:
        name = str(content.get("farm_name", "another farm"))[:120]
        raise UnreadableOutboxError(f"This outbox is of {name}, whose book is not in this house: nothing was read in.")
    return farm


def _as_pushed(entry: Any) -> Any:
    """The entry without what the phone noted beside it (its state and the reason of a refusal)."""
    return {name: entry[name] for name in ENVELOPE if name in entry} if isinstance(entry, dict) else entry
