"""The farm's own settings, as its owner last wrote them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from barnbook.barn.models import Farm
from barnbook.barn.models.row import changed
from barnbook.barn.standing.egg_moves import redated
from barnbook.barn.standing.subject import Stored, Subject


@dataclass(slots=True)
class FarmSettings:
    """values: name, zone, weight_unit, rounds; None while nobody's entry gives them."""

    values: dict[str, Any] | None = None


def store(farm: Farm, states: Mapping[str, FarmSettings]) -> Stored:
    stored = Stored()
    for state in states.values():
        values = state.values if state.values is not None else farm.begun_with
        moved = {name: value for name, value in values.items() if getattr(farm, name) != value}
        if moved:
            for name, value in moved.items():
                setattr(farm, name, value)
            changed(farm, [farm])
            farm.save(update_fields=[*moved, "seq"])
            stored.reckon.add("farm")  # rounds say which day's eggs a count is: every lay rate moves
            if "rounds" in moved:
                stored.eggs |= redated(farm)
    return stored


def wipe(farm: Farm) -> None:
    """The row is the farm itself: it is set back to what it was made with."""
    for name, value in farm.begun_with.items():
        setattr(farm, name, value)
    farm.save(update_fields=[*farm.begun_with])


SUBJECT = Subject(name="farm", empty=lambda key: FarmSettings(), store=store, wipe=wipe)
