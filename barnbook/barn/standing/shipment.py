"""A shipment: eggs packed, by line and day laid, for which orders; when it was sent, and what was reported of it."""

from __future__ import annotations

import uuid
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from barnbook.barn.models import EggMove, Farm, Shipment
from barnbook.barn.standing.egg_moves import Move, lay_moves_down
from barnbook.barn.standing.hatch_report import ReportState, as_kept, questions_of
from barnbook.barn.standing.subject import Question, Stored, Subject, asked_by, lay_down, parts


@dataclass(slots=True)
class ShipmentState:
    """values: what `packed` says; None when none stands.  entry, stamp: of the last that says it."""

    values: dict[str, Any] | None = None
    entry: uuid.UUID | None = None
    stamp: int = 0
    sent_on: date | None = None
    sent_by: str = ""
    report: ReportState = field(default_factory=ReportState)

    @property
    def questions(self) -> list[Question]:
        return questions_of(self.report, self.values["eggs"]) if self.values else []

    @property
    def moves(self) -> list[Move]:
        if self.values is None or self.entry is None:
            return []
        eggs: Counter[tuple[str, str | None]] = Counter()
        for each in self.values["eggs"]:
            eggs[each["line"], each["laid_on"]] += each["eggs"]
        return [
            Move(
                entry=self.entry,
                day=self.values["packed_on"],
                stamp=self.stamp,
                how=EggMove.How.PACKED,
                eggs=number,
                line=uuid.UUID(line),
                laid_on=date.fromisoformat(laid_on) if laid_on else None,
            )
            for (line, laid_on), number in eggs.items()
        ]


def store(farm: Farm, states: Mapping[str, ShipmentState]) -> Stored:
    wanted = {
        uuid.UUID(parts(key)[0]): None
        if state.values is None
        else {
            **state.values,
            "sent_on": state.sent_on,
            "sent_by": state.sent_by,
            "report": as_kept(state.report, state.values["eggs"]),
        }
        for key, state in states.items()
    }
    before = _lines(Shipment.objects.of(farm).filter(pk__in=wanted).values_list("eggs", flat=True))
    new, _, gone = lay_down(farm, model=Shipment, table="shipment", wanted=wanted)
    after = _lines(values["eggs"] for values in wanted.values() if values is not None)
    return Stored(
        appeared={f"shipment/{id_}" for id_ in new},
        vanished={f"shipment/{id_}" for id_ in gone},
        reckon={f"{page}/{line}" for line in before | after for page in ("shipped", "hatching", "store")},
        questions=[each for key, state in states.items() for each in asked_by(key, state.questions)],
        askers=set(states),
        eggs=lay_moves_down(farm, {key: state.moves for key, state in states.items()}),
    )


def _lines(shipments: Iterable[list[dict[str, Any]]]) -> set[str]:
    return {each["line"] for eggs in shipments for each in eggs}


def wipe(farm: Farm) -> None:
    Shipment.objects.of(farm).delete()


SUBJECT = Subject(name="shipment", empty=lambda key: ShipmentState(), store=store, wipe=wipe)
