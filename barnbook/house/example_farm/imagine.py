"""Fourteen months of the example farm, day after day: the entries its people wrote, and the truth behind them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from barnbook.house.example_farm import story
from barnbook.house.example_farm.barn import Barn
from barnbook.house.example_farm.broods import Nursery
from barnbook.house.example_farm.deciding import what_is_said
from barnbook.house.example_farm.eggs_out import CUSTOMERS, send_eggs_out
from barnbook.house.example_farm.feed import write_costs
from barnbook.house.example_farm.hatchery import Hatchery
from barnbook.house.example_farm.hens import heat_wave
from barnbook.house.example_farm.parting import part_with_the_rest
from barnbook.house.example_farm.pen import Draft, Pen
from barnbook.house.example_farm.rounds import Rounds
from barnbook.house.example_farm.truth import TrueBird, Truth
from barnbook.house.example_farm.year import the_rest_of_the_year


@dataclass(frozen=True, slots=True)
class Imagined:
    """entries: in the order in which they were made.  cages, broods, customers: their ids, by code and
    story key."""

    entries: list[Draft]
    truth: Truth
    cages: dict[str, str]
    broods: dict[str, str]
    customers: dict[str, str]


def imagine(*, today: date, seed: int = story.SEED, zone: str = story.ZONE) -> Imagined:
    """The example farm up to this morning: the same for the same day, seed and zone. Nothing is written anywhere."""
    pen = Pen(today=today, zone=zone, seed=seed)
    heat = heat_wave(today)
    barn = Barn(pen, seed=seed)
    barn.set_up(zone=zone)
    nursery = Nursery(pen, lines=barn.lines, seed=seed)
    barn.stock_from_notebook(nursery)
    rounds = Rounds(pen, barn, heat=heat, seed=seed)
    hatchery = Hatchery(pen, barn, seed=seed)
    for day in range(story.FIRST_DAY, 1):
        for brood in story.BROODS:
            if brood.hatched == day:
                nursery.raise_brood(brood, hatchery.came[brood.key])
        if story.FIRST_DAY < day < 0:
            rounds.walk(day)
            hatchery.set_what_is_due(day)
        if day < 0:
            rounds.lay(day)
            barn.evening(day, nursery)
    part_with_the_rest(nursery)
    the_rest_of_the_year(pen, barn)
    what_is_said(pen, barn)
    customers = {each.key: pen.new_id(story.FIRST_DAY, at) for at, each in enumerate(CUSTOMERS)}
    send_eggs_out(pen, barn, customers=customers)
    write_costs(pen)
    return Imagined(
        entries=pen.in_order(),
        truth=_truth(pen, barn, nursery, hatchery, heat),
        cages={code: cage.id for code, cage in barn.cages.items()},
        broods={key: raised.id for key, raised in nursery.raised.items()},
        customers=customers,
    )


def _truth(pen: Pen, barn: Barn, nursery: Nursery, hatchery: Hatchery, heat: tuple[date, date]) -> Truth:
    return Truth(
        first_day=pen.date(story.FIRST_DAY),
        cages={code: cage.days for code, cage in barn.cages.items()},
        hatched={key: pen.date(raised.plan.hatched) for key, raised in nursery.raised.items()},
        codes={key: raised.code for key, raised in nursery.raised.items()},
        birds={
            key: [
                TrueBird(bird.id, bird.sex, bird.plumage, bird.weight_g, bird.breeding_g)
                for bird in raised.birds
                if bird.id
            ]
            for key, raised in nursery.raised.items()
        },
        settings=hatchery.truth,
        heat=heat,
        fell_off=(story.FELL_OFF, pen.date(story.FELL_OFF_ON)),
    )
