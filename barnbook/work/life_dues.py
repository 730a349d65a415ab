"""Dues of a cage's birds growing old: hens past their line's laying life, hens and cocks past its breeding lives.

Two lives apart (ruling 15): fertility falls long before lay does. Both are counted from the hatch of the oldest brood
whose hens (cocks) stand in the cage, as far as anybody said which brood that is.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Collection as Some
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from barnbook.barn.models import Bird, Brood, Cage, Farm, HeadEvent, Line, Stay
from barnbook.work.dues import AHEAD_DAYS, DueNow

AHEAD_OF_LAST_DAYS = 28  # time to think of who follows them; common practice, no source

REPLACE_HENS = "replace_hens"
HENS_BREEDING = "hens_breeding"
COCKS_BREEDING = "cocks_breeding"


@dataclass(frozen=True, slots=True)
class Life:
    """One life of the birds of one sex in a cage: when the oldest hatched, for how many weeks, how many they are."""

    work: str
    hatched_on: date
    weeks: int
    birds: int


def life_dues(lives: Iterable[Life], *, today: date) -> list[DueNow]:
    """Their dues. A work that no life is given for has nothing left."""
    found = {work: DueNow(work, 0, None) for work in (REPLACE_HENS, HENS_BREEDING, COCKS_BREEDING)}
    for life in lives:
        last = life.hatched_on + timedelta(weeks=life.weeks)
        first = last - timedelta(days=AHEAD_OF_LAST_DAYS)
        if first <= today + timedelta(days=AHEAD_DAYS):
            found[life.work] = DueNow(life.work, life.birds, (first, last))
    return list(found.values())


def see_lives(farm: Farm, cages: Some[uuid.UUID]) -> dict[uuid.UUID, list[Life]]:
    """Of each of these cages that stands, the lives that its lines give its birds."""
    there = Cage.objects.of(farm).in_bulk(list(cages))
    standing = _broods_standing(farm, there)
    broods = Brood.objects.of(farm).in_bulk(
        {brood for sexes in standing.values() for b in sexes.values() for brood in b}
    )
    lines = Line.objects.of(farm).in_bulk({brood.line_id for brood in broods.values()})
    found = {}
    for id_, cage in there.items():
        lives = []
        for sex, birds in (("hens", cage.hens), ("cocks", cage.cocks)):
            known = [broods[each] for each in standing[id_][sex] if each in broods]
            if birds > 0 and known:
                oldest = min(known, key=lambda brood: (brood.hatched_on, brood.pk))
                lives += _lives_of(sex, birds, oldest, lines.get(oldest.line_id))
        found[id_] = lives
    return found


def _lives_of(sex: str, birds: int, oldest: Brood, line: Line | None) -> list[Life]:
    if line is None:
        return []
    weeks = (
        {REPLACE_HENS: line.laying_life_weeks, HENS_BREEDING: line.hen_breeding_weeks}
        if sex == "hens"
        else {COCKS_BREEDING: line.cock_breeding_weeks}
    )
    return [Life(work, oldest.hatched_on, each, birds) for work, each in weeks.items() if each is not None]


def _broods_standing(farm: Farm, cages: Mapping[uuid.UUID, Cage]) -> dict[uuid.UUID, dict[str, set[uuid.UUID]]]:
    """Of each cage and sex, the broods put in since there were last none of that sex; and those of birds that are
    known by their ids to stand there."""
    rows = HeadEvent.objects.of(farm).order_by("day", "place")
    rows = rows.filter(cage__in=_cages_behind(farm, set(cages)))
    found = broods_standing(
        [Moved(row.day, row.cage, row.kind, row.hens, row.cocks, row.brood, row.from_cage) for row in rows]
    )
    for cage, brood, sex in _known_birds(farm, cages):
        found[cage]["hens" if sex == "hen" else "cocks"].add(brood)
    return found


def _cages_behind(farm: Farm, cages: set[uuid.UUID]) -> set[uuid.UUID]:
    """These cages, and every cage from which birds came to them, straight or by way of others."""
    moves = HeadEvent.objects.of(farm).exclude(from_cage=None).values_list("from_cage", "cage").distinct().order_by()
    sources: dict[uuid.UUID, set[uuid.UUID]] = defaultdict(set)
    for from_cage, cage in moves:
        if from_cage is not None:
            sources[cage].add(from_cage)
    found, new = set(cages), set(cages)
    while new := {source for cage in new for source in sources[cage]} - found:
        found |= new
    return found


@dataclass(frozen=True, slots=True)
class Moved:
    """One change of a cage's heads. kind: a HeadEvent.Kind.  brood, from_cage: where those moved in came from."""

    day: date
    cage: uuid.UUID
    kind: str
    hens: int
    cocks: int
    brood: uuid.UUID | None = None
    from_cage: uuid.UUID | None = None


