"""A brood, its birds and their stays, laid down as rows."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from barnbook.barn.models import Bird, Brood, Farm, Gone, Stay, Tray
from barnbook.barn.models.row import changed
from barnbook.barn.standing.brood import BroodState
from barnbook.barn.standing.brood_questions import band_asks, bands_used_twice, questions_of
from barnbook.barn.standing.subject import Stored, Subject, asked_by, lay_down, parts, tell_gone

BIRD_FIELDS = (
    "numbered_by",
    "numbered_at",
    "band",
    "sex",
    "looked_on",
    "last_weight_g",
    "weighed_on",
    "guess",
    "guessed_by",
    "guessed_on",
    "plumage",
    "decision",
    "decided_on",
    "cage",
    "placed_on",
    "gone",
    "gone_on",
    "banded_by",
)


def _values(state: BroodState) -> dict[str, Any] | None:
    if state.values is None:
        return None
    return {
        **state.values,
        "chicks": state.chicks,
        "alive": state.alive,
        "hens": state.count("hen"),
        "cocks": state.count("cock"),
        "unsure": state.count("unsure"),
        "unlooked": state.unlooked,
        "placed": state.placed,
        "setting": state.setting,
        "trays": state.trays,
        "plumage": state.plumage,
        "brooder": state.brooder,
    }


def store(farm: Farm, states: Mapping[str, BroodState]) -> Stored:
    by_brood = {uuid.UUID(parts(key)[0]): state for key, state in states.items()}
    worn = Bird.objects.of(farm).filter(brood_id__in=by_brood).values_list("band", flat=True)
    bands = {band for band in worn if band is not None}
    _take_birds_away(farm, by_brood)
    wanted = {id_: _values(state) for id_, state in by_brood.items()}
    new, _, gone = lay_down(farm, model=Brood, table="brood", wanted=wanted)
    standing = {id_: state for id_, state in by_brood.items() if state.values is not None}
    _lay_birds_down(farm, standing)
    moved = _lay_stays_down(farm, by_brood)
    bands |= {bird.band for state in standing.values() for bird in state.birds.values() if bird.band is not None}
    return Stored(
        appeared={f"brood/{i}" for i in new},
        vanished={f"brood/{i}" for i in gone},
        reckon={f"brood/{i}" for i in by_brood} | moved,
        questions=[
            *bands_used_twice(farm, bands),
            *(each for key, state in states.items() for each in asked_by(key, questions_of(state))),
        ],
        askers=set(states) | {band_asks(band) for band in bands},
    )


def _take_birds_away(farm: Farm, by_brood: Mapping[uuid.UUID, BroodState]) -> None:
    """Birds that no entry speaks of any more, or whose brood no longer stands."""
    gone = [
        bird
        for bird in Bird.objects.of(farm).filter(brood_id__in=by_brood)
        if by_brood[bird.brood_id].values is None or bird.bird not in by_brood[bird.brood_id].birds
    ]
    if not gone:
        return
    Bird.objects.of(farm).filter(pk__in=[bird.pk for bird in gone]).delete()
    # The same id in another brood is a mistake that somebody is asked about; the row that is left is told anew.
    left = list(Bird.objects.of(farm).filter(bird__in={bird.bird for bird in gone}))
    Bird.objects.bulk_update(changed(farm, left), ["seq"], batch_size=200)
    tell_gone(farm, "bird", sorted({str(bird.bird) for bird in gone} - {str(bird.bird) for bird in left}))


def _lay_birds_down(farm: Farm, by_brood: Mapping[uuid.UUID, BroodState]) -> None:
    there = {(bird.brood_id, bird.bird): bird for bird in Bird.objects.of(farm).filter(brood_id__in=by_brood)}
    new, differ = [], []
    for brood, state in by_brood.items():
        numbers = state.numbers()
        for id_, bird in state.birds.items():
            values = {"number": numbers[id_], **{name: getattr(bird, name) for name in BIRD_FIELDS}}
            row = there.get((brood, id_))
            if row is None:
                new.append(Bird(farm=farm, bird=id_, brood_id=brood, **values))
            elif any(getattr(row, name) != value for name, value in values.items()):
                for name, value in values.items():
                    setattr(row, name, value)
                differ.append(row)
    changed(farm, new + differ)
    Bird.objects.bulk_create(new)
    Bird.objects.bulk_update(differ, ["number", *BIRD_FIELDS, "seq"], batch_size=200)
    if new:
        Gone.objects.of(farm).filter(table="bird", row_id__in=[str(bird.bird) for bird in new]).delete()


def _lay_stays_down(farm: Farm, by_brood: Mapping[uuid.UUID, BroodState]) -> set[str]:
    """The stays of each brood's birds, anew where they differ. Returns what is to be reckoned for it: the cages, and
    the settings whose eggs came from them."""
    there: dict[uuid.UUID, set[Any]] = {brood: set() for brood in by_brood}
    rows = Stay.objects.of(farm).filter(brood__in=by_brood)
    for brood, *stay in rows.values_list("brood", "bird", "cage", "from_day", "to_day"):
        there[brood].add(tuple(stay))
    wanted = {
        brood: {(id_, s.cage, s.from_day, s.to_day) for id_, bird in state.birds.items() for s in bird.stays}
        if state.values is not None
        else set()
        for brood, state in by_brood.items()
    }
    differ = [brood for brood in by_brood if there[brood] != wanted[brood]]
    if not differ:
        return set()
    Stay.objects.of(farm).filter(brood__in=differ).delete()
    Stay.objects.bulk_create(
        Stay(farm=farm, brood=brood, bird=bird, cage=cage, from_day=from_day, to_day=to_day)
        for brood in differ
        for bird, cage, from_day, to_day in wanted[brood]
    )
    cages = {cage for brood in differ for _, cage, _, _ in there[brood] ^ wanted[brood]}
    settings = Tray.objects.of(farm).filter(cage__in=cages).values_list("setting_id", flat=True)
    return {f"cage/{cage}" for cage in cages} | {f"setting/{setting}" for setting in settings}


def wipe(farm: Farm) -> None:
    Stay.objects.of(farm).delete()
    Bird.objects.of(farm).delete()
    Brood.objects.of(farm).delete()


SUBJECT = Subject(name="brood", empty=lambda key: BroodState(), store=store, wipe=wipe)
