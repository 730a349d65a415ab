"""Mating: who to whom among a line's keepers, so that the line does not close on itself.

Keepers are its living birds of known sex that somebody decided to keep, or that stand in one of its cages; of those
past the breeding life that the line gives their sex none is planned with. A cage has the places that it ever had birds
in: as many hens as most stood there, and as many cocks as stand there, at least one. Where there are more hens than
places the youngest are planned with.

A plan takes a second or two, and the same question has the same answer: it is asked again only when birds, cages or
parents have changed.
"""

from __future__ import annotations

import hashlib
import json
import uuid
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

import numpy as np
from django.db.models import QuerySet

from barnbook.barn.models import Bird, Brood, Cage, Farm, FigureTable, HeadEvent, Line, Person
from barnbook.figures.effective_number import realised_effective_number, realised_inbreeding_a_generation
from barnbook.figures.estimate import Estimate, Missing, Reason
from barnbook.figures.inbreeding import Inbreeding, inbreeding
from barnbook.figures.kinship import coancestry
from barnbook.figures.mating import Cage as Places
from barnbook.figures.mating import MatingPlan, NoPlan, mating_plan
from barnbook.figures.pedigree import FloatArray, Pedigree
from barnbook.work.pedigree_of_line import COCK, HEN, pedigree_or_why
from barnbook.work.shown import shown, six

KEEP = "keep"
LIMIT = 0.25  # no pair closer than brother and sister of unrelated parents; the owner sees each pair
SECONDS = 1.5
VERSION = 1  # of how a question is asked; one more and every plan is made anew


@dataclass(frozen=True, slots=True)
class Keeper:
    id: str
    brood: str
    brood_code: str
    name: str
    sex: str
    hatched_on: date
    cage: str | None
    too_old: bool


@dataclass(frozen=True, slots=True)
class MatingCage:
    id: str
    code: str
    cocks: int
    hens: int


@dataclass(frozen=True, slots=True)
class MatingSeen:
    """What the barn knows. pedigree: or the sentence that says why its entries contradict one another."""

    keepers: Sequence[Keeper]
    cages: Sequence[MatingCage]
    pedigree: Pedigree | str


@dataclass(slots=True)
class Asked:
    """The birds that are planned with, by sex, youngest first, and the cages they go to."""

    cocks: list[Keeper] = field(default_factory=list)
    hens: list[Keeper] = field(default_factory=list)
    cages: list[MatingCage] = field(default_factory=list)
    over: list[Keeper] = field(default_factory=list)  # hens for whom there is no place


def see_mating(farm: Farm, line: Line, *, today: date) -> MatingSeen:
    cages = {cage.pk: cage for cage in Cage.objects.of(farm).filter(line=line, closed=False).order_by("place", "code")}
    broods = Brood.objects.of(farm).filter(line=line).in_bulk()
    living = Bird.objects.of(farm).filter(brood__in=broods, gone=None, sex__in=[COCK, HEN])
    names = _names(farm, living, broods)
    keepers = [
        _keeper(bird, broods[bird.brood_id], line, today, name=names[bird.pk])
        for bird in living.order_by("brood_id", "number", "bird")
        if bird.cage in cages or (bird.cage is None and bird.decision == KEEP)
    ]
    most = _most_hens(farm, cages)
    return MatingSeen(
        keepers,
        [MatingCage(str(id_), cage.code, max(cage.cocks, 1), most.get(id_, 0)) for id_, cage in cages.items()],
        pedigree_or_why(farm, line),
    )


def _names(farm: Farm, birds: QuerySet[Bird], broods: Mapping[uuid.UUID, Brood]) -> dict[int, str]:
    """What each is called: by its band, or by its number; with who gave it, where two phones gave the same one."""
    given = Counter(birds.values_list("brood_id", "number"))
    people = dict(Person.objects.filter(farm=farm).values_list("pk", "name"))
    names = {}
    for bird in birds:
        name = bird.band or f"no. {bird.number} of {broods[bird.brood_id].code}"
        if bird.band is None and given[(bird.brood_id, bird.number)] > 1 and bird.numbered_by in people:
            name += f" ({people[bird.numbered_by]}’s)"
        names[bird.pk] = name
    return names


def _keeper(bird: Bird, brood: Brood, line: Line, today: date, *, name: str) -> Keeper:
    weeks = line.cock_breeding_weeks if bird.sex == COCK else line.hen_breeding_weeks
    old = weeks is not None and brood.hatched_on + timedelta(weeks=weeks) < today
    cage = str(bird.cage) if bird.cage else None
    return Keeper(str(bird.bird), str(brood.pk), brood.code, name, bird.sex, brood.hatched_on, cage, old)


