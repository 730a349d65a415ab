"""A cage: its code, its place in the walking order and its line, as last written."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from barnbook.barn.models import Cage, Farm
from barnbook.barn.standing.subject import Stored, Subject, lay_down, parts


@dataclass(slots=True)
class CageState:
    """values: code, walk_row, place, line_id, closed; None when nothing stands."""

    values: dict[str, Any] | None = None


def store(farm: Farm, states: Mapping[str, CageState]) -> Stored:
    wanted = {uuid.UUID(parts(key)[0]): state.values for key, state in states.items()}
    new, differ, gone = lay_down(farm, model=Cage, table="cage", wanted=wanted)
    return Stored(
        appeared={f"cage/{i}" for i in new},
        vanished={f"cage/{i}" for i in gone},
        reckon={f"cage/{i}" for i in new | differ | gone},
    )


def wipe(farm: Farm) -> None:
    Cage.objects.of(farm).delete()


SUBJECT = Subject(name="cage", empty=lambda key: CageState(), store=store, wipe=wipe)
