"""Each bird of a line at its standard age: its weighing carried there along the line's curve, or along the stated one.

A bird that was weighed more than once counts by the weighing nearest to the standard age (the later of two as near).
Further off than 7 days it has none. Whether the line's own curve was used is told, since a stated one is no line's own.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from barnbook.figures.estimate import Missing
from barnbook.figures.growth import GrowthCurve, standard_age_factors
from barnbook.figures.stated_growth import stated_factors
from barnbook.work.growth_of_lines import SEXES, LineWeighed, Weighed, fitted


@dataclass(frozen=True, slots=True)
class AtStandardAge:
    """One bird. grams: at the standard age.  own_curve: carried there by the line's own curve, or weighed that day."""

    bird: uuid.UUID
    brood: uuid.UUID
    sex: str
    day: date
    grams: float
    own_curve: bool


def curves_of(seen: LineWeighed) -> Mapping[str, GrowthCurve | Missing]:
    """The curve of the line's cocks and of its hens; broods are drawn as one where there are five or more."""
    return fitted(seen).curves


def at_standard_age(seen: LineWeighed, curves: Mapping[str, GrowthCurve | Missing]) -> list[AtStandardAge]:
    """Every sexed bird that was weighed within 7 days of the standard age, in the order of the weighings."""
    standard = seen.standard_age_days
    stated = stated_factors(standard)
    own = {sex: _own_factors(curves[sex], standard) for sex in SEXES}
    nearest: dict[uuid.UUID, Weighed] = {}
    for each in seen.weighings:
        if each.sex in SEXES and each.age_days in stated:
            before = nearest.get(each.bird)
            if before is None or abs(each.age_days - standard) <= abs(before.age_days - standard):
                nearest[each.bird] = each
    return [
        AtStandardAge(
            each.bird,
            each.brood,
            each.sex,
            each.day,
            each.grams * own[each.sex].get(each.age_days, stated[each.age_days]),
            each.age_days in own[each.sex],
        )
        for each in nearest.values()
    ]


def _own_factors(curve: GrowthCurve | Missing, standard: int) -> dict[int, float]:
    return {standard: 1.0} if isinstance(curve, Missing) else standard_age_factors(curve, standard_age_days=standard)
