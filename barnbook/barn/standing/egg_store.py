"""What is left in the egg store, by line and day laid: sound eggs collected, less what was set, packed, eaten, sold to
eat or thrown away. What somebody saw there stands against all that was written before.

Where more was taken than there was, the number goes below zero and is shown so; who took last is asked about it. Of
eggs that were set nothing is asked where none of that line and day were ever counted: they may be from elsewhere.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Collection as Some
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import Q

from barnbook.barn.models import EggMove, EggStore, Farm
from barnbook.barn.standing.egg_moves import Key, Move
from barnbook.barn.standing.subject import Question, Stored, lay_down

CODE = "more_eggs_than_stored"
AT_ONCE = 200
How = EggMove.How
TAKEN = (How.SET, How.PACKED, How.EATEN, How.SOLD_TO_EAT, How.THROWN_AWAY)


@dataclass(slots=True)
class Left:
    """The eggs of one line and day. takers: the entries that took some since they were last seen, in order."""

    eggs: int = 0
    values: dict[str, Any] = field(default_factory=dict)
    takers: list[tuple[uuid.UUID, int]] = field(default_factory=list)
    known: bool = False

    def asked(self) -> set[uuid.UUID]:
        """Who took what was not there: the last first, until the rest would do."""
        short, found = -self.eggs, set()
        for entry, eggs in reversed(self.takers):
            if short <= 0:
                break
            found.add(entry)
            short -= eggs
        return found


def left(moves: Sequence[Move]) -> Left:
    """What is left after these moves of one line and day."""
    sums = dict.fromkeys(("collected", *(str(how) for how in TAKEN)), 0)
    found = Left()
    seen: int | None = None
    seen_on: date | None = None
    for move in sorted(moves, key=lambda each: each.order):
        if move.how == How.SEEN:
            found.eggs, seen, seen_on = move.eggs, move.eggs, move.day
            found.takers.clear()
            found.known = True
            continue
        sums[move.how] += move.eggs
        if move.how == How.COLLECTED:
            found.eggs += move.eggs
            found.known = True
        else:
            found.eggs -= move.eggs
            found.takers.append((move.entry, move.eggs))
    found.values = {**sums, "seen": seen, "seen_on": seen_on, "left": found.eggs}
    return found


def lay_store_down(farm: Farm, keys: Some[Key]) -> Stored:
    """Reckon what is left of these lines and days anew. Each asks for itself whoever took more than it had."""
    if not keys:
        return Stored()
    by_key = _moves_of(farm, keys)
    found = {key: left(moves) for key, moves in by_key.items()}
    wanted = {
        id_of(key): {"line": key[0], "laid_on": key[1], **found[key].values} if by_key.get(key) else None
        for key in keys
    }
    lay_down(farm, model=EggStore, table="egg_store", wanted=wanted)
    return Stored(
        reckon={f"store/{line}" for line, _ in keys},
        questions=_questions(by_key, found),
        askers={_asker(key) for key in keys},
    )


def id_of(key: Key) -> str:
    """The id of a row of the store: a phone makes the same."""
    return f"{key[0]}/{key[1] or 'unknown'}"


def _moves_of(farm: Farm, keys: Some[Key]) -> dict[Key, list[Move]]:
    found: dict[Key, list[Move]] = defaultdict(list)
    days: dict[date | None, set[uuid.UUID]] = defaultdict(set)
    for line, day in keys:
        days[day].add(line)
    some = sorted(days, key=str)
    for first in range(0, len(some), AT_ONCE):
        these = some[first : first + AT_ONCE]
        lines = {line for day in these for line in days[day]}
        asked = Q(laid_on__in=[day for day in these if day is not None])
        if None in these:
            asked |= Q(laid_on=None)
        for row in EggMove.objects.of(farm).filter(asked, line__in=lines):
            if row.line in days[row.laid_on]:
                found[row.line, row.laid_on].append(Move.of(row))
    return found


def _asker(key: Key) -> str:
    return f"egg_store/{id_of(key)}"


def _questions(by_key: dict[Key, list[Move]], found: dict[Key, Left]) -> list[Question]:
    asked = []
    for key in sorted(by_key, key=str):
        state = found[key]
        if state.eggs >= 0:
            continue
        how = {move.entry: move.how for move in by_key[key]}
        for entry in state.asked():
            if how[entry] == How.SET and not state.known:
                continue
            when = f"laid on {key[1]}" if key[1] else "of a day that nobody knows"
            detail = (
                f"{-state.eggs} more eggs {when} were taken from the store than the book has there. Count what is "
                "there and write it down, or strike what is wrong."
            )
            asked.append(Question(entry, CODE, detail, by=_asker(key)))
    return asked
