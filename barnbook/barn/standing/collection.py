"""The eggs of one cage in one round of one day."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from barnbook.barn.models import Collection, EggMove, Farm
from barnbook.barn.models.insert import insert
from barnbook.barn.standing.egg_moves import Move, laid_on, lay_moves_down, line_on, lines_of
from barnbook.barn.standing.subject import Question, Stored, Subject, asked_by, parts


@dataclass(frozen=True, slots=True)
class Counted:
    """One count: every egg found, and how many of them were cracked, soiled or thin-shelled."""

    entry: uuid.UUID
    eggs: int
    cracked: int
    soiled: int
    thin_shelled: int
    stamp: int = 0

    @property
    def sound(self) -> int:
        return self.eggs - self.cracked - self.soiled - self.thin_shelled


@dataclass(slots=True)
class Counts:
    """Every count of this cage in this round. More than one is a clash: all stand until the owner strikes some."""

    counts: list[Counted] = field(default_factory=list)

    @property
    def questions(self) -> list[Question]:
        if len(self.counts) < 2:
            return []
        numbers = " and ".join(str(count.eggs) for count in self.counts)
        detail = (
            f"This cage was counted {len(self.counts)} times in this round: {numbers} eggs. Strike the counts that "
            "are wrong; until then these eggs are left out of the figures."
        )
        return [Question(count.entry, "counted_twice", detail) for count in self.counts]


Place = tuple[uuid.UUID, date, str]  # cage, day, round


def store(farm: Farm, states: Mapping[str, Counts]) -> Stored:
    wanted: dict[Place, Counts] = {}
    for key, state in states.items():
        cage_id, on, round_key = parts(key)
        wanted[uuid.UUID(cage_id), date.fromisoformat(on), round_key] = state
    _take_away(farm, [place for place, state in wanted.items() if not state.counts])
    insert(
        Collection,
        [_row(farm, place, state) for place, state in wanted.items() if state.counts],
        instead_of=["farm", "cage", "day", "round"],
        update=["eggs", "cracked", "soiled", "thin_shelled", "clash"],
    )
    return Stored(
        reckon={f"cage/{cage}" for cage, _, _ in wanted},
        questions=[each for key, state in states.items() for each in asked_by(key, state.questions)],
        askers=set(states),
        eggs=lay_moves_down(farm, _moves(farm, wanted)),
    )


def _moves(farm: Farm, wanted: Mapping[Place, Counts]) -> dict[str, list[Move]]:
    """The sound eggs of each round, into the store of the line that the cage was of when they were laid."""
    lines = lines_of(farm, {cage for cage, _, _ in wanted})
    found: dict[str, list[Move]] = {}
    for (cage, day, round_), state in wanted.items():
        moves = found.setdefault(f"collection/{cage}/{day}/{round_}", [])
        if state.counts:
            last, laid = state.counts[-1], laid_on(farm, day=day, round_=round_)
            moves.append(
                Move(
                    entry=last.entry,
                    day=day,
                    stamp=last.stamp,
                    how=EggMove.How.COLLECTED,
                    eggs=last.sound,
                    line=line_on(lines.get(cage, []), laid),
                    laid_on=laid,
                    cage=cage,
                )
            )
    return found


def _row(farm: Farm, place: Place, state: Counts) -> Collection:
    cage, day, round_ = place
    last = state.counts[-1]
    return Collection(
        farm_id=farm.pk,
        cage=cage,
        day=day,
        round=round_,
        eggs=last.eggs,
        cracked=last.cracked,
        soiled=last.soiled,
        thin_shelled=last.thin_shelled,
        clash=len(state.counts) > 1,
    )


def _take_away(farm: Farm, places: Iterable[Place]) -> None:
    gone = set(places)
    if not gone:
        return
    there = Collection.objects.of(farm).filter(
        cage__in={cage for cage, _, _ in gone}, day__in={day for _, day, _ in gone}
    )
    rows = there.values_list("pk", "cage", "day", "round")
    Collection.objects.filter(pk__in=[pk for pk, *place in rows if tuple(place) in gone]).delete()


def wipe(farm: Farm) -> None:
    Collection.objects.of(farm).delete()


SUBJECT = Subject(name="collection", empty=lambda key: Counts(), store=store, wipe=wipe)
