"""Feed bought and fed, and other expenses: each is a row of its own, one an entry."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from barnbook.barn.models import Farm, Line, Outlay
from barnbook.barn.standing.subject import Stored, Subject, parts


@dataclass(slots=True)
class OutlayState:
    """values: the fields of the Outlay row; None once its entry is struck."""

    values: dict[str, Any] | None = None


def store(farm: Farm, states: Mapping[str, OutlayState]) -> Stored:
    by_entry = {uuid.UUID(parts(key)[0]): state.values for key, state in states.items()}
    Outlay.objects.of(farm).filter(pk__in=by_entry).delete()
    Outlay.objects.bulk_create(
        [Outlay(entry=entry, farm=farm, **values) for entry, values in by_entry.items() if values is not None]
    )
    # What is shared out is shared among all lines.
    return Stored(reckon={f"cost/{line}" for line in Line.objects.of(farm).values_list("pk", flat=True)})


def wipe(farm: Farm) -> None:
    Outlay.objects.of(farm).delete()


SUBJECT = Subject(name="outlay", empty=lambda key: OutlayState(), store=store, wipe=wipe)
