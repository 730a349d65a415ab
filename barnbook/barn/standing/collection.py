"""The eggs of one cage in one round of one day."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from barnbook.barn.models import Collection, Farm
from barnbook.barn.standing.subject import Question, Stored, Subject, parts


@dataclass(frozen=True, slots=True)
class Counted:
    """One count: every egg found, and how many of them were cracked, soiled or thin-shelled."""

    entry: uuid.UUID
    eggs: int
    cracked: int
    soiled: int
    thin_shelled: int


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
    Collection.objects.bulk_create(
        [_row(farm, place, state) for place, state in wanted.items() if state.counts],
        update_conflicts=True,
        unique_fields=["farm", "cage", "day", "round"],
        update_fields=["eggs", "cracked", "soiled", "thin_shelled", "clash"],
    )
    return Stored(
        reckon={f"cage/{cage}" for cage, _, _ in wanted},
        questions=[question for state in wanted.values() for question in state.questions],
    )


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


SUBJECT = Subject(
    name="collection", empty=lambda key: Counts(), store=store, wipe=wipe, asks=frozenset({"counted_twice"})
)
