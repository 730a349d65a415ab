"""A line, as last written."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from barnbook.barn.models import Farm, Line
from barnbook.barn.standing.subject import Stored, Subject, lay_down, parts


@dataclass(slots=True)
class LineState:
    """values: the fields of the Line row; None when nothing stands. claim, prices: as last said. plans: eggs to be set,
    by the plan's id."""

    values: dict[str, Any] | None = None
    claim: dict[str, Any] | None = None
    prices: dict[str, Any] | None = None
    plans: dict[str, dict[str, Any]] = field(default_factory=dict)


def store(farm: Farm, states: Mapping[str, LineState]) -> Stored:
    wanted = {uuid.UUID(parts(key)[0]): _row(state) for key, state in states.items()}
    new, differ, gone = lay_down(farm, model=Line, table="line", wanted=wanted)
    return Stored(
        appeared={f"line/{i}" for i in new},
        vanished={f"line/{i}" for i in gone},
        reckon={f"line/{i}" for i in new | differ | gone},
    )


def _row(state: LineState) -> dict[str, Any] | None:
    if state.values is None:
        return None
    plans = sorted(state.plans.values(), key=lambda plan: (plan["by_day"], plan["plan"]))
    return {**state.values, "claim": state.claim, "prices": state.prices, "plans": plans}


def wipe(farm: Farm) -> None:
    Line.objects.of(farm).delete()


SUBJECT = Subject(name="line", empty=lambda key: LineState(), store=store, wipe=wipe)
