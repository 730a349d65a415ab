"""From the hatch to weigh day: chicks seen and lost, birds guessed at, looked at and weighed. What lies after today is
left. What becomes of them then: `parting`.

Growth of one bird: weight = A exp(-b exp(-k age)), Gompertz, through 8.6 g at the hatch and its own weight at 56 days.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import count
from random import Random
from typing import Any

from barnbook.house.example_farm import story
from barnbook.house.example_farm.heredity import founder_g, own_sd_g
from barnbook.house.example_farm.pen import HOUR, Pen
from barnbook.house.example_farm.story import BroodStory, LineStory

LINES = {line.key: line for line in story.LINES}
OUNCE_G = 28.349523125  # the avoirdupois ounce, by definition
EVENING, FORENOON, EARLY = 17.2 * HOUR, 9.6 * HOUR, 5.6 * HOUR
FIRST_WEEK, UNTIL_SEXED = (1, 7), (8, 38)  # ages at which chicks are lost [days]
GROWN_FROM, GROWN_EACH = 14, 7  # ages at which some are weighed, week after week [days]


@dataclass(frozen=True, slots=True)
class Came:
    """What a brood came of: the setting and its trays in the book, and the breeding value of each chick [g]."""

    setting: str
    trays: list[str]
    chicks: list[float]


@dataclass(slots=True)
class RaisedBird:
    """weight_g: at 56 days.  breeding_g: its part that is inherited [g].  id: None until somebody wrote of it.  seen:
    the last result of looking.  away: it was placed, sold or processed."""

    sex: str
    plumage: str
    weight_g: float
    breeding_g: float
    id: str | None = None
    band: str | None = None
    seen: str | None = None
    weighed_g: float | None = None
    away: bool = False


@dataclass(slots=True)
class Raised:
    """A brood and its birds that have not died in it. id: in the book."""

    plan: BroodStory
    line: LineStory
    id: str
    code: str
    chicks: int
    birds: list[RaisedBird]
    luck: Random

    def keep(self, sex: str, wanted: int) -> list[RaisedBird]:
        """Take so many for a cage, the heaviest of that sex, off-types only where there are too few others; returns
        those there were."""
        left = [bird for bird in self.birds if bird.seen == sex and not bird.away]
        took = sorted(left, key=lambda bird: (bird.plumage != self.line.plumage, -(bird.weighed_g or 0)))[:wanted]
        for bird in took:
            bird.away = True
        return took

    def named(self, birds: Iterable[RaisedBird]) -> list[dict[str, str]]:
        """Those that can be told apart a week later, as an entry names them: birds that wear a band."""
        return [{"bird": bird.id, "brood": self.id} for bird in birds if bird.id is not None and self.line.bands]


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
        genes = Random(f"{self.seed}:genes:{brood.key}")
        sexes = ["hen"] * hens + ["cock"] * cocks
        birds = [a_bird(luck, line, sex, line.plumage, 0.0, founder_g(genes, line)) for sex in sexes]
        note = f"From the notebook: the {hens + cocks} birds that stood when this book began."
        raised = self._begin(brood, birds, len(birds), story.FIRST_DAY, at, luck)
        self._write_brood(raised, note, story.FIRST_DAY, at)
        for place, bird in enumerate(birds, 1):
            self._look(raised, bird, day=story.FIRST_DAY, at=at + 4 * place, result=bird.sex)

    # In the book -----------------------------------------------------------------------------------------------

    def raise_brood(self, brood: BroodStory, came: Came) -> None:
        """Everything that has been done with a brood by today, but for its birds' going."""
        line = LINES[brood.line]
        luck = Random(f"{self.seed}:brood:{brood.key}")
        brood_g = luck.gauss(0, line.sd_g / 5)
        birds = [
            a_bird(luck, line, luck.choice(["hen", "cock"]), a_plumage(luck, line), brood_g, breeding_g)
            for breeding_g in came.chicks
        ]
        raised = self._begin(brood, birds, len(came.chicks), brood.hatched, EVENING, luck)
        self._write_hatched(raised, came)
        self._lose_chicks(raised)
        self._move_on(raised)
        self._weigh_growing(raised)
        self._guess(raised)
        self._sexing_day(raised)
        self._look_again(raised)
        self._weigh_day(raised)

    def _begin(
        self,
        brood: BroodStory,
        birds: list[RaisedBird],
        chicks: int,
        day: int,
        at: float,
        luck: Random,
    ) -> Raised:
        id_ = self.pen.new_id(day, at)
        raised = Raised(brood, LINES[brood.line], id_, self._codes[brood.key], chicks, birds, luck)
        self.raised[brood.key] = raised
        return raised

    def _write_brood(self, raised: Raised, note: str, day: int, at: float) -> None:
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
            note=note,
        )

    def _write_hatched(self, raised: Raised, came: Came) -> None:
        """The brood out of its setting, and its chicks by their looks."""
        day = raised.plan.hatched
        self.pen.write(
            hand(day),
            "brood_hatched",
            day=day,
            at=EVENING,
            brood=raised.id,
            setting=came.setting,
            trays=came.trays,
            line=self.lines[raised.plan.line],
            code=raised.code,
            hatched_on=self.pen.date(day).isoformat(),
            note="",
        )
        for place, plumage in enumerate((raised.line.plumage, *raised.line.off_types)):
            chicks = sum(bird.plumage == plumage for bird in raised.birds)
            if chicks:
                seen = {"brood": raised.id, "setting": came.setting, "plumage": plumage, "chicks": chicks}
                self.pen.write(hand(day), "chicks_seen", day=day, at=EVENING + 60 * (place + 1), **seen)

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
        self.pen.write(hand(day), "found_dead", day=day, at=at, **body, birds=[], note=note)

    def _move_on(self, raised: Raised) -> None:
        """To the second brooder at a week, its warmth read each week; browns weighed together in a box."""
        brood = raised.plan
        for week, warmth in enumerate(story.BROODER_EACH_WEEK_C):
            day = brood.hatched + 7 * week + 1
            if day < 0:
                body = {"row": None, "brood": raised.id, "light_hours": None, "temperature_c": warmth, "note": ""}
                self.pen.write(hand(day), "lights_and_heat", day=day, at=EARLY + 2 * HOUR, **body)
        day = brood.hatched + 7
        if day < 0:
            self.pen.write(hand(day), "brooder_moved", day=day, at=FORENOON, brood=raised.id, to="brooder 2", note="")
        day = brood.hatched + story.CHICK_WEIGHED_TOGETHER_AT
        if day < 0 and brood.line == "brown":
            some = raised.birds[:10]
            grams = round(sum(weight_at(bird.weight_g, story.CHICK_WEIGHED_TOGETHER_AT) for bird in some), 1)
            body = {"brood": raised.id, "hens": 0, "cocks": 0, "unsexed": len(some), "grams": grams}
            typed = {"value": f"{grams:.1f}", "unit": "g"}
            self.pen.write(hand(day), "birds_weighed", day=day, at=FORENOON + HOUR, **body, typed=typed)

    def _guess(self, raised: Raised) -> None:
        """By the feathers, long before the vent can be read: banded then, so that the guess can be scored."""
        if raised.plan.guessed_at is None:
            return
        day = raised.plan.hatched + raised.plan.guessed_at
        if day >= 0:
            return
        at = FORENOON
        for bird in raised.birds:
            at += raised.luck.uniform(10, 25)
            if bird.id is None:
                bird.id, bird.band = self.pen.new_id(day, at), self._band(raised)
            other = "hen" if bird.sex == "cock" else "cock"
            guess = bird.sex if raised.luck.random() < story.GUESS_RIGHT else other
            body = {
                "bird": bird.id,
                "brood": raised.id,
                "number": None,
                "guess": guess,
                "by": "feathers",
                "band": bird.band,
            }
            self.pen.write(hand(day), "sex_guessed", day=day, at=at, **body)

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
        body: dict[str, Any] = {
            "bird": bird.id,
            "brood": raised.id,
            "number": None,
            "result": result,
            "band": bird.band,
        }
        self.pen.write(hand(day), "bird_sexed", day=day, at=at, **body)
        if raised.line.off_types and raised.plan in story.BROODS:
            seen = {"bird": bird.id, "brood": raised.id, "plumage": bird.plumage}
            self.pen.write(hand(day), "plumage_seen", day=day, at=at + 3, **seen)

    def _band_twice(self, raised: Raised) -> None:
        """One band typed on two birds, one after the other: the tenth got the ninth's."""
        if raised.plan.key == story.BAND_TWICE:
            ninth, tenth = raised.birds[8:10]
            entry = next(
                draft
                for draft in reversed(self.pen.drafts)
                if draft.kind == "bird_sexed" and draft.body["bird"] == tenth.id
            )
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
        body: dict[str, Any] = {"bird": bird.id, "brood": raised.id, "number": None, "band": bird.band}
        return self.pen.write(hand(day), "bird_weight", day=day, at=at, **body, grams=grams, typed=typed)

    def _weigh_without_the_point(self, raised: Raised, bird: RaisedBird, *, day: int, at: float) -> None:
        _, typed = typed_as(weight_at(bird.weight_g, raised.plan.weighed_at), raised.plan.unit)
        value = typed["value"].replace(".", "")
        grams = round(float(value) * (OUNCE_G if raised.plan.unit == "oz" else 1), 1)
        typed = {"value": value, "unit": raised.plan.unit}
        entry = self._write_weight(raised, bird, day=day, at=at, grams=grams, typed=typed)
        self.pen.write(hand(day), "strike", day=day, at=at + 9, entry=entry, why="The point is missing.")


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


def a_bird(luck: Random, line: LineStory, sex: str, plumage: str, brood_g: float, breeding_g: float) -> RaisedBird:
    middle = (line.hen_g if sex == "hen" else line.cock_g) + brood_g + breeding_g
    extra = line.off_type_g if plumage != line.plumage else 0.0
    return RaisedBird(sex, plumage, luck.gauss(middle + extra, own_sd_g(line)), breeding_g)


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
