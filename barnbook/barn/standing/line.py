"""A line, as last written."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from barnbook.barn.models import Farm, Line
from barnbook.barn.standing.subject import Stored, Subject, lay_down, parts


@dataclass(slots=True)
class LineState:
    """values: the fields of the Line row; None when nothing stands. claim: what was last said of its plumage."""

    values: dict[str, Any] | None = None
    claim: dict[str, Any] | None = None


def store(farm: Farm, states: Mapping[str, LineState]) -> Stored:
    wanted = {
        uuid.UUID(parts(key)[0]): None if state.values is None else {**state.values, "claim": state.claim}
        for key, state in states.items()
    }
    new, differ, gone = lay_down(farm, model=Line, table="line", wanted=wanted)
    return Stored(
        appeared={f"line/{i}" for i in new},
        vanished={f"line/{i}" for i in gone},
        reckon={f"line/{i}" for i in new | differ | gone},
    )


def wipe(farm: Farm) -> None:
    Line.objects.of(farm).delete()


SUBJECT = Subject(name="line", empty=lambda key: LineState(), store=store, wipe=wipe)
