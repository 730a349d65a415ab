"""What else happened in the year: treatments, birds bought in, injuries, lamps."""

from __future__ import annotations

from typing import Any

from barnbook.house.example_farm import story
from barnbook.house.example_farm.barn import Barn
from barnbook.house.example_farm.broods import EVENING, hand
from barnbook.house.example_farm.pen import HOUR, Pen


def the_rest_of_the_year(pen: Pen, barn: Barn) -> None:
    """Write all of it."""
    _treat(pen, barn)
    _buy(pen, barn)
    for code, day, text in story.INJURED:
        body: dict[str, Any] = {"cage": barn.cages[code].id, "brood": None, "bird": None, "number": 1, "text": text}
        pen.write(hand(day), "injured", day=day, at=EVENING, **body)
    for row, day, hours in story.LIGHTS:
        body = {"row": row, "brood": None, "light_hours": hours, "temperature_c": None, "note": ""}
        pen.write(hand(day), "lights_and_heat", day=day, at=EVENING + HOUR, **body)


def _treat(pen: Pen, barn: Barn) -> None:
    for code, what, first, last, eggs, meat in story.TREATED:
        pen.write(
            story.WILMA,
            "treated",
            day=first,
            at=EVENING,
            treatment=pen.new_id(first, EVENING),
            cage=barn.cages[code].id,
            brood=None,
            line=None,
            what=what,
            from_day=pen.date(first).isoformat(),
            to_day=pen.date(last).isoformat(),
            eggs_until=pen.date(eggs).isoformat(),
            meat_until=pen.date(meat).isoformat(),
            note="",
        )


def _buy(pen: Pen, barn: Barn) -> None:
    line, code, hatched, day, until, hens, cocks = story.QUARANTINE
    pen.write(
        hand(day),
        "birds_bought_in",
        day=day,
        at=EVENING,
        brood=pen.new_id(day, EVENING),
        line=barn.lines[line],
        code=code,
        hatched_on=pen.date(hatched).isoformat(),
        hatch_day_sure=False,
        hens=hens,
        cocks=cocks,
        unsexed=0,
        quarantine_until=pen.date(until).isoformat(),
        note="From over the hill, for new blood. Apart in the shed.",
    )
