"""Ahead: back from the day on which a cage's hens reach their last day to the eggs that must be set, and by when.

The way from egg to keeper is what the line's own settings and broods did: hatch of the eggs set, chicks that lived to
be looked at, cocks among those sexed, and those of each sex that made the cut. How many eggs at 90 % is sent as a table
of keepers wanted, so that the phone looks it up (ruling 6).
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from barnbook.barn.models import Bird, Brood, Cage, Farm, Line, Tray
from barnbook.figures.clustered_share import clustered_share
from barnbook.figures.eggs_to_set import (
    EggsToSet,
    PastGroups,
    PastRates,
    eggs_to_set_each,
)
from barnbook.figures.estimate import Estimate, Missing, Reason
from barnbook.figures.planning import LineAges, Replacement, last_day_of_life, replacement
from barnbook.work.growth_of_lines import see_weighings
from barnbook.work.life_dues import COCKS_BREEDING, Life, see_lives
from barnbook.work.plan_dues import PlanLeft, plans_left, see_eggs_set
from barnbook.work.shown import shown, six
from barnbook.work.standard_weights import at_standard_age, curves_of

COCKS = range(4)
HENS = (*range(9), 10, 12, 15, 20, 30)
SEED = 20_260_303
SOON_DAYS = 120  # as far ahead as dues are drawn
PARTS = ("hatch", "live", "cocks", "cut_cocks", "cut_hens")
N_OF = {
    "hatch": "eggs_set",
    "live": "chicks_followed",
    "cocks": "birds_sexed",
    "cut_cocks": "cocks_weighed",
    "cut_hens": "hens_weighed",
}


@dataclass(frozen=True, slots=True)
class Past:
    """k of n in each past setting or brood, with the days from first to last."""

    k: tuple[int, ...] = ()
    n: tuple[int, ...] = ()
    days: tuple[date, ...] = ()


@dataclass(frozen=True, slots=True)
class CageAhead:
    id: uuid.UUID
    code: str
    hens: int
    cocks: int
    lives: Sequence[Life]


@dataclass(frozen=True, slots=True)
class AheadSeen:
    """What the barn knows of a line's way from egg to keeper, and of the cages whose birds grow old."""

    ages: LineAges
    past: Mapping[str, Past]
    cuts: tuple[float | None, float | None]
    cages: Sequence[CageAhead]
    plans: Sequence[PlanLeft]


def see_ahead(farm: Farm, line: Line) -> AheadSeen:
    cages = list(Cage.objects.of(farm).filter(line=line, closed=False).order_by("place", "code"))
    lives = see_lives(farm, [cage.pk for cage in cages])
    return AheadSeen(
        ages=LineAges(
            incubation_days=line.hatch_on_day,
            lockdown_day=line.lockdown_on_day,
            sexing_from_days=line.sexing_from_day,
            sexing_to_days=line.sexing_to_day,
            weighing_days=line.weighing_age_days,
            storage_days=line.storage_limit_days,
        ),
        past=see_past(farm, line),
        cuts=(line.cock_cut_g, line.hen_cut_g),
        cages=[CageAhead(cage.pk, cage.code, cage.hens, cage.cocks, lives.get(cage.pk, ())) for cage in cages],
        plans=plans_left(line.plans, see_eggs_set(farm, line)),
    )


def see_past(farm: Farm, line: Line) -> dict[str, Past]:
    """What became of the line's eggs and chicks so far, by the parts of the way.

    Of broods that hatched of eggs in the book: of those written in from a notebook only the birds left are known.
    """
    hatched_here = Brood.objects.of(farm).filter(line=line, bought_in=False).exclude(setting=None)
    broods = {brood.pk: brood for brood in hatched_here.order_by("hatched_on", "pk")}
    sexes: dict[uuid.UUID, list[str]] = defaultdict(list)
    for brood, sex in Bird.objects.of(farm).filter(brood__in=broods).values_list("brood_id", "sex"):
        sexes[brood].append(sex)
    return {
        "hatch": _hatches(farm, line),
        "live": _past(
            (brood.hatched_on, _lived(brood, sexes[id_]), brood.chicks)
            for id_, brood in broods.items()
            if _looked(sexes[id_]) and brood.chicks
        ),
        "cocks": _past(
            (brood.hatched_on, sexes[id_].count("cock"), sexes[id_].count("cock") + sexes[id_].count("hen"))
            for id_, brood in broods.items()
        ),
        **_cuts(farm, line, broods),
    }


def _past(groups: Any) -> Past:
    good = [(day, k, n) for day, k, n in groups if n > 0]
    return Past(tuple(k for _, k, _ in good), tuple(n for _, _, n in good), tuple(day for day, _, _ in good))


def _looked(sexes: Sequence[str]) -> bool:
    return any(sex != "unsexed" for sex in sexes)


def _lived(brood: Brood, sexes: Sequence[str]) -> int:
    """Chicks that lived to be looked at, or still may be: whatever became of them later."""
    return min(brood.chicks, sum(sex != "unsexed" for sex in sexes) + max(brood.unlooked, 0))


def _hatches(farm: Farm, line: Line) -> Past:
    by_setting: dict[uuid.UUID, list[Any]] = {}
    hatched = Tray.objects.of(farm).filter(line=line.pk).exclude(hatched_on=None).order_by("setting__set_on", "tray")
    for setting, day, chicks, eggs in hatched.values_list("setting_id", "setting__set_on", "hatched", "eggs"):
        group = by_setting.setdefault(setting, [day, 0, 0])
        group[1] += min(chicks, eggs)
        group[2] += eggs
    return _past(by_setting.values())


