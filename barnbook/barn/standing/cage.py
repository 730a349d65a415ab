"""A cage: its code, its place in the walking order and its line, as last written."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from barnbook.barn.models import Cage, Farm
from barnbook.barn.standing.egg_moves import relined
from barnbook.barn.standing.subject import Stored, Subject, lay_down, parts


@dataclass(slots=True)
class CageState:
    """values: code, walk_row, place, line_id, closed; None when nothing stands.  lines: [{from_day, line}], by day."""

    values: dict[str, Any] | None = None
    lines: list[dict[str, Any]] = field(default_factory=list)


def store(farm: Farm, states: Mapping[str, CageState]) -> Stored:
    wanted = {
        uuid.UUID(parts(key)[0]): None if state.values is None else {**state.values, "lines": state.lines}
        for key, state in states.items()
    }
    new, differ, gone = lay_down(farm, model=Cage, table="cage", wanted=wanted)
    return Stored(
        appeared={f"cage/{i}" for i in new},
        vanished={f"cage/{i}" for i in gone},
        reckon={f"cage/{i}" for i in new | differ | gone},
        eggs=relined(farm, differ),
    )


def wipe(farm: Farm) -> None:
    Cage.objects.of(farm).delete()


SUBJECT = Subject(name="cage", empty=lambda key: CageState(), store=store, wipe=wipe)
