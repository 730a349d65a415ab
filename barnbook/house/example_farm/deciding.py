"""What the owner of the example farm says and plans at the house."""

from __future__ import annotations

from typing import Any

from barnbook.house.example_farm import story
from barnbook.house.example_farm.barn import Barn
from barnbook.house.example_farm.pen import HOUR, Pen

AT_THE_DESK = 20.5 * HOUR

# Candlewick is still sold as an old page of the notebook has it; its chicks have said otherwise for a year.
CLAIM_ON = -196
CLAIMED = {"cream": 97, "brown": 2, "white-winged": 1}
HELD_RECESSIVE = ("brown",)


def what_is_said(pen: Pen, barn: Barn) -> None:
    """What Candlewick is sold as."""
    _write(
        pen,
        "plumage_claimed",
        day=CLAIM_ON,
        line=barn.lines["cream"],
        parts=[{"key": key, "part": part} for key, part in CLAIMED.items()],
        recessive=list(HELD_RECESSIVE),
        met_at_random=True,
        note="As it stands on the page that goes with the eggs.",
    )


def _write(pen: Pen, kind: str, *, day: int, **body: Any) -> None:
    pen.write(story.WILMA, kind, day=day, at=AT_THE_DESK, **body)