def broods_standing(moved: Sequence[Moved]) -> dict[uuid.UUID, dict[str, set[uuid.UUID]]]:
    """Of each cage and sex, the broods put in since there were last none of that sex. moved: by day, and of one cage in
    their order.

    Birds moved from cage to cage without their ids may be of any brood that stood in the first at any time of that day:
    the oldest then makes the due, a day too early rather than too late.
    """
    found: dict[uuid.UUID, dict[str, set[uuid.UUID]]] = defaultdict(lambda: {"hens": set(), "cocks": set()})
    now: dict[tuple[uuid.UUID, str], int] = defaultdict(int)
    for _, group in groupby(moved, key=lambda each: each.day):
        of_day = list(group)
        that_day = _at_any_time_of(of_day, found)
        for each in of_day:
            for sex in ("hens", "cocks"):
                _stand(found[each.cage][sex], now, each, sex, that_day)
    return found


def _at_any_time_of(
    of_day: Sequence[Moved], at_its_start: Mapping[uuid.UUID, Mapping[str, set[uuid.UUID]]]
) -> dict[uuid.UUID, dict[str, set[uuid.UUID]]]:
    """The broods that may have stood in each cage at any time of a day, by whatever order its moves were made in."""
    found: dict[uuid.UUID, dict[str, set[uuid.UUID]]] = defaultdict(lambda: {"hens": set(), "cocks": set()})
    for cage, sexes in at_its_start.items():
        found[cage] = {sex: set(broods) for sex, broods in sexes.items()}
    more = True
    while more:
        more = False
        for each in of_day:
            for sex in ("hens", "cocks"):
                if getattr(each, sex) > 0 and each.kind == HeadEvent.Kind.MOVED_IN:
                    came = set(found[each.from_cage][sex]) if each.from_cage is not None else set()
                    came |= {each.brood} if each.brood is not None else set()
                    more = more or not came <= found[each.cage][sex]
                    found[each.cage][sex] |= came
    return found


def _stand(
    broods: set[uuid.UUID],
    now: dict[tuple[uuid.UUID, str], int],
    moved: Moved,
    sex: str,
    that_day: Mapping[uuid.UUID, Mapping[str, set[uuid.UUID]]],
) -> None:
    number: int = getattr(moved, sex)
    if moved.kind == HeadEvent.Kind.MOVED_IN:
        now[moved.cage, sex] += number
    elif moved.kind == HeadEvent.Kind.CHECKED:
        now[moved.cage, sex] = number
    else:
        now[moved.cage, sex] -= number
    if now[moved.cage, sex] <= 0:
        broods.clear()
    elif moved.kind == HeadEvent.Kind.MOVED_IN and number > 0:
        if moved.brood is not None:
            broods.add(moved.brood)
        elif moved.from_cage is not None:
            broods |= that_day[moved.from_cage][sex]


def _known_birds(farm: Farm, cages: Some[uuid.UUID]) -> list[tuple[uuid.UUID, uuid.UUID, str]]:
    """(cage, brood, sex) of each sexed bird known by its id to stand in one of these cages."""
    stays = list(Stay.objects.of(farm).filter(cage__in=cages, to_day=None).values_list("cage", "brood", "bird"))
    sexes = dict(
        Bird.objects.of(farm)
        .filter(bird__in={bird for _, _, bird in stays}, sex__in=["hen", "cock"])
        .values_list("bird", "sex")
    )
    return [(cage, brood, sexes[bird]) for cage, brood, bird in stays if bird in sexes]
