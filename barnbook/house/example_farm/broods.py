"""From the hatch to the cage: chicks lost, birds looked at and weighed, keepers chosen. What lies after today is left.

Growth of one bird: weight = A exp(-b exp(-k age)), Gompertz, through 8.6 g at the hatch and its own weight at 56 days.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count
from random import Random
from typing import Any

from barnbook.house.example_farm import story
from barnbook.house.example_farm.pen import HOUR, Pen
from barnbook.house.example_farm.story import BroodStory, LineStory

LINES = {line.key: line for line in story.LINES}
OUNCE_G = 28.349523125  # the avoirdupois ounce, by definition
EVENING, FORENOON, EARLY = 17.2 * HOUR, 9.6 * HOUR, 5.6 * HOUR
FIRST_WEEK, UNTIL_SEXED = (1, 7), (8, 38)  # ages at which chicks are lost [days]
GROWN_FROM, GROWN_EACH = 14, 7  # ages at which some are weighed, week after week [days]


@dataclass(slots=True)
class RaisedBird:
    """weight_g: at 56 days.  id: None until somebody wrote of it.  seen: the last result of looking."""

    sex: str
    plumage: str
    weight_g: float
    id: str | None = None
    band: str | None = None
    seen: str | None = None
    weighed_g: float | None = None


@dataclass(slots=True)
class Raised:
    """A brood and its birds alive. id: in the book.  kept: birds placed so far, by sex."""

    plan: BroodStory
    line: LineStory
    id: str
    code: str
    chicks: int
    note: str
    birds: list[RaisedBird]
    luck: Random
    kept: dict[str, int] = field(default_factory=lambda: {"hen": 0, "cock": 0})

    def keepers_left(self, sex: str) -> int:
        """Birds of that sex, of the line's own plumage, that are not placed yet."""
        right = sum(bird.seen == sex and bird.plumage == self.line.plumage for bird in self.birds)
        return right - self.kept[sex]

    def keep(self, sex: str, wanted: int) -> int:
        """Take so many for a cage; returns how many there were."""
        took = min(wanted, self.keepers_left(sex))
        self.kept[sex] += took
        return took


