"""The hatch report of a shipment: what was last reported, by whom, whether it is closed or set aside.

It is a part of the shipment's state, because what may be reported depends on what was packed.
"""

from __future__ import annotations

import uuid
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from barnbook.barn.standing.subject import Question

MORE_THAN_SENT = "more_than_sent"


@dataclass(slots=True)
class ReportState:
    """lines: as last written.  entry: that wrote them.  first_on, last_on, times: of all that reported."""

    lines: list[dict[str, Any]] = field(default_factory=list)
    by_customer: bool = False
    entry: uuid.UUID | None = None
    first_on: date | None = None
    last_on: date | None = None
    times: int = 0
    closed_on: date | None = None
    aside_on: date | None = None
    aside_why: str = ""

    @property
    def is_there(self) -> bool:
        return bool(self.lines) or self.closed_on is not None or self.aside_on is not None


def beyond(lines: Sequence[Mapping[str, Any]], packed: Sequence[Mapping[str, Any]]) -> str:
    """How a report goes beyond what was packed, as a sentence; empty when it does not."""
    sent: Counter[str] = Counter()
    for each in packed:
        sent[each["line"]] += each["eggs"]
    for each in lines:
        if each["line"] not in sent:
            return "It reports on a line of which nothing was in the box."
        eggs = (each["broken"] or 0) + (each["set"] or 0)
        if eggs > sent[each["line"]]:
            return f"It has {eggs} eggs arrived broken or set, but {sent[each['line']]} of that line were sent."
    return ""


def as_kept(state: ReportState, packed: Sequence[Mapping[str, Any]]) -> dict[str, Any] | None:
    """The report as the shipment's row has it; None while there is none."""
    if not state.is_there:
        return None
    return {
        "lines": state.lines,
        "by_customer": state.by_customer,
        "first_on": _text(state.first_on),
        "last_on": _text(state.last_on),
        "times": state.times,
        "contradicts": bool(beyond(state.lines, packed)),
        "closed_on": _text(state.closed_on),
        "aside_on": _text(state.aside_on),
        "aside_why": state.aside_why,
    }


def questions_of(state: ReportState, packed: Sequence[Mapping[str, Any]]) -> list[Question]:
    wrong = beyond(state.lines, packed)
    if not wrong or state.entry is None:
        return []
    return [Question(state.entry, MORE_THAN_SENT, f"{wrong} Until that is settled it is in no figure.")]


def _text(day: date | None) -> str | None:
    return day.isoformat() if day else None