def _most_hens(farm: Farm, cages: Mapping[uuid.UUID, Cage]) -> dict[uuid.UUID, int]:
    """The most hens that ever stood in each cage at once."""
    most: dict[uuid.UUID, int] = {}
    now: dict[uuid.UUID, int] = {}
    for event in HeadEvent.objects.of(farm).filter(cage__in=cages).order_by("cage", "place"):
        hens = now.get(event.cage, 0)
        if event.kind == HeadEvent.Kind.MOVED_IN:
            hens += event.hens
        elif event.kind == HeadEvent.Kind.CHECKED:
            hens = event.hens
        else:
            hens -= event.hens
        now[event.cage] = hens
        most[event.cage] = max(most.get(event.cage, 0), hens)
    return most


def mating_page(seen: MatingSeen, *, before: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """The page of one line; see docs/wire.md. before: the page as it was, whose plan stands if nothing has changed."""
    asked = who_is_asked(seen)
    none = {"plan": None, "no_plan": None, "missing": None}
    if isinstance(seen.pedigree, str):
        wrong = Missing(Reason.CONTRADICTION, detail=seen.pedigree)
        return {"birds": [], **none, "missing": shown(wrong, "mating_plan")["missing"], "asked": ""}
    known = inbreeding(seen.pedigree)
    page = {**_birds(seen, asked, seen.pedigree, known), **none}
    missing = _too_few(asked)
    if missing is not None:
        return {**page, "missing": shown(missing, "mating_plan")["missing"], "asked": ""}
    between = coancestry(
        seen.pedigree, [bird.id for bird in asked.cocks], [bird.id for bird in asked.hens], known=known
    )
    question = _question(asked, between)
    if before is not None and before.get("asked") == question:
        answer = {key: before[key] for key in ("plan", "no_plan", "missing", "coancestry")}
    else:
        answer = _answer(asked, between)
    return {**page, **answer, "asked": question}


def who_is_asked(seen: MatingSeen) -> Asked:
    places = [cage for cage in seen.cages if cage.hens > 0]
    young = sorted((bird for bird in seen.keepers if not bird.too_old), key=lambda bird: (bird.hatched_on, bird.id))
    young.reverse()
    hens = [bird for bird in young if bird.sex == HEN]
    room = sum(cage.hens for cage in places)
    return Asked([bird for bird in young if bird.sex == COCK], hens[:room], places, hens[room:])


def _too_few(asked: Asked) -> Missing | None:
    """A plan needs a cage, a cock and a hen, and cocks enough for at least one cage."""
    if not asked.cages:
        return Missing(Reason.NO_RECORDS, "cages", 0, detail="No open cage of the line has had hens yet.")
    for what, birds in (("cocks", asked.cocks), ("hens", asked.hens)):
        if not birds:
            detail = f"No {what[:-1]} of the line is known by its id, young enough and kept."
            return Missing(Reason.NO_RECORDS, what, 0, detail=detail)
    least = min(cage.cocks for cage in asked.cages)
    if len(asked.cocks) < least:
        return Missing(Reason.TOO_FEW_BIRDS, "cocks", len(asked.cocks), least)
    return None


def _question(asked: Asked, between: FloatArray) -> str:
    """Names all that the plan depends on."""
    text = json.dumps(
        [
            VERSION,
            [bird.id for bird in asked.cocks],
            [bird.id for bird in asked.hens],
            [[cage.id, cage.cocks, cage.hens] for cage in asked.cages],
            np.round(between, 9).tolist(),
        ]
    )
    return hashlib.sha256(text.encode()).hexdigest()[:24]


def plan_for(asked: Asked, between: FloatArray) -> MatingPlan | NoPlan:
    """The plan of least expected inbreeding, cages by their ids."""
    cocks, hens = [bird.id for bird in asked.cocks], [bird.id for bird in asked.hens]
    cages = _cages_used(asked)
    return mating_plan(
        between,
        cocks=cocks,
        hens=hens,
        cages=[Places(cage.id, cage.cocks, cage.hens) for cage in cages],
        limit=LIMIT,
        every_cock=False,
        seconds=SECONDS,
    )


def _cages_used(asked: Asked) -> list[MatingCage]:
    """All of them; where there are fewer hens than cages, as many as there are hens, those with most room first."""
    if len(asked.hens) >= len(asked.cages):
        return asked.cages
    kept = sorted(asked.cages, key=lambda cage: -cage.hens)[: len(asked.hens)]
    return [cage for cage in asked.cages if cage in kept]


def _answer(asked: Asked, between: FloatArray) -> dict[str, Any]:
    answer: dict[str, Any] = {"plan": None, "no_plan": None, "missing": None}
    answer["coancestry"] = [[round(float(value), 6) for value in row] for row in between]
    try:
        plan = plan_for(asked, between)
    except ValueError as wrong:  # cages and birds that cannot be brought together: said in one sentence
        missing = Missing(Reason.CONTRADICTION, detail=str(wrong))
        return {**answer, "missing": shown(missing, "mating_plan")["missing"]}
    if isinstance(plan, NoPlan):
        pairs = [[pair.cock, pair.hen, six(pair.coancestry)] for pair in plan.pairs]
        birds = list(plan.birds)
        no_plan = {"limit": plan.limit, "least_worst": six(plan.least_worst), "pairs": pairs, "birds": birds}
        return {**answer, "no_plan": no_plan}
    return {**answer, "plan": _plan(plan)}


def _plan(plan: MatingPlan) -> dict[str, Any]:
    return {
        "stands": [{"cage": stand.cage, "cocks": list(stand.cocks), "hens": list(stand.hens)} for stand in plan.stands],
        "expected": six(plan.expected_inbreeding),
        "gap": six(plan.gap) if not plan.proven else 0.0,
        "worst": [plan.worst.cock, plan.worst.hen, six(plan.worst.coancestry)],
        "at_random": six(plan.mean_of_all_pairs),
        "left_out": list(plan.left_out),
        "limit": plan.limit,
    }


def _birds(seen: MatingSeen, asked: Asked, known: Pedigree, inbred: Inbreeding) -> dict[str, Any]:
    planned = [*asked.cocks, *asked.hens]
    ids = [bird.id for bird in planned]
    parents = inbred.f[known.rows(ids)] if ids else np.zeros(0)
    a_generation = (
        realised_inbreeding_a_generation(known, ids, known=inbred)
        if ids
        else Estimate("share", n_of="birds", missing=Missing(Reason.NO_RECORDS, "birds", 0))
    )
    depth = known.generation[known.rows(ids)] if ids else np.zeros(0)
    return {
        "birds": [_bird(bird) for bird in planned],
        "cocks": [bird.id for bird in asked.cocks],
        "hens": [bird.id for bird in asked.hens],
        "cages": [{"cage": c.id, "code": c.code, "cocks": c.cocks, "hens": c.hens} for c in asked.cages],
        "too_old": [_bird(bird) for bird in seen.keepers if bird.too_old],
        "no_place": [_bird(bird) for bird in asked.over],
        "coancestry": [],
        "by_brood": _by_brood(seen, known, inbred),
        "parents_inbreeding": six(float(parents.mean())) if ids else None,
        "with_parents": int((depth > 0).sum()),
        "a_generation": shown(a_generation, "inbreeding_a_generation"),
        "effective": shown(realised_effective_number(a_generation), "effective_number"),
    }


def _by_brood(seen: MatingSeen, known: Pedigree, inbred: Inbreeding) -> list[list[Any]]:
    """[code, hatched on, inbreeding, keepers of it] of each brood of the keepers whose parents are known, by hatch."""
    rows: dict[str, list[Any]] = {}
    for bird, at in zip(seen.keepers, known.rows([each.id for each in seen.keepers]), strict=True):
        if known.origin_of[at] >= 0:
            row = rows.setdefault(
                bird.brood, [bird.brood_code, bird.hatched_on.isoformat(), six(float(inbred.f[at])), 0]
            )
            row[3] += 1
    return sorted(rows.values(), key=lambda row: (row[1], row[0]))


def _bird(bird: Keeper) -> dict[str, Any]:
    return {
        "bird": bird.id,
        "brood": bird.brood,
        "brood_code": bird.brood_code,
        "name": bird.name,
        "sex": bird.sex,
        "hatched_on": bird.hatched_on.isoformat(),
        "cage": bird.cage,
    }


def reckon_mating(farm: Farm, line: Line, today: date) -> dict[str, Any]:
    before = FigureTable.objects.of(farm).filter(subject=f"mating/{line.pk}").first()
    return mating_page(see_mating(farm, line, today=today), before=before.body if before else None)
