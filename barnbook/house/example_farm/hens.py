"""One hen and what she lays: the truth that the counts are drawn from.

    chance to lay on a day = top of lay × rise (1 - exp(-(days since first egg + 1) / 6))
                             × fall (exp(-fall a day × days past the top)), and 0 in a pause or a moult

Hens differ in their top of lay, normal on the logit scale. Weather acts on all of a day's hens alike.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from barnbook.house.example_farm import story
from barnbook.house.example_farm.story import LineStory

Named = dict[str, str]  # {bird, brood}: a bird known by its id in the book


@dataclass(slots=True)
class Hen:
    """hatched, dies, pauses: offsets from today [days].  starts: age at her first egg [days].  top: [eggs/day].
    named: her ids in the book, if she wears a band.  breeding_g: see heredity [g]."""

    hatched: int
    starts: int
    top: float
    fall_a_day: float
    pauses: list[tuple[int, int]]
    dies: int
    luck: Random
    named: Named | None = None
    breeding_g: float = 0.0

    def chance(self, day: int) -> float:
        since = day - self.hatched - self.starts
        if since < 0 or any(first <= day <= last for first, last in self.pauses):
            return 0.0
        rise = 1 - math.exp(-(since + 1) / story.RISE_DAYS)
        fall = math.exp(-self.fall_a_day * max(0, since - story.TOP_DAYS))
        return self.top * rise * fall


def a_hen(line: LineStory, *, hatched: int, from_day: int, name: str, seed: int) -> Hen:
    """A hen of that line who is alive on from_day. name: tells her chance from that of others."""
    luck = Random(f"{seed}:hen:{name}")
    starts = round(luck.gauss(*story.START_OF_LAY_DAYS))
    logit = math.log(line.peak / (1 - line.peak)) + luck.gauss(0, story.HENS_DIFFER)
    pauses = [_moult(luck, hatched)]
    day = hatched + starts
    while day < 0:
        day += 1 + int(luck.expovariate(1 / story.PAUSE_EACH_DAYS))
        pauses.append((day, day + luck.randint(*story.PAUSE_DAYS) - 1))
        day = pauses[-1][1]
    return Hen(
        hatched=hatched,
        starts=starts,
        top=1 / (1 + math.exp(-logit)),
        fall_a_day=line.fall_a_day,
        pauses=pauses,
        dies=_dies(luck, hatched, from_day),
        luck=luck,
    )


def _moult(luck: Random, hatched: int) -> tuple[int, int]:
    first = hatched + round(luck.gauss(*story.MOULT_AGE_DAYS))
    return first, first + luck.randint(*story.MOULT_DAYS) - 1


def moult_with_the_cage(hen: Hen) -> None:
    """She moults with the rest of her cage, instead of on a day of her own."""
    first = story.CAGE_MOULT_ON + hen.luck.randint(-4, 4)
    hen.pauses[0] = (first, first + hen.luck.randint(18, 24) - 1)


def _dies(luck: Random, hatched: int, from_day: int) -> int:
    """The day of her death: hazard a + b × age a day, given that she lives on from_day."""
    a, b = story.DEATH_A_DAY, story.DEATH_A_DAY_AND_DAY_OF_AGE
    age = from_day - hatched
    risk = a * age + b * age**2 / 2 + luck.expovariate(1)
    return hatched + int((-a + math.sqrt(a * a + 2 * b * risk)) / b)


def heat_wave(today: date) -> tuple[date, date]:
    """The latest 12 to 22 July that is past by forty days: what it did can be seen from both sides."""
    year = today.year if date(today.year, 7, 22) + timedelta(days=40) <= today else today.year - 1
    return date(year, 7, 12), date(year, 7, 22)


def weather(day: date, heat: tuple[date, date]) -> float:
    """What the day's weather leaves of the lay."""
    first, last = heat
    short = story.SHORT_DAYS_TO if day.month in (12, 1) else 1.0
    if day < first:
        return short
    into = min(1.0, ((day - first).days + 1) / story.HEAT_RAMP_DAYS)
    out = max(0.0, 1 - max(0, (day - last).days) / story.HEAT_MENDS_DAYS)
    return short * (1 - (1 - story.HEAT_TO) * min(into, out))


def in_heat(day: date, heat: tuple[date, date]) -> bool:
    return heat[0] <= day <= heat[1]
