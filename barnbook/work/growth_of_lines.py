"""A line's growth from its weighings, as the scale and the bird's page need it: one row a line, `weighing/<line>`.

For cocks and hens: factors from each day of age to the line's weighing age, and the mean curve over the ages seen. Days
that the line's own curve does not reach get the stated factor (`figures.stated_growth`), and say so. Broods
whose hatch day somebody guessed are left out: an age that is not known tells no growth.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any

import numpy as np

from barnbook.barn.models import Bird, BirdWeighing, Brood, Farm, Line
from barnbook.figures.estimate import Estimate, LeftOut, Missing
from barnbook.figures.growth import (
    STANDARD_AGE_REACH_DAYS,
    GrowthBySex,
    GrowthCurve,
    curves_by_sex,
    expected_weight,
    standard_age_factors,
)
from barnbook.figures.stated_growth import SOURCE, stated_factors
from barnbook.work.shown import shown, six

SEXES = ("cock", "hen")
BROODS_FOR_CLUSTERS = 5  # from so many on, broods and not birds are drawn (figures.growth)
CURVE_EACH_DAYS = 3


@dataclass(frozen=True, slots=True)
class Weighed:
    """One bird on the scale. age_days: from hatch."""

    bird: uuid.UUID
    brood: uuid.UUID
    sex: str
    day: date
    age_days: int
    grams: float


@dataclass(frozen=True, slots=True)
class LineWeighed:
    """All weighings of a line's birds. guessed_age: those left out because nobody knows the day of hatch."""

    standard_age_days: int
    weighings: Sequence[Weighed]
    guessed_age: int


def see_weighings(farm: Farm, line: Line) -> LineWeighed:
    """Every weighing of one bird of the line; those on or before the day of hatch are slips, and no growth."""
    broods = dict(Brood.objects.of(farm).filter(line=line).values_list("pk", "hatched_on"))
    guessed = set(Brood.objects.of(farm).filter(line=line, hatch_day_sure=False).values_list("pk", flat=True))
    sexes: Mapping[uuid.UUID, str] = dict(
        Bird.objects.of(farm).filter(brood_id__in=broods).values_list("bird", "sex").order_by("bird")
    )
    found, guessed_age = [], 0
    rows = BirdWeighing.objects.of(farm).filter(brood__in=broods).order_by("day", "entry")
    for bird, brood, day, grams in rows.values_list("bird", "brood", "day", "grams"):
        age = (day - broods[brood]).days
        if brood in guessed:
            guessed_age += 1
        elif age > 0:
            found.append(Weighed(bird, brood, sexes.get(bird, "unsexed"), day, age, grams))
    return LineWeighed(line.weighing_age_days, found, guessed_age)


def fitted(seen: LineWeighed) -> GrowthBySex:
    """The curve of the line's cocks and of its hens; broods are drawn as one where there are five or more.

    Five pages of a line stand on the same curves: they are fitted once for the same weighings.
    """
    return _fitted(tuple(seen.weighings))


@lru_cache(maxsize=8)
def _fitted(weighings: tuple[Weighed, ...]) -> GrowthBySex:
    by_brood = len({each.brood for each in weighings}) >= BROODS_FOR_CLUSTERS
    return curves_by_sex(
        [each.age_days for each in weighings],
        [each.grams for each in weighings],
        sexes=[each.sex for each in weighings],
        birds=[str(each.brood if by_brood else each.bird) for each in weighings] if weighings else None,
    )


def growth_of_line(seen: LineWeighed) -> dict[str, Any]:
    """The row's body: see docs/wire.md."""
    weighings, standard = seen.weighings, seen.standard_age_days
    found = fitted(seen)
    left_out = list(found.left_out)
    if seen.guessed_age:
        left_out.append(LeftOut("weighings", seen.guessed_age, "hatch_day_guessed"))
    return {
        "standard_age_days": standard,
        "reach_days": STANDARD_AGE_REACH_DAYS,
        "stated": SOURCE,
        "sexes": {
            sex: _of_sex(found.curves[sex], [w for w in weighings if w.sex == sex], standard, left_out) for sex in SEXES
        },
    }


def _of_sex(
    curve: GrowthCurve | Missing, weighings: Sequence[Weighed], standard: int, left_out: list[LeftOut]
) -> dict[str, Any]:
    own = {standard: 1.0} if isinstance(curve, Missing) else standard_age_factors(curve, standard_age_days=standard)
    return {
        "factors": [
            {"age_days": day, "factor": six(own.get(day, stated)), "own": day in own}
            for day, stated in stated_factors(standard).items()
        ],
        "curve": [] if isinstance(curve, Missing) else _points(curve),
        "birds": len({each.bird for each in weighings}),
        "figure": shown(
            _at_standard_age(curve, weighings, standard, left_out), "weight_at_standard_age", f"{standard}d"
        ),
    }


def _points(curve: GrowthCurve) -> list[list[float]]:
    """[age, mean, low, high] over the ages seen [days, g]."""
    first, last = curve.fit.first_age_days, curve.fit.last_age_days
    ages = np.unique(np.append(np.arange(first, last, CURVE_EACH_DAYS), last))
    points = []
    for age in ages.tolist():
        at = expected_weight(curve, age_days=age)
        if at.value is not None and at.low is not None and at.high is not None:
            points.append([age, round(at.value, 1), round(at.low, 1), round(at.high, 1)])
    return points


def _at_standard_age(
    curve: GrowthCurve | Missing, weighings: Sequence[Weighed], standard: int, left_out: list[LeftOut]
) -> Estimate:
    found = Estimate("g", n=len(weighings), n_of="weighings", missing=curve) if isinstance(curve, Missing) else None
    found = found or expected_weight(curve, age_days=standard)  # type: ignore[arg-type]
    days = [each.day for each in weighings]
    return Estimate(
        "g",
        found.value,
        found.low,
        found.high,
        n=len(weighings),
        n_of="weighings",
        method=found.method,
        first_day=min(days, default=None),
        last_day=max(days, default=None),
        left_out=tuple(left_out),
        missing=found.missing,
        notes=found.notes,
    )
