"""A brood and its birds: hatched, looked at, weighed, died, placed."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from barnbook.barn.models import Bird, Brood, Farm
from barnbook.barn.models.row import changed
from barnbook.barn.standing.subject import Question, Stored, Subject, lay_down, parts, tell_gone


@dataclass(slots=True)
class BirdState:
    """One bird as last looked at and weighed. number: its place in the brood by when it was first written."""

    number: int
    band: str | None = None
    sex: str = "unsexed"
    looked_on: date | None = None
    last_weight_g: float | None = None
    weighed_on: date | None = None


@dataclass(slots=True)
class BroodState:
    """values: line_id, code, hatched_on, chicks, note; None when no brood entry stands (then nothing else counts).

    placed_sexed: how many of the placed birds were put into their cages as hens or cocks.
    last_look: the newest entry that read a bird's sex; banded_by: the entry that put a bird's present band on.
    """

    values: dict[str, Any] | None = None
    dead: int = 0
    placed: int = 0
    placed_sexed: int = 0
    birds: dict[uuid.UUID, BirdState] = field(default_factory=dict)
    last_look: uuid.UUID | None = None
    banded_by: dict[uuid.UUID, uuid.UUID] = field(default_factory=dict)

    def bird(self, bird: uuid.UUID) -> BirdState:
        """The bird of that id; a new one takes the next number."""
        return self.birds.setdefault(bird, BirdState(number=len(self.birds) + 1))

    def put_band(self, bird: uuid.UUID, band: str | None, entry: uuid.UUID) -> None:
        """A band seen now replaces the one seen before; none seen leaves it."""
        if band is not None:
            self.bird(bird).band = band
            self.banded_by[bird] = entry

    def count(self, sex: str) -> int:
        return sum(bird.sex == sex for bird in self.birds.values())

    @property
    def alive(self) -> int:
        return (self.values["chicks"] if self.values else 0) - self.dead

    @property
    def looked(self) -> int:
        return sum(bird.sex != "unsexed" for bird in self.birds.values())

    @property
    def unlooked(self) -> int:
        """Birds alive whose sex nobody knows: one placed as a hen or a cock is known, whether or not it was looked
        at one by one. Below zero when more are known than alive: shown so, never clipped."""
        return self.alive - max(self.looked, self.placed_sexed)

    @property
    def questions(self) -> list[Question]:
        return [*self._more_than_alive(), *self._bands_used_twice()]

    def _more_than_alive(self) -> list[Question]:
        if self.values is None or self.last_look is None or self.looked <= self.alive:
            return []
        detail = (
            f"{self.looked} birds have been looked at, but {self.alive} of the {self.values['chicks']} chicks are "
            "alive. Correct the number hatched, or strike what was written twice."
        )
        return [Question(self.last_look, "more_birds_than_chicks", detail)]

    def _bands_used_twice(self) -> list[Question]:
        wearers: dict[str, list[uuid.UUID]] = {}
        for id_, bird in self.birds.items():
            if bird.band is not None:
                wearers.setdefault(bird.band, []).append(id_)
        return [
            Question(
                self.banded_by[id_],
                "band_used_twice",
                f"Band {band} is on birds {' and '.join(str(self.birds[i].number) for i in ids)} of this brood. "
                "Look at the bands and strike the entry that is wrong.",
            )
            for band, ids in wearers.items()
            if len(ids) > 1
            for id_ in ids
        ]


def _values(state: BroodState) -> dict[str, Any] | None:
    if state.values is None:
        return None
    return {
        **state.values,
        "alive": state.alive,
        "hens": state.count("hen"),
        "cocks": state.count("cock"),
        "unsure": state.count("unsure"),
        "unlooked": state.unlooked,
        "placed": state.placed,
    }


def store(farm: Farm, states: Mapping[str, BroodState]) -> Stored:
    by_brood = {uuid.UUID(parts(key)[0]): state for key, state in states.items()}
    _take_birds_away(farm, by_brood)
    wanted = {id_: _values(state) for id_, state in by_brood.items()}
    new, _, gone = lay_down(farm, model=Brood, table="brood", wanted=wanted)
    _lay_birds_down(farm, {id_: state for id_, state in by_brood.items() if state.values is not None})
    return Stored(
        appeared={f"brood/{i}" for i in new},
        vanished={f"brood/{i}" for i in gone},
        reckon={f"brood/{i}" for i in by_brood},
        questions=[question for state in by_brood.values() for question in state.questions],
    )


def _take_birds_away(farm: Farm, by_brood: Mapping[uuid.UUID, BroodState]) -> None:
    """Birds that no entry speaks of any more, or whose brood no longer stands."""
    gone = [
        bird
        for bird in Bird.objects.of(farm).filter(brood_id__in=by_brood)
        if by_brood[bird.brood_id].values is None or bird.bird not in by_brood[bird.brood_id].birds
    ]
    if gone:
        Bird.objects.of(farm).filter(pk__in=[bird.pk for bird in gone]).delete()
        tell_gone(farm, "bird", (str(bird.bird) for bird in gone))


def _lay_birds_down(farm: Farm, by_brood: Mapping[uuid.UUID, BroodState]) -> None:
    there = {(bird.brood_id, bird.bird): bird for bird in Bird.objects.of(farm).filter(brood_id__in=by_brood)}
    fields = ["number", "band", "sex", "looked_on", "last_weight_g", "weighed_on"]
    new, differ = [], []
    for brood, state in by_brood.items():
        for id_, bird in state.birds.items():
            values = {name: getattr(bird, name) for name in fields}
            row = there.get((brood, id_))
            if row is None:
                new.append(Bird(farm=farm, bird=id_, brood_id=brood, **values))
            elif any(getattr(row, name) != value for name, value in values.items()):
                for name, value in values.items():
                    setattr(row, name, value)
                differ.append(row)
    changed(farm, new + differ)
    Bird.objects.bulk_create(new)
    Bird.objects.bulk_update(differ, [*fields, "seq"], batch_size=200)


def wipe(farm: Farm) -> None:
    Bird.objects.of(farm).delete()
    Brood.objects.of(farm).delete()


SUBJECT = Subject(name="brood", empty=lambda key: BroodState(), store=store, wipe=wipe)
