"""The due of a line's planned settings: set so many eggs, until so many are set.

Eggs of the line set since a plan was written count for it, each egg for one plan, the plan with the earliest last day
first. The due is that of the first plan of which eggs are left.
"""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from barnbook.barn.models import Farm, Line, Tray
from barnbook.work.dues import AHEAD_DAYS, DueNow, lay_dues_down

SET_EGGS = "set_eggs"


@dataclass(frozen=True, slots=True)
class PlanLeft:
    """A plan and how many of its eggs are still to be set."""

    plan: str
    left: int
    from_day: date
    by_day: date


def see_eggs_set(farm: Farm, line: Line) -> list[tuple[date, int]]:
    """(day, eggs) of each tray of the line, by day."""
    trays = Tray.objects.of(farm).filter(line=line.pk).order_by("setting__set_on", "tray")
    return list(trays.values_list("setting__set_on", "eggs"))


def plans_left(plans: Sequence[dict[str, Any]], eggs_set: Sequence[tuple[date, int]]) -> list[PlanLeft]:
    """In the order of their last days. plans: as the line has them.  eggs_set: (day, eggs), by day."""
    pool = [eggs for _, eggs in eggs_set]
    found = []
    for plan in sorted(plans, key=lambda each: (each["by_day"], each["plan"])):
        left, since = int(plan["eggs"]), date.fromisoformat(plan["planned_on"])
        for at, (day, _) in enumerate(eggs_set):
            if day >= since and left > 0:
                taken = min(pool[at], left)
                pool[at] -= taken
                left -= taken
        days = date.fromisoformat(plan["from_day"]), date.fromisoformat(plan["by_day"])
        found.append(PlanLeft(plan["plan"], left, *days))
    return found


def plan_dues(plans: Sequence[PlanLeft], *, today: date) -> list[DueNow]:
    """At most one: of the first plan with eggs left, drawn as far ahead as the others."""
    open_ = [plan for plan in plans if plan.left > 0 and plan.from_day <= today + timedelta(days=AHEAD_DAYS)]
    if not open_:
        return [DueNow(SET_EGGS, 0, None)] if plans else []
    return [DueNow(SET_EGGS, open_[0].left, (open_[0].from_day, open_[0].by_day))]


def reckon_plan_dues(farm: Farm, line: Line, today: date) -> list[DueNow]:
    return plan_dues(plans_left(line.plans, see_eggs_set(farm, line)), today=today)


def lay_plan_dues_down(farm: Farm, line: uuid.UUID, dues: Sequence[DueNow] | None) -> None:
    lay_dues_down(farm, {f"line/{line}": dues or ()})
