"""The barn as it really stands, and the entries that put birds into its cages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from random import Random
from typing import Any

from barnbook.house.example_farm import hens as true_hens
from barnbook.house.example_farm import story
from barnbook.house.example_farm.broods import LINES, Nursery, Raised, RaisedBird, hand
from barnbook.house.example_farm.hens import Hen, Named
from barnbook.house.example_farm.heredity import Pairing, founder_g
from barnbook.house.example_farm.pen import HOUR, Pen
from barnbook.house.example_farm.story import BroodStory, CageStory
from barnbook.house.example_farm.truth import CageDay

SET_UP = 14 * HOUR
AFTER_LAY = 20 * HOUR  # birds are moved of an evening, when the day's eggs are laid


@dataclass(frozen=True, slots=True)
class Cock:
    """named: his ids in the book, if he wears a band.  breeding_g: see heredity [g]."""

    named: Named | None
    breeding_g: float


@dataclass(slots=True)
class Standing:
    """A cage: its true birds, the eggs that lie in it, and its days so far. id: in the book.  paired: by day of lay."""

    plan: CageStory
    id: str
    luck: Random
    hens: list[Hen] = field(default_factory=list)
    cocks: list[Cock] = field(default_factory=list)
    waiting: int = 0
    days: list[CageDay] = field(default_factory=list)
    died_today: int = 0  # hens
    last_change: int = story.FIRST_DAY
    paired: dict[int, Pairing] = field(default_factory=dict)
    sound: dict[int, int] = field(default_factory=dict)  # eggs fit to set, by the day of lay that the book has

    @property
    def code(self) -> str:
        return self.plan.code

    @property
    def names(self) -> list[Named | None]:
        """Of its hens, then of its cocks."""
        return [*(hen.named for hen in self.hens), *(cock.named for cock in self.cocks)]


class Barn:
    """Every cage by code, in walking order."""

    def __init__(self, pen: Pen, *, seed: int) -> None:
        self.pen, self.seed = pen, seed
        self.lines: dict[str, str] = {}
        self.cages: dict[str, Standing] = {}

    # The first day ---------------------------------------------------------------------------------------------

    def set_up(self, *, zone: str) -> None:
        """The farm's settings, its lines and the cages of the first day."""
        rounds = [{"key": story.ROUND, "name": "Morning", "after_lay": False}]
        self._write("farm", story.FIRST_DAY, SET_UP, name=story.FARM, zone=zone, weight_unit="g", rounds=rounds)
        for place, line in enumerate(story.LINES[:-1]):
            self._write_line(line.key, story.FIRST_DAY, SET_UP + 120 * (place + 1))
        for place, cage in enumerate(story.CAGES):
            if cage.since == story.FIRST_DAY:
                self._put_up(cage, place, SET_UP + 600 + 20 * place)

    def _write(self, kind: str, day: int, at: float, **body: Any) -> None:
        self.pen.write(story.WILMA, kind, day=day, at=at, **body)

    def _write_line(self, key: str, day: int, at: float) -> None:
        line = LINES[key]
        self.lines[key] = self.pen.new_id(day, at)
        low, high = line.egg_band_g or (None, None)
        self._write(
            "line",
            day,
            at,
            line=self.lines[key],
            name=line.name,
            other_names=list(line.other_names),
            egg_low_g=low,
            egg_high_g=high,
            weighing_age_days=56,
            sexing_from_day=42,
            sexing_to_day=56,
            plumage=[
                {"key": plumage, "words": plumage, "is_type": plumage == line.plumage}
                for plumage in (line.plumage, *line.off_types)
            ],
            candle_on_day=story.CANDLE_ON,
            lockdown_on_day=story.LOCKDOWN_ON,
            hatch_on_day=story.HATCH_ON,
            cock_cut_g=line.cock_cut_g,
            hen_cut_g=line.hen_cut_g,
            laying_life_weeks=story.LAYING_LIFE_WEEKS,
            hen_breeding_weeks=line.hen_breeding_weeks,
            cock_breeding_weeks=None,
            storage_limit_days=story.STORAGE_DAYS,
            note=line.note,
        )

    def _put_up(self, cage: CageStory, place: int, at: float) -> None:
        id_ = self.pen.new_id(cage.since, at)
        self.cages[cage.code] = Standing(cage, id_, Random(f"{self.seed}:cage:{cage.code}"))
        body: dict[str, Any] = {"cage": id_, "code": cage.code, "row": cage.row, "place": place + 1}
        self._write("cage", cage.since, at, **body, line=self.lines[cage.line], closed=False)

    def stock_from_notebook(self, nursery: Nursery) -> None:
        """The birds that stood when the book began, brood by brood."""
        at = SET_UP + HOUR
        for brood in story.NOTEBOOK_BROODS:
            cages = [self.cages[code] for code in brood.into]
            hens, cocks = sum(cage.plan.hens for cage in cages), sum(cage.plan.cocks for cage in cages)
            nursery.write_in(brood, hens=hens, cocks=cocks, at=at)
            at += 4 * (hens + cocks + 2)
            for cage in cages:
                self._stock(cage, nursery, brood, story.FIRST_DAY, at)
                at += 20

    # Later -----------------------------------------------------------------------------------------------------

    def evening(self, day: int, nursery: Nursery) -> None:
        """Birds moved on a day, after its lay."""
        for brood in story.BROODS:
            if day == brood.hatched + brood.placed_at:
                for place, code in enumerate(brood.into):
                    self._restock(self.cages[code], nursery, brood, day, AFTER_LAY + 240 * place)
                if brood.key == story.NEW_COCK_FROM:
                    self._new_cock(self.cages[story.NEW_COCK], nursery, brood, day)
        for source, target, moved_on in story.MOVED:
            if day == moved_on:
                self._move_hen(self.cages[source], self.cages[target], day)
        if any(day == cage.since != story.FIRST_DAY for cage in story.CAGES):
            self._put_up_bought_in(day)

    def _restock(self, cage: Standing, nursery: Nursery, brood: BroodStory, day: int, at: float) -> None:
        """The old birds go, the young ones come."""
        who = hand(day)
        names = [name for name in cage.names if name is not None]
        sold: dict[str, Any] = {"cage": cage.id, "brood": None, "hens": len(cage.hens), "cocks": len(cage.cocks)}
        self.pen.write(who, "birds_sold", day=day, at=at, **sold, unsexed=0, birds=names, note="Old birds, sold live.")
        self.pen.write(who, "cage_note", day=day, at=at + 15, cage=cage.id, text="Cage washed.")
        cage.hens, cage.cocks = [], []
        self._stock(cage, nursery, brood, day, at + 90)

    def _stock(self, cage: Standing, nursery: Nursery, brood: BroodStory, day: int, at: float) -> None:
        raised = nursery.raised[brood.key]
        hens, cocks = raised.keep("hen", cage.plan.hens), raised.keep("cock", cage.plan.cocks)
        cage.hens = [self._hen(cage, brood.hatched, day, f"{brood.key}:{n}") for n in range(len(hens))]
        for hen, bird, named in zip(cage.hens, hens, _names(raised, hens), strict=True):
            hen.named, hen.breeding_g = named, bird.breeding_g
        cage.cocks, cage.last_change = _cocks(raised, cocks), day
        self._place(cage, day, at, brood=raised.id, hens=len(hens), cocks=len(cocks), birds=cage.names)

    def _hen(self, cage: Standing, hatched: int, day: int, name: str) -> Hen:
        line = LINES[cage.plan.line]
        name = f"{cage.code}:{name}"
        hen = true_hens.a_hen(line, hatched=hatched, from_day=day, name=name, seed=self.seed)
        if cage.code in story.SPARED:
            hen.dies = 1
        if cage.code == story.CAGE_MOULT:
            true_hens.moult_with_the_cage(hen)
        return hen

    def _place(
        self,
        cage: Standing,
        day: int,
        at: float,
        *,
        hens: int,
        cocks: int,
        brood: str | None = None,
        from_cage: str | None = None,
        birds: Sequence[Named | None] = (),
    ) -> None:
        body: dict[str, Any] = {"cage": cage.id, "brood": brood, "from_cage": from_cage}
        body["birds"] = [bird for bird in birds if bird is not None]
        self.pen.write(hand(day), "birds_placed", day=day, at=at, **body, hens=hens, cocks=cocks, unsexed=0)

    def _new_cock(self, cage: Standing, nursery: Nursery, brood: BroodStory, day: int) -> None:
        raised = nursery.raised[brood.key]
        cocks = raised.keep("cock", 1)
        names = raised.named(cocks)
        cage.cocks += _cocks(raised, cocks)
        self._place(cage, day, AFTER_LAY + HOUR, brood=raised.id, hens=0, cocks=len(cocks), birds=names)

    def _move_hen(self, source: Standing, target: Standing, day: int) -> None:
        hen = source.hens.pop()
        target.hens.append(hen)
        source.last_change = target.last_change = day
        self._place(target, day, AFTER_LAY, from_cage=source.id, hens=1, cocks=0, birds=[hen.named])

    def _put_up_bought_in(self, day: int) -> None:
        """A new line: two cages put up, two trios from elsewhere."""
        at = 15 * HOUR
        self._write_line(story.LINES[-1].key, day, at)
        for place, plan in enumerate(story.CAGES):
            if plan.since == day:
                self._put_up(plan, place, at + 60 + 20 * place)
                cage = self.cages[plan.code]
                hatched = story.BOUGHT_IN[cage.code]
                cage.hens = [self._hen(cage, hatched, day, str(n)) for n in range(plan.hens)]
                genes, line = Random(f"{self.seed}:genes:{cage.code}"), LINES[plan.line]
                for hen in cage.hens:
                    hen.breeding_g = founder_g(genes, line)
                cage.cocks = [Cock(None, founder_g(genes, line)) for _ in range(plan.cocks)]
                cage.last_change = day
                cage.days = [CageDay(0, 0.0, 0)] * (day - story.FIRST_DAY + 1)
                self._place(cage, day, AFTER_LAY + 60 * place, hens=plan.hens, cocks=plan.cocks)


def _cocks(raised: Raised, birds: Sequence[RaisedBird]) -> list[Cock]:
    return [Cock(name, bird.breeding_g) for name, bird in zip(_names(raised, birds), birds, strict=True)]


def _names(raised: Raised, birds: Sequence[RaisedBird]) -> list[Named | None]:
    """One for each: the birds of a line that wears no bands have none."""
    return [*raised.named(birds)] or [None for _ in birds]
