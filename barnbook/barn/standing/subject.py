"""The shape of a subject, and the laying down of its rows."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, TypeVar

from barnbook.barn.models import Farm, Gone
from barnbook.barn.models.row import changed

Id = TypeVar("Id", uuid.UUID, str)


@dataclass(frozen=True, slots=True)
class Question:
    """Something the owner is asked about an entry: it counts all the same. by: who asks, mostly a subject's key."""

    entry: uuid.UUID
    code: str
    detail: str
    by: str = ""


@dataclass(slots=True)
class Stored:
    """What storing came to: subjects that came to stand or no longer do, what to reckon again, what to ask.

    askers: who asks; its questions are all that each of them asks now.
    eggs: lines and days laid whose eggs moved (see `egg_moves`).
    """

    appeared: set[str] = field(default_factory=set)
    vanished: set[str] = field(default_factory=set)
    reckon: set[str] = field(default_factory=set)
    questions: list[Question] = field(default_factory=list)
    askers: set[str] = field(default_factory=set)
    eggs: set[tuple[uuid.UUID, date | None]] = field(default_factory=set)

    def add(self, other: Stored) -> None:
        self.appeared |= other.appeared
        self.vanished |= other.vanished
        self.reckon |= other.reckon
        self.questions += other.questions
        self.askers |= other.askers
        self.eggs |= other.eggs


@dataclass(frozen=True, slots=True)
class Subject:
    """name: the first word of its keys.  empty: a fresh state for a key.  store: lays many states down at once.
    wipe: takes every row of the farm away, for a rebuild from nothing."""

    name: str
    empty: Callable[[str], Any]
    store: Callable[[Farm, Mapping[str, Any]], Stored]
    wipe: Callable[[Farm], None]


def asked_by(asker: str, questions: Iterable[Question]) -> list[Question]:
    """The questions, with who asks them."""
    return [replace(question, by=asker) for question in questions]


def parts(key: str) -> list[str]:
    """`collection/<cage>/<day>/<round>` -> its parts after the name."""
    return key.split("/")[1:]


def lay_down(
    farm: Farm,
    *,
    model: Any,
    table: str,
    wanted: Mapping[Id, Mapping[str, Any] | None],
) -> tuple[set[Id], set[Id], set[Id]]:
    """Make the rows of `model` with these ids be `wanted` (None: no row), touching only what differs.

    Returns the ids that were added, changed and taken away. Rows that came out the same keep their seq.
    """
    there: dict[Id, Any] = model.objects.of(farm).in_bulk(list(wanted))
    new, differ, gone = [], [], []
    fields: set[str] = set()
    for id_, values in wanted.items():
        row = there.get(id_)
        if values is None:
            if row is not None:
                gone.append(id_)
        elif row is None:
            new.append(model(id=id_, farm=farm, **values))
        else:
            moved = {name: value for name, value in values.items() if getattr(row, name) != value}
            if moved:
                fields |= set(moved)
                for name, value in moved.items():
                    setattr(row, name, value)
                differ.append(row)
    changed(farm, new + differ)
    model.objects.bulk_create(new)
    if differ:
        model.objects.bulk_update(differ, [*fields, "seq"], batch_size=200)
    if gone:
        model.objects.of(farm).filter(pk__in=gone).delete()
        tell_gone(farm, table, (str(id_) for id_ in gone))
    if new:
        Gone.objects.of(farm).filter(table=table, row_id__in=[str(row.id) for row in new]).delete()
    return {row.id for row in new}, {row.id for row in differ}, set(gone)


def tell_gone(farm: Farm, table: str, row_ids: Iterable[str]) -> None:
    """Leave a mark for phones that a row was taken away."""
    rows = changed(farm, [Gone(farm=farm, table=table, row_id=row_id) for row_id in row_ids])
    Gone.objects.bulk_create(
        rows, update_conflicts=True, unique_fields=["farm", "table", "row_id"], update_fields=["seq"]
    )
