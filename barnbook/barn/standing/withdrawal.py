"""A treatment, and how long eggs and meat wait for it, as last written."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from barnbook.barn.models import Farm, Line, Withdrawal
from barnbook.barn.standing.subject import Stored, Subject, lay_down, parts


@dataclass(slots=True)
class TreatmentState:
    """values: the fields of the Withdrawal row; None when nothing stands."""

    values: dict[str, Any] | None = None


def store(farm: Farm, states: Mapping[str, TreatmentState]) -> Stored:
    wanted = {uuid.UUID(parts(key)[0]): state.values for key, state in states.items()}
    lay_down(farm, model=Withdrawal, table="withdrawal", wanted=wanted)
    lines = Line.objects.of(farm).values_list("pk", flat=True)
    return Stored(reckon={f"waits/{farm.pk}", *(f"store/{line}" for line in lines)})


def wipe(farm: Farm) -> None:
    Withdrawal.objects.of(farm).delete()


SUBJECT = Subject(name="treatment", empty=lambda key: TreatmentState(), store=store, wipe=wipe)
