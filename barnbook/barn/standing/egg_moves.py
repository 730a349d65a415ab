"""Eggs in and out of the store, as each subject of the barn lays them down: a count, a setting, a shipment, eggs taken
out, the store seen. What is left follows from these rows alone (see `egg_store`).

Which line's eggs a count holds: the line that the cage was of on the day they were laid, by the days of the entries
that say so; before the first of them, its line. Which day's: the last day of lay that the round holds (ruling 12).
"""

from __future__ import annotations

import uuid
from collections.abc import Collection as Some
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from barnbook.barn.models import Cage, EggMove, EggStore, Farm
from barnbook.barn.models.insert import insert
from barnbook.barn.standing.subject import Stored, Subject

Key = tuple[uuid.UUID, date | None]
"""A line, and the day on which its eggs were laid; None: nobody knows."""

FIELDS = ("entry", "day", "stamp", "how", "line", "cage", "laid_on", "eggs")
AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Move:
    """The fields of an EggMove row, without its source."""

    entry: uuid.UUID
    day: date
    stamp: int
    how: str
    eggs: int
    line: uuid.UUID | None
    laid_on: date | None
    cage: uuid.UUID | None = None

    @classmethod
    def of(cls, row: EggMove) -> Move:
        return cls(**{name: getattr(row, name) for name in FIELDS})

    @property
    def order(self) -> tuple[date, int, uuid.UUID]:
        return (self.day, self.stamp, self.entry)


def lay_moves_down(farm: Farm, wanted: Mapping[str, Sequence[Move]]) -> set[Key]:
    """Make the moves of these sources be `wanted` and no others; returns the lines and days whose eggs moved."""
    there: dict[str, list[EggMove]] = {source: [] for source in wanted}
    sources = sorted(wanted)
    for first in range(0, len(sources), AT_ONCE):
        for row in EggMove.objects.of(farm).filter(source__in=sources[first : first + AT_ONCE]):
            there[row.source].append(row)
    touched: set[Key] = set()
    gone: list[int] = []
    new: list[EggMove] = []
    for source, moves in wanted.items():
        before = [Move.of(row) for row in there[source]]
        if sorted(before, key=repr) == sorted(moves, key=repr):
            continue
        gone += [row.pk for row in there[source]]
        new += [EggMove(farm=farm, source=source, **{n: getattr(move, n) for n in FIELDS}) for move in moves]
        touched |= _keys([*before, *moves])
    for first in range(0, len(gone), AT_ONCE):
        EggMove.objects.filter(pk__in=gone[first : first + AT_ONCE]).delete()
    insert(EggMove, new)
    return touched


def _keys(moves: Iterable[Move]) -> set[Key]:
    return {(move.line, move.laid_on) for move in moves if move.line is not None}


def laid_on(farm: Farm, *, day: date, round_: str) -> date:
    """The last day of lay whose eggs a round of that day holds."""
    return day if farm.is_round_after_lay(round_) else day - timedelta(days=1)


def line_on(lines: Sequence[Mapping[str, Any]], day: date) -> uuid.UUID | None:
    """The line of a cage on a day. lines: [{from_day, line}] in the order of their days, as the cage's row has them."""
    if not lines:
        return None
    now = lines[0]
    for each in lines:
        if each["from_day"] <= day.isoformat():
            now = each
    return uuid.UUID(now["line"]) if now["line"] else None


def lines_of(farm: Farm, cages: Some[uuid.UUID]) -> dict[uuid.UUID, list[dict[str, Any]]]:
    """Which line each of these cages was of, and since when."""
    found: dict[uuid.UUID, list[dict[str, Any]]] = dict(
        Cage.objects.of(farm).filter(pk__in=cages).values_list("pk", "lines")
    )
    return found


def relined(farm: Farm, cages: Some[uuid.UUID]) -> set[Key]:
    """The cages are of other lines than they were: so are the eggs counted in them."""
    lines = lines_of(farm, cages)
    return _moved(
        farm,
        EggMove.objects.of(farm).filter(cage__in=cages, how=EggMove.How.COLLECTED),
        lambda row: {"line": line_on(lines.get(row.cage, []), row.laid_on)},
    )


def redated(farm: Farm) -> set[Key]:
    """The rounds hold other days' eggs than they did: so does every count."""
    lines = lines_of(farm, list(Cage.objects.of(farm).values_list("pk", flat=True)))

    def anew(row: EggMove) -> dict[str, Any]:
        day = laid_on(farm, day=row.day, round_=row.source.split("/", 3)[3])
        return {"laid_on": day, "line": line_on(lines.get(row.cage, []), day) if row.cage else None}

    return _moved(farm, EggMove.objects.of(farm).filter(how=EggMove.How.COLLECTED), anew)


def _moved(farm: Farm, rows: Iterable[EggMove], anew: Any) -> set[Key]:
    touched: set[Key] = set()
    differ = []
    for row in rows:
        values = anew(row)
        if any(getattr(row, name) != value for name, value in values.items()):
            touched |= _keys([Move.of(row)])
            for name, value in values.items():
                setattr(row, name, value)
            touched |= _keys([Move.of(row)])
            differ.append(row)
    EggMove.objects.bulk_update(differ, ["line", "laid_on"], batch_size=200)
    return touched


@dataclass(slots=True)
class Moves:
    """What one entry took out of the store, or saw there."""

    moves: list[Move] = field(default_factory=list)


def store(farm: Farm, states: Mapping[str, Moves]) -> Stored:
    return Stored(eggs=lay_moves_down(farm, {key: state.moves for key, state in states.items()}))


def wipe(farm: Farm) -> None:
    EggMove.objects.of(farm).delete()
    EggStore.objects.of(farm).delete()


SUBJECT = Subject(name="eggs_moved", empty=lambda key: Moves(), store=store, wipe=wipe)
