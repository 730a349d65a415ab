"""Cohorts: the hens of one brood, and in which cages they stood from when to when.

A cage holds one cohort from the day on which hens came into it while none stood there until the last of them went.
Of hens of several broods it counts for the one that brought most; hens moved in later count with those they came to.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from barnbook.barn.models import HeadEvent


@dataclass(frozen=True, slots=True)
class HensIn:
    """One change of the hens of a cage, in the order in which they happened. kind: a HeadEvent.Kind."""

    day: date
    kind: str
    hens: int
    brood: uuid.UUID | None


@dataclass(frozen=True, slots=True)
class Stood:
    """Hens stood in the cage from a day to a day, both in; to_day None: they stand there still."""

    cage: uuid.UUID
    brood: uuid.UUID | None
    from_day: date
    to_day: date | None


def stays_of_hens(cage: uuid.UUID, changes: Iterable[HensIn]) -> list[Stood]:
    """The stays of hens in a cage, in their order. brood None: nobody said which they were of."""
    found: list[Stood] = []
    hens, since, came = 0, date.min, dict[uuid.UUID | None, int]()
    for change in changes:
        before = hens
        if change.kind == HeadEvent.Kind.MOVED_IN:
            hens += change.hens
        elif change.kind == HeadEvent.Kind.CHECKED:
            hens = change.hens
        else:
            hens -= change.hens
        if before <= 0 < hens:
            since, came = change.day, {}
        if change.kind == HeadEvent.Kind.MOVED_IN and change.hens:
            came[change.brood] = came.get(change.brood, 0) + change.hens
        if hens <= 0 < before:
            found.append(Stood(cage, _most(came), since, change.day))
    if hens > 0:
        found.append(Stood(cage, _most(came), since, None))
    return found


def _most(came: dict[uuid.UUID | None, int]) -> uuid.UUID | None:
    return max(came, key=lambda brood: (came[brood], str(brood))) if came else None
