"""Choosing at the house: the living birds of a line at its standard age, and what each number kept would do.

The phone computes no statistic (ruling 6): for each sex it gets the result by number kept, heaviest first, and reads
that table while the cut is dragged. What the next generation gains is the sum of what each sex gives: half its
differential times the heritability. Where the entries about parents contradict one another, weights and cuts stand;
what needs the pedigree is left off, and the sentence says why.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from barnbook.barn.models import Bird, Brood, Farm, Line
from barnbook.figures.breeding_values import BreedingValues, Weighing, breeding_values
from barnbook.figures.estimate import Missing, Reason
from barnbook.figures.inbreeding import inbreeding
from barnbook.figures.kinship import coancestry, sparse_inverse
from barnbook.figures.pedigree import Pedigree
from barnbook.figures.selection import Cut, cuts_by_number_kept, expected_response
from barnbook.work.growth_of_lines import LineWeighed, see_weighings
from barnbook.work.off_types import see_plumage, type_of
from barnbook.work.pedigree_of_line import pedigree_or_why
from barnbook.work.shown import shown, six
from barnbook.work.standard_weights import AtStandardAge, at_standard_age, curves_of

SEXES = ("cock", "hen")
ASSUMED_LOW, ASSUMED_HIGH = 0.2, 0.5  # the other heritabilities ranks are shown at (ruling 23)


@dataclass(frozen=True, slots=True)
class BirdHere:
    """A bird as its row has it. cage: where it stands, by its id."""

    number: int
    band: str | None
    decision: str | None
    cage: uuid.UUID | None
    gone: bool


@dataclass(frozen=True, slots=True)
class ChoosingSeen:
    """pedigree: or the sentence that says why its entries contradict one another."""

    weighed: LineWeighed
    birds: Mapping[uuid.UUID, BirdHere]
    broods: Mapping[uuid.UUID, tuple[str, date]]
    plumage: Mapping[uuid.UUID, str]
    type_key: str | None
    pedigree: Pedigree | str


def see_choosing(farm: Farm, line: Line) -> ChoosingSeen:
    weighed = see_weighings(farm, line)
    rows = Bird.objects.of(farm).filter(brood__line=line).order_by("brood__hatched_on", "number")
    birds = {row.bird: BirdHere(row.number, row.band, row.decision, row.cage, row.gone is not None) for row in rows}
    broods = {brood.pk: (brood.code, brood.hatched_on) for brood in Brood.objects.of(farm).filter(line=line)}
    plumage = see_plumage(farm, list(birds))
    return ChoosingSeen(weighed, birds, broods, plumage, type_of(line), pedigree_or_why(farm, line))


def choosing_page(seen: ChoosingSeen) -> dict[str, Any]:
    """The page of one line; see docs/wire.md."""
    every = at_standard_age(seen.weighed, curves_of(seen.weighed))
    here = [each for each in every if not seen.birds[each.bird].gone]
    values = _values(every, here, seen.pedigree)
    groups = []
    for brood in {each.brood for each in here}:
        of_brood = [each for each in here if each.brood == brood]
        if any(seen.birds[each.bird].cage is None for each in of_brood):
            code, hatched = seen.broods[brood]
            groups.append(_group(str(brood), code, hatched, of_brood, values))
    groups.sort(key=lambda each: str(each["hatched_on"]), reverse=True)
    if here:
        groups.append(_group("line", None, None, here, values))
    return {
        "standard_age_days": seen.weighed.standard_age_days,
        "type": seen.type_key,
        "heritability": _heritability(values),
        "missing": shown(values, "breeding_values", unit="g")["missing"] if isinstance(values, Missing) else None,
        "birds": [_bird(each, seen, values) for each in sorted(here, key=lambda e: (-e.grams, str(e.bird)))],
        "groups": groups,
        "kin": _kin(here, seen.pedigree),
    }


def _values(
    every: Sequence[AtStandardAge], here: Sequence[AtStandardAge], pedigree: Pedigree | str
) -> BreedingValues | Missing | None:
    if not here:
        return None
    if isinstance(pedigree, str):
        return Missing(Reason.CONTRADICTION, detail=pedigree)
    known = inbreeding(pedigree)
    weighings = [Weighing(str(each.bird), each.grams, each.sex, str(each.brood)) for each in every]
    return breeding_values(
        weighings,
        pedigree=pedigree,
        known=known,
        inverse=sparse_inverse(pedigree, known=known),
        candidates=[str(each.bird) for each in here],
    )


def _heritability(values: BreedingValues | Missing | None) -> dict[str, Any]:
    """used, low, high: what the gain is reckoned with.  figure: of the line's own records, or what it lacks."""
    low, used, high = _h2(values)
    figure = shown(values.heritability, "heritability", "all") if isinstance(values, BreedingValues) else None
    return {
        "used": used,
        "low": low,
        "high": high,
        "from": values.heritability_from if isinstance(values, BreedingValues) else "assumed",
        "figure": figure,
    }


