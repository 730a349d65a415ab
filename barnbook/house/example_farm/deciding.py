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

# What feed costs and a bird brings; invented, as the farm is. Feed a day: 30 to 36 g in week 6 of a meat line (Indian
# J. Anim. Res. BF-1579), less in the lighter lines.
PRICES_ON = -150
FEED_PER_KG = 0.95
LABOUR_A_BIRD_DAY, PLACE_A_BIRD_DAY = 0.005, 0.01
SOLD = {"dun": ("dressed_kg", 21.0), "brown": ("live_kg", 13.0), "cream": ("live_kg", 16.0)}
EATS_G_A_DAY = {"dun": (30.0, 33.0), "brown": (20.0, 22.5), "cream": (21.0, 23.5)}  # a cock, a hen

# The old ladies of B3: the owner has begun to act on the question in her note.
PLAN_ON, PLAN_FROM, PLAN_BY = -1, 0, 6
PLANNED = ("brown", story.GROWING_OLD, 16, 1, 3)  # line, cage, eggs, cocks and hens wanted


def what_is_said(pen: Pen, barn: Barn) -> None:
    """What Candlewick is sold as, the prices of the three lines that are processed, and the eggs to set for B3."""
    for line, (sold_by, price) in SOLD.items():
        cock, hen = EATS_G_A_DAY[line]
        _write(
            pen,
            "prices_told",
            day=PRICES_ON,
            line=barn.lines[line],
            currency=story.CURRENCY,
            feed_per_kg=FEED_PER_KG,
            cock_feed_g_a_day=cock,
            hen_feed_g_a_day=hen,
            sold_by=sold_by,
            price=price,
            labour_a_bird_day=LABOUR_A_BIRD_DAY,
            place_a_bird_day=PLACE_A_BIRD_DAY,
            note="Feed weighed over a week.",
        )
    line, cage, eggs, cocks, hens = PLANNED
    _write(
        pen,
        "setting_planned",
        day=PLAN_ON,
        plan=pen.new_id(PLAN_ON, AT_THE_DESK),
        line=barn.lines[line],
        cage=barn.cages[cage].id,
        eggs=eggs,
        cocks=cocks,
        hens=hens,
        from_day=pen.date(PLAN_FROM).isoformat(),
        by_day=pen.date(PLAN_BY).isoformat(),
        note="",
    )
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
