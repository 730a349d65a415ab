"""What the off-types of a line weigh against its type, and what culling them would cost it in weight.

Weights at the standard age, sex and brood held equal (figures.off_type_weight). A class by itself where it has birds
enough, and all off-types together.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from barnbook.barn.models import Bird, Farm, Line
from barnbook.figures.estimate import Estimate, Missing, Reason
from barnbook.figures.off_type_weight import cost_of_culling, weight_difference
from barnbook.work.shown import shown
from barnbook.work.standard_weights import AtStandardAge

ALL_OFF_TYPES = ""


@dataclass(frozen=True, slots=True)
class OffTypeWeight:
    """difference: off-type less type [g].  cost: change of the line's mean when it is culled [g a bird].

    key: the plumage class; "" all off-types together.
    """

    key: str
    difference: Estimate
    cost: Estimate

    def page(self) -> dict[str, Any]:
        return {
            "key": self.key,
            "difference": shown(self.difference, "off_type_weight", self.key),
            "cost": shown(self.cost, "cost_of_culling", self.key),
        }


def see_plumage(farm: Farm, birds: Sequence[uuid.UUID]) -> dict[uuid.UUID, str]:
    """The plumage class of each of these birds on which it was seen."""
    rows = Bird.objects.of(farm).filter(bird__in=birds).exclude(plumage=None).order_by("bird")
    return {bird: plumage for bird, plumage in rows.values_list("bird", "plumage") if plumage}


def type_of(line: Line) -> str | None:
    """The class that is the line's type; None for a line that names no classes."""
    return next((str(each["key"]) for each in line.plumage if each["is_type"]), None)


def off_type_weights(
    birds: Sequence[AtStandardAge], plumage: Mapping[uuid.UUID, str], *, kind: str, off_types: Sequence[str]
) -> list[OffTypeWeight]:
    """All off-types against the type, then each of those that were seen on a bird.

    kind: the type's key.  off_types: the other classes of the line.
    """
    seen = [each for each in birds if each.bird in plumage]
    there = {plumage[each.bird] for each in seen}
    keys = [key for key in off_types if key in there]
    return [_of(seen, plumage, kind, key) for key in ([ALL_OFF_TYPES, *keys] if len(keys) > 1 else keys or [""])]


def _of(seen: Sequence[AtStandardAge], plumage: Mapping[uuid.UUID, str], kind: str, key: str) -> OffTypeWeight:
    compared = [each for each in seen if plumage[each.bird] == kind or key in (ALL_OFF_TYPES, plumage[each.bird])]
    off = [plumage[each.bird] != kind for each in compared]
    days = [each.day for each in compared]
    if compared:
        found = weight_difference(
            [each.grams for each in compared],
            off_type=off,
            sexes=[each.sex for each in compared],
            broods=[str(each.brood) for each in compared],
        )
    else:
        missing = Missing(Reason.NO_RECORDS, detail="No bird whose plumage was seen has been weighed near that age.")
        found = Estimate("g", n_of="birds", missing=missing)
    notes = found.notes if all(each.own_curve for each in compared) else (*found.notes, "stated_growth")
    found = replace(found, first_day=min(days, default=None), last_day=max(days, default=None), notes=notes)
    # Of all birds with a known class, not of those compared alone: so many of it would the line go without.
    of_class = sum(plumage[each.bird] != kind if key == ALL_OFF_TYPES else plumage[each.bird] == key for each in seen)
    share = of_class / len(seen) if seen else 0.0
    cost = replace(cost_of_culling(found, share_off_type=share), first_day=found.first_day, last_day=found.last_day)
    return OffTypeWeight(key, found, cost)