class Nursery:
    """Raises every brood of the story and writes what is done with it. hand: who does the work on a day."""

    def __init__(self, pen: Pen, *, lines: dict[str, str], seed: int) -> None:
        self.pen, self.lines, self.seed = pen, lines, seed
        self.raised: dict[str, Raised] = {}
        self._bands = {line.key: count(1) for line in story.LINES}
        self._codes = self._code_each()

    def _code_each(self) -> dict[str, str]:
        """Year and number within it, in the order of hatching: 26-07."""
        numbers: dict[int, Iterator[int]] = {}
        codes = {}
        for brood in sorted((*story.NOTEBOOK_BROODS, *story.BROODS), key=lambda each: each.hatched):
            year = self.pen.date(brood.hatched).year
            codes[brood.key] = f"{year % 100:02d}-{next(numbers.setdefault(year, count(1))):02d}"
        return codes

    # Before the book -------------------------------------------------------------------------------------------

    def write_in(self, brood: BroodStory, *, hens: int, cocks: int, at: float) -> None:
        """A brood of the notebook, with those of its birds that still stand, each looked at."""
        line = LINES[brood.line]
        luck = Random(f"{self.seed}:brood:{brood.key}")
        birds = [a_bird(luck, line, sex, line.plumage, 0.0) for sex in ["hen"] * hens + ["cock"] * cocks]
        note = f"From the notebook: the {hens + cocks} birds that stood when this book began."
        raised = self._begin(brood, birds, len(birds), note, story.FIRST_DAY, at, luck)
        for place, bird in enumerate(birds, 1):
            self._look(raised, bird, day=story.FIRST_DAY, at=at + 4 * place, result=bird.sex)

    # In the book -----------------------------------------------------------------------------------------------

    def raise_brood(self, brood: BroodStory) -> None:
        """Everything that has been done with a brood by today."""
        line = LINES[brood.line]
        luck = Random(f"{self.seed}:brood:{brood.key}")
        brood_g = luck.gauss(0, line.sd_g / 5)
        birds = [
            a_bird(luck, line, luck.choice(["hen", "cock"]), a_plumage(luck, line), brood_g)
            for _ in range(brood.chicks)
        ]
        note = plumage_note(birds, line) if line.off_types else ""
        raised = self._begin(brood, birds, brood.chicks, note, brood.hatched, EVENING, luck)
        self._lose_chicks(raised)
        self._weigh_growing(raised)
        self._sexing_day(raised)
        self._look_again(raised)
        self._weigh_day(raised)

    def _begin(
        self,
        brood: BroodStory,
        birds: list[RaisedBird],
        chicks: int,
        note: str,
        day: int,
        at: float,
        luck: Random,
    ) -> Raised:
        id_ = self.pen.new_id(day, at)
        raised = Raised(brood, LINES[brood.line], id_, self._codes[brood.key], chicks, note, birds, luck)
        self.raised[brood.key] = raised
        self._write_brood(raised, day, at)
        return raised

    def _write_brood(self, raised: Raised, day: int, at: float) -> None:
        self.pen.write(
            hand(day),
            "brood",
            day=day,
            at=at,
            brood=raised.id,
            line=self.lines[raised.plan.line],
            code=raised.code,
            hatched_on=self.pen.date(raised.plan.hatched).isoformat(),
            chicks=raised.chicks,
            note=raised.note,
        )

    def _lose_chicks(self, raised: Raised) -> None:
        luck = raised.luck
        dead: dict[int, int] = {}
        for share, (first, last) in (
            (story.CHICK_DEATHS_FIRST_WEEK, FIRST_WEEK),
            (story.CHICK_DEATHS_LATER, UNTIL_SEXED),
        ):
            for _ in range(raised.chicks):
                age = luck.randint(first, last)
                if luck.random() < share:
                    dead[age] = dead.get(age, 0) + 1
        for age, number in sorted(dead.items()):
            day = raised.plan.hatched + age
            if day >= 0:
                break
            if day in story.NOBODY_WALKED:
                day += 1 if day + 1 not in story.NOBODY_WALKED else 2
            for _ in range(number):
                raised.birds.pop(luck.randrange(len(raised.birds)))
            note = luck.choice(["", "", "small one", "under the others", "by the water"]) if number == 1 else ""
            self._found_dead(raised, day, number, note)

    def _found_dead(self, raised: Raised, day: int, number: int, note: str) -> None:
        at = 7.9 * HOUR + raised.luck.random() * HOUR
        body: dict[str, Any] = {"cage": None, "brood": raised.id, "hens": 0, "cocks": 0, "unsexed": number}
        self.pen.write(hand(day), "found_dead", day=day, at=at, **body, note=note)

    def _weigh_growing(self, raised: Raised) -> None:
        """The same few birds week after week: banded early, or with tape where the line wears no bands."""
        brood = raised.plan
        for age in range(GROWN_FROM, brood.weighed_at, GROWN_EACH):
            day = brood.hatched + age
            if day >= 0:
                break
            for place, bird in enumerate(raised.birds[: brood.grown]):
                at = FORENOON + 40 * place
                if bird.id is None:
                    bird.id = self.pen.new_id(day, at)
                    bird.band = self._band(raised) or f"tape {place + 1}"
                self._weigh(raised, bird, age=age, at=at)

    def _band(self, raised: Raised) -> str | None:
        prefix = raised.line.bands
        return None if prefix is None else f"{prefix}-{next(self._bands[raised.line.key])}"

    def _sexing_day(self, raised: Raised) -> None:
        brood = raised.plan
        day = brood.hatched + brood.looked_at
        if day > 0:
            return
        at = EARLY if day == 0 else FORENOON
        for bird in raised.birds[: len(raised.birds) - brood.not_looked]:
            at += raised.luck.uniform(14, 45)
            unsure = story.UNSURE_COCK if bird.sex == "cock" else story.UNSURE_HEN
            result = "unsure" if raised.luck.random() < unsure else bird.sex
            self._look(raised, bird, day=day, at=at, result=result)
            if brood.weighed_at == brood.looked_at:
                self._weigh(raised, bird, age=brood.weighed_at, at=at + 9)
        self._band_twice(raised)

    def _look(self, raised: Raised, bird: RaisedBird, *, day: int, at: float, result: str) -> None:
        if bird.id is None:
            bird.id = self.pen.new_id(day, at)
        if bird.band is None:
            bird.band = self._band(raised)
        bird.seen = result
        body: dict[str, Any] = {"bird": bird.id, "brood": raised.id, "result": result, "band": bird.band}
        self.pen.write(hand(day), "bird_sexed", day=day, at=at, **body)

    def _band_twice(self, raised: Raised) -> None:
        """One band typed on two birds, one after the other: the tenth got the ninth's."""
        if raised.plan.key == story.BAND_TWICE:
            ninth, tenth = raised.birds[8:10]
            entry = next(draft for draft in reversed(self.pen.drafts) if draft.body.get("bird") == tenth.id)
            entry.body["band"] = tenth.band = ninth.band

    def _look_again(self, raised: Raised) -> None:
        """Birds not sure, a week later, and once more: by then nearly all can be read."""
        brood = raised.plan
        for again in (1, 2):
            day = brood.hatched + brood.looked_at + 7 * again
            if day >= 0 or not brood.looked_again:
                return
            at = FORENOON
            for bird in raised.birds:
                if bird.seen == "unsure":
                    at += raised.luck.uniform(14, 45)
                    result = "unsure" if again == 1 and raised.luck.random() < 0.15 else bird.sex
                    self._look(raised, bird, day=day, at=at, result=result)

    def _weigh_day(self, raised: Raised) -> None:
        brood = raised.plan
        day = brood.hatched + brood.weighed_at
        if day >= 0 or brood.weighed_at == brood.looked_at:
            return
        at = FORENOON
        for place, bird in enumerate(bird for bird in raised.birds if bird.id is not None):
            at += raised.luck.uniform(18, 50)
            if place == 11 and brood.key == story.WEIGHT_TYPED_WRONG:
                self._weigh_without_the_point(raised, bird, day=day, at=at)
                at += 20
            self._weigh(raised, bird, age=brood.weighed_at, at=at)

    def _weigh(self, raised: Raised, bird: RaisedBird, *, age: int, at: float) -> None:
        day = raised.plan.hatched + age
        grams = weight_at(bird.weight_g, age) + raised.luck.gauss(0, story.SCALE_SD_G)
        grams, typed = typed_as(grams, raised.plan.unit)
        bird.weighed_g = grams
        self._write_weight(raised, bird, day=day, at=at, grams=grams, typed=typed)

    def _write_weight(
        self, raised: Raised, bird: RaisedBird, *, day: int, at: float, grams: float, typed: dict[str, str]
    ) -> str:
        body: dict[str, Any] = {"bird": bird.id, "brood": raised.id, "band": bird.band}
        return self.pen.write(hand(day), "bird_weight", day=day, at=at, **body, grams=grams, typed=typed)

    def _weigh_without_the_point(self, raised: Raised, bird: RaisedBird, *, day: int, at: float) -> None:
        _, typed = typed_as(weight_at(bird.weight_g, raised.plan.weighed_at), raised.plan.unit)
        value = typed["value"].replace(".", "")
        grams = round(float(value) * (OUNCE_G if raised.plan.unit == "oz" else 1), 1)
        typed = {"value": value, "unit": raised.plan.unit}
        entry = self._write_weight(raised, bird, day=day, at=at, grams=grams, typed=typed)
        self.pen.write(hand(day), "strike", day=day, at=at + 9, entry=entry, why="The point is missing.")

    def part_with_the_rest(self) -> None:
        """Say in each grown brood's note what became of it, once its keepers are placed."""
        for raised in self.raised.values():
            brood = raised.plan
            day = brood.hatched + brood.placed_at + 8
            if brood in story.BROODS and day < 0 and brood.looked_again:
                hens, cocks = raised.kept["hen"], raised.kept["cock"]
                kept = f"Kept {hens} hens and {cocks} cocks; the others" if hens + cocks else "None kept: all"
                raised.note = f"{raised.note} {kept} sold live.".strip()
                self._write_brood(raised, day, EVENING + HOUR)