def _h2(values: BreedingValues | Missing | None) -> tuple[float, float, float]:
    if isinstance(values, BreedingValues):
        used, figure = six(values.heritability_used), values.heritability
        if values.heritability_from == "records" and figure.low is not None and figure.high is not None:
            return six(max(figure.low, 0.0)), used, six(min(figure.high, 1.0))
        return min(ASSUMED_LOW, used), used, max(ASSUMED_HIGH, used)
    return ASSUMED_LOW, 0.35, ASSUMED_HIGH


def _bird(each: AtStandardAge, seen: ChoosingSeen, values: BreedingValues | Missing | None) -> dict[str, Any]:
    bird = seen.birds[each.bird]
    own: dict[str, Any] = {"value_g": None, "low_g": None, "high_g": None, "rank": None, "ranks": []}
    if isinstance(values, BreedingValues):
        at = values.birds.index(str(each.bird))
        own["value_g"], own["rank"] = six(float(values.value_g[at])), int(values.rank[at])
        if values.low_g is not None and values.high_g is not None:
            own["low_g"], own["high_g"] = six(float(values.low_g[at])), six(float(values.high_g[at]))
        own["ranks"] = sorted({int(values.rank[at]), *(int(ranks[at]) for ranks in values.rank_at.values())})
    return {
        "bird": str(each.bird),
        "brood": str(each.brood),
        "number": bird.number,
        "band": bird.band,
        "sex": each.sex,
        "grams": round(each.grams, 1),
        "day": each.day.isoformat(),
        "own_curve": each.own_curve,
        "plumage": seen.plumage.get(each.bird),
        "decision": bird.decision,
        "cage": str(bird.cage) if bird.cage else None,
        **own,
    }


def _group(
    key: str,
    code: str | None,
    hatched_on: date | None,
    birds: Sequence[AtStandardAge],
    values: BreedingValues | Missing | None,
) -> dict[str, Any]:
    """by_kept: of each sex, a row for each number kept from 0 on."""
    sexes = {}
    for sex in SEXES:
        weights = [each.grams for each in birds if each.sex == sex]
        cuts = cuts_by_number_kept(weights)
        sexes[sex] = {
            "birds": len(weights),
            "mean_g": six(float(np.mean(weights))) if weights else None,
            "by_kept": [] if isinstance(cuts, Missing) else [_kept(cut, sex, values) for cut in cuts],
        }
    days = [each.day for each in birds]
    return {
        "key": key,
        "code": code,
        "hatched_on": hatched_on.isoformat() if hatched_on else None,
        "first_day": min(days).isoformat(),
        "last_day": max(days).isoformat(),
        "sexes": sexes,
    }


def _kept(cut: Cut, sex: str, values: BreedingValues | Missing | None) -> dict[str, Any]:
    low, used, high = _h2(values)
    cuts = {"cocks": cut if sex == "cock" else None, "hens": cut if sex == "hen" else None}
    gain = expected_response(**cuts, heritability=used, heritability_low=low, heritability_high=high)
    return {
        "kept": cut.kept,
        "cut_g": round(cut.cut_weight_g, 1),
        "mean_g": six(cut.mean_kept_g),
        "differential_g": six(cut.differential_g),
        "gain": None if gain.value is None else [six(gain.value), six(gain.low or 0.0), six(gain.high or 0.0)],
    }


def _kin(here: Sequence[AtStandardAge], pedigree: Pedigree | str) -> dict[str, Any] | None:
    """Mean coancestry of the cocks of each brood (rows) with the hens of each: how inbred their chicks would be."""
    if isinstance(pedigree, str):
        return None
    cocks = [each for each in here if each.sex == "cock"]
    hens = [each for each in here if each.sex == "hen"]
    broods = sorted({each.brood for each in here}, key=str)
    table: list[list[float | None]] = [[None] * len(broods) for _ in broods]
    if cocks and hens:
        names = [[str(each.bird) for each in birds] for birds in (cocks, hens)]
        pairs = coancestry(pedigree, names[0], names[1])
        for a, sires in enumerate(broods):
            for b, dams in enumerate(broods):
                of = pairs[np.ix_([c.brood == sires for c in cocks], [h.brood == dams for h in hens])]
                table[a][b] = six(float(of.mean())) if of.size else None
    return {
        "broods": [str(brood) for brood in broods],
        "coancestry": table,
        "all_parents_known": all(pedigree.origin_of[pedigree.rows([str(each.bird)])[0]] >= 0 for each in here),
    }
