"""An order: who wants how many eggs of which line by when, what was promised of it, and whether it was withdrawn."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from barnbook.barn.models import Farm, Order
from barnbook.barn.standing.subject import Stored, Subject, lay_down, parts

NOT_PROMISED = {"promised_eggs": None, "promised_for": None, "promised_sure": None, "promised_on": None}


@dataclass(slots=True)
class OrderState:
    """values: what `order_taken` says; None when none stands (then nothing else counts).  first_day: it was taken."""

    values: dict[str, Any] | None = None
    first_day: date | None = None
    promised: dict[str, Any] = field(default_factory=lambda: dict(NOT_PROMISED))
    withdrawn_on: date | None = None


def store(farm: Farm, states: Mapping[str, OrderState]) -> Stored:
    wanted = {
        uuid.UUID(parts(key)[0]): None
        if state.values is None
        else {
            **state.values,
            **state.promised,
            "taken_on": state.first_day,
            "withdrawn_on": state.withdrawn_on,
        }
        for key, state in states.items()
    }
    before = set(Order.objects.of(farm).filter(pk__in=wanted).values_list("line", flat=True))
    new, _, gone = lay_down(farm, model=Order, table="order", wanted=wanted)
    after = {values["line"] for values in wanted.values() if values is not None}
    return Stored(
        appeared={f"order/{id_}" for id_ in new},
        vanished={f"order/{id_}" for id_ in gone},
        reckon={f"store/{line}" for line in before | after},
    )


def wipe(farm: Farm) -> None:
    Order.objects.of(farm).delete()


SUBJECT = Subject(name="order", empty=lambda key: OrderState(), store=store, wipe=wipe)