def hand(day: int) -> str:
    """Who works with the broods on a day."""
    return story.ANSEL if day in story.HOLIDAYS else story.WILMA


def a_plumage(luck: Random, line: LineStory) -> str:
    share = luck.random()
    for plumage, part in line.off_types.items():
        if share < part:
            return plumage
        share -= part
    return line.plumage


def a_bird(luck: Random, line: LineStory, sex: str, plumage: str, brood_g: float) -> RaisedBird:
    middle = (line.hen_g if sex == "hen" else line.cock_g) + brood_g
    extra = line.off_type_g if plumage != line.plumage else 0.0
    return RaisedBird(sex=sex, plumage=plumage, weight_g=luck.gauss(middle + extra, line.sd_g))


def plumage_note(birds: list[RaisedBird], line: LineStory) -> str:
    """How many chicks of each plumage, the type first: '43 cream, 2 brown.'"""
    numbers = [(plumage, sum(bird.plumage == plumage for bird in birds)) for plumage in (line.plumage, *line.off_types)]
    return ", ".join(f"{number} {plumage}" for plumage, number in numbers if number) + "."


def weight_at(weight_g: float, age: int) -> float:
    """The weight at an age of a bird that weighs weight_g at 56 days [g]."""
    k = story.GROWTH_A_DAY
    grown = weight_g
    for _ in range(20):  # the grown weight whose curve passes through weight_g: a fixed point, found in a few turns
        grown = weight_g * math.exp(math.log(grown / story.CHICK_G) * math.exp(-k * 56))
    return grown * math.exp(-math.log(grown / story.CHICK_G) * math.exp(-k * age))


def typed_as(grams: float, unit: str) -> tuple[float, dict[str, str]]:
    """What the scale showed and was typed, and the grams that it comes to."""
    value = f"{grams / OUNCE_G:.2f}" if unit == "oz" else f"{grams:.1f}"
    return round(float(value) * (OUNCE_G if unit == "oz" else 1), 1), {"value": value, "unit": unit}
