"""What a person has agreed to, written: through the journal's own door, so many entries at a call."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime

from barnbook.barn.models import Farm, Person
from barnbook.journal.intake import Arrival, Verdict, take
from barnbook.sheets.notebook import AT_A_TIME, Reading

AT_ONE_CALL = 4_000  # about two seconds of writing: a bar can move between calls


@dataclass(slots=True)
class BroughtIn:
    """counts: how many entries had each verdict.  refused: those set aside.  left: still to be written."""

    counts: Counter[str] = field(default_factory=Counter)
    refused: list[Verdict] = field(default_factory=list)
    left: int = 0


def bring_in(reading: Reading, *, farm: Farm, author: Person, now: datetime) -> BroughtIn:
    """Write the next entries of the reading that are not in the book yet. Call again while any is left."""
    fresh = reading.fresh
    wanted = [each.entry for each in fresh[:AT_ONE_CALL]]
    arrival = Arrival(authors={author.pk: author}, now=now, looked_over=True)
    done = BroughtIn(left=len(fresh) - len(wanted))
    for start in range(0, len(wanted), AT_A_TIME):
        for verdict in take(farm.pk, wanted[start : start + AT_A_TIME], arrival):
            done.counts[verdict.verdict] += 1
            if verdict.verdict in ("aside", "later"):
                done.refused.append(verdict)
    return done