def _cuts(farm: Farm, line: Line, broods: Mapping[uuid.UUID, Brood]) -> dict[str, Past]:
    """Those that made the cut at the standard age. A line without a cut weight keeps all that were weighed."""
    weighed = see_weighings(farm, line)
    birds = at_standard_age(weighed, curves_of(weighed))
    found = {}
    for sex, cut in (("cock", line.cock_cut_g), ("hen", line.hen_cut_g)):
        by_brood: dict[uuid.UUID, list[Any]] = {}
        for bird in birds:
            if bird.sex == sex and bird.brood in broods:
                group = by_brood.setdefault(bird.brood, [bird.day, 0, 0])
                group[1] += cut is None or bird.grams >= cut
                group[2] += 1
        found[f"cut_{sex}s"] = _past(by_brood.values())
    return found


def ahead_page(seen: AheadSeen, *, today: date) -> dict[str, Any]:
    """The page of one line; see docs/wire.md."""
    grid = [(cocks, hens) for cocks in COCKS for hens in HENS if cocks + hens]
    own = [(max(cage.cocks, 0), max(cage.hens, 0)) for cage in seen.cages if cage.hens > 0]
    wanted = [*grid, *own]
    answers = dict(zip(wanted, eggs_for(seen.past, wanted), strict=True))
    first = answers[grid[0]]
    return {
        "rates": [_rate(part, seen.past[part], seen.cuts) for part in PARTS],
        "missing": shown(first, "eggs_to_set", unit="eggs")["missing"] if isinstance(first, Missing) else None,
        "cages": _cages(seen, answers, today=today),
        "cocks": list(COCKS),
        "hens": list(HENS),
        # eggs at 90 %: a row for each number of cocks, in it one for each of hens; null where none would do
        "eggs": [[_eggs(answers.get((cocks, hens))) for hens in HENS] for cocks in COCKS],
        "plans": [{"plan": each.plan, "left": each.left} for each in seen.plans],
    }


def eggs_for(past: Mapping[str, Past], wanted: Sequence[tuple[int, int]]) -> list[EggsToSet | Missing]:
    """Eggs to set for each (cocks, hens) wanted."""
    for part in PARTS:
        if not past[part].n:
            return [Missing(Reason.TOO_FEW_RECORDS, N_OF[part], have=0, need=30 if part == "hatch" else 10)] * len(
                wanted
            )
    rates = PastRates(**{part: PastGroups(past[part].k, past[part].n) for part in PARTS})
    return eggs_to_set_each(rates, wanted, seed=SEED)


def _eggs(answer: EggsToSet | Missing | None) -> int | None:
    return answer.eggs if isinstance(answer, EggsToSet) else None


def _rate(part: str, past: Past, cuts: tuple[float | None, float | None]) -> dict[str, Any]:
    if not past.n:
        estimate = Estimate("share", n_of=N_OF[part], missing=Missing(Reason.NO_RECORDS, N_OF[part], 0))
    else:
        found = clustered_share(past.k, past.n)
        notes = ("no_cut_weight",) if part in _without_cut(cuts) else ()
        estimate = Estimate(
            "share", found.value, found.low, found.high, sum(past.n), N_OF[part], found.method, notes=notes
        )
    days = past.days
    return shown(replace(estimate, first_day=min(days, default=None), last_day=max(days, default=None)), part)


def _without_cut(cuts: tuple[float | None, float | None]) -> list[str]:
    return [part for part, cut in zip(("cut_cocks", "cut_hens"), cuts, strict=True) if cut is None]


def _cages(
    seen: AheadSeen, answers: Mapping[tuple[int, int], EggsToSet | Missing], *, today: date
) -> list[dict[str, Any]]:
    """Each cage and life of its hens whose eggs must be set within 120 days, the soonest first."""
    found = []
    for cage in seen.cages:
        for life in cage.lives:
            if life.work == COCKS_BREEDING or cage.hens <= 0:
                continue
            last = last_day_of_life(life.hatched_on, life_days=7 * life.weeks)
            plan = replacement(last, today=today, ages=seen.ages)
            if plan.set_day <= today + timedelta(days=SOON_DAYS):
                found.append(_cage(cage, life, last, plan, answers[max(cage.cocks, 0), cage.hens]))
    return sorted(found, key=lambda each: (each["last_day"], each["code"]))


def _cage(cage: CageAhead, life: Life, last: date, plan: Replacement, eggs: EggsToSet | Missing) -> dict[str, Any]:
    return {
        "cage": str(cage.id),
        "code": cage.code,
        "hens": cage.hens,
        "cocks": cage.cocks,
        "life": life.work,
        "hatched_on": life.hatched_on.isoformat(),
        "last_day": last.isoformat(),
        "set_day": plan.set_day.isoformat(),
        "in_lay": plan.in_lay.isoformat(),
        "late_days": plan.late_days,
        "steps": [[str(step.work), step.first_day.isoformat(), step.last_day.isoformat()] for step in plan.steps],
        "eggs": None if isinstance(eggs, Missing) else _answer(eggs),
    }


def _answer(eggs: EggsToSet) -> dict[str, Any]:
    return {
        "eggs": eggs.eggs,
        "sure": six(eggs.probability),
        "one_fewer": six(eggs.one_fewer),
        "cocks": six(eggs.cocks),
        "hens": six(eggs.hens),
    }
