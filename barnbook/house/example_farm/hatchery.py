"""Eggs into the incubators and chicks out of them: settings, candlings, lockdown, hatch. What lies after today is left.

One egg of a tray: fertile with the tray's chance, which is the line's, less for old hens and for a cage whose male
fails, trays differing on the logit scale; a fertile one hatches with a chance that falls with the days it was stored.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from random import Random
from typing import Any

from barnbook.house.example_farm import story
from barnbook.house.example_farm.barn import Barn, Standing
from barnbook.house.example_farm.broods import LINES, Came, hand
from barnbook.house.example_farm.heredity import chick_g
from barnbook.house.example_farm.pen import HOUR, Pen
from barnbook.house.example_farm.truth import TrueTray

SETTING, CANDLING, LOCKING, HATCHING = 16.0 * HOUR, 18.5 * HOUR, 18.2 * HOUR, 16.4 * HOUR
LEAST_EGGS = 6  # of a cage, below which it is left out


@dataclass(slots=True)
class Eggs:
    """A tray as it really is. laid: day and eggs.  chance: of each egg to be fertile.  chicks: their breeding
    values [g]."""

    id: str
    name: str
    cage: Standing
    laid: list[tuple[int, int]]
    chance: float = 0.0
    clear: int = 0
    dead_early: int = 0
    unread: int = 0
    broken: int = 0
    chicks: list[float] = field(default_factory=list)
    pipped: int = 0
    in_shell: int = 0

    @property
    def hatched(self) -> int:
        return len(self.chicks)

    @property
    def eggs(self) -> int:
        return sum(eggs for _, eggs in self.laid)


@dataclass(slots=True)
class Hatchery:
    """Sets the eggs of every brood of the story seventeen days before it hatches, and writes what came of them."""

    pen: Pen
    barn: Barn
    seed: int
    came: dict[str, Came] = field(default_factory=dict)
    truth: dict[str, list[TrueTray]] = field(default_factory=dict)
    _number: int = 0
    _set_on: dict[str, int] = field(default_factory=dict)  # of each cage, the last day on which its eggs were set

    def set_what_is_due(self, day: int) -> None:
        """The settings of a day: those of broods to come, and those that are no brood yet."""
        for brood in story.BROODS:
            if brood.hatched - story.HATCH_ON == day:
                self._set(brood.key, brood.line, day, round(brood.chicks / story.HATCH_HOPED))
        for setting in story.SETTINGS:
            if setting.set_on == day:
                self._set(setting.key, setting.line, day, setting.wanted)

    def _set(self, key: str, line: str, day: int, wanted: int) -> None:
        luck, genes = Random(f"{self.seed}:setting:{key}"), Random(f"{self.seed}:genes:{key}")
        self._number += 1
        code = f"S{self._number:02d}"
        setting = self.pen.new_id(day, SETTING)
        sources = self._sources(line, day, luck)
        trays = self._fill(sources, day, wanted, story.STORAGE_DAYS)
        if sum(tray.eggs for tray in trays) < wanted:  # older ones too, rather than too few
            trays = self._fill(sources, day, wanted, story.STORAGE_AT_NEED_DAYS)
        for tray in trays:
            self._set_on[tray.cage.code] = day
            _turn_out(tray, day, luck, genes)
        self._write_setting(setting, code, line, day, trays)
        self._candle(setting, day + story.CANDLE_ON, trays)
        locked = day + story.LOCKDOWN_ON
        if locked < 0:
            self._write("lockdown", locked, LOCKING, setting=setting, note="")
        self._hatch(setting, day + story.HATCH_ON, trays)
        chicks = [chick for tray in trays for chick in tray.chicks]
        genes.shuffle(chicks)  # in the brooder nobody knows any more which tray a chick came of
        self.came[key] = Came(setting, [tray.id for tray in trays], chicks)
        self.truth[code] = [TrueTray(tray.cage.code, tray.eggs, tray.chance) for tray in trays]

    def _write(self, kind: str, day: int, at: float, **body: Any) -> None:
        self.pen.write(hand(day), kind, day=day, at=at, **body)

    # Which eggs ------------------------------------------------------------------------------------------------

    def _sources(self, line: str, day: int, luck: Random) -> list[Standing]:
        """Cages of the line in the order in which they are asked for eggs: the one whose male fails among the first."""
        cages = [cage for cage in self.barn.cages.values() if cage.plan.line == line and cage.cocks]
        cages = [cage for cage in cages if cage.code not in story.NOT_SET_FROM and not _without_cock(cage.code, day)]
        luck.shuffle(cages)
        return sorted(cages, key=lambda cage: (cage.code != story.FAILING_MALE, len(cage.hens) < 2))

    def _fill(self, cages: Sequence[Standing], day: int, wanted: int, stored: int) -> list[Eggs]:
        """Trays of one cage each, of eggs stored less than so many days, until there are about as many as wanted."""
        trays: list[Eggs] = []
        for cage in cages:
            left = wanted - sum(tray.eggs for tray in trays)
            if left <= 0:
                break
            laid = _kept(
                cage,
                day,
                min(stored, day - self._set_on.get(cage.code, -999) + 1),
                most=min(story.SETTING_MOST_A_TRAY, max(left, LEAST_EGGS)),
            )
            if sum(eggs for _, eggs in laid) >= LEAST_EGGS:
                name = str(len(trays) + 1)
                trays.append(Eggs(self.pen.new_id(day, SETTING + len(trays)), name, cage, laid))
        return trays

    # What is written of them -----------------------------------------------------------------------------------

    def _write_setting(self, setting: str, code: str, line: str, day: int, trays: Sequence[Eggs]) -> None:
        self._write(
            "eggs_set",
            day,
            SETTING + 60,
            setting=setting,
            code=code,
            incubator="Cabinet" if self._number % 3 else "Table top",
            set_on=self.pen.date(day).isoformat(),
            trays=[
                {
                    "tray": tray.id,
                    "name": tray.name,
                    "line": self.barn.lines[line],
                    "cage": tray.cage.id,
                    "eggs": [{"laid_on": self.pen.date(on).isoformat(), "eggs": eggs} for on, eggs in tray.laid],
                }
                for tray in trays
            ],
            note="",
        )
        for after, humidity in ((3, 54.0), (11, 57.0), (15, 72.0)):
            if day + after < 0:
                gauge = {"setting": setting, "temperature_c": 37.6, "humidity_percent": humidity, "note": ""}
                self._write("incubator_read", day + after, LOCKING + HOUR, **gauge)

    def _candle(self, setting: str, day: int, trays: Sequence[Eggs]) -> None:
        if day >= 0:
            return
        for place, tray in enumerate(trays):
            looked = {
                "read": tray.eggs - tray.unread - tray.broken,
                "clear": tray.clear,
                "dead_early": tray.dead_early,
                "unread": tray.unread,
                "broken": tray.broken,
                "removed": 0,
            }
            self._write("candled", day, CANDLING + 90 * place, setting=setting, tray=tray.id, **looked, note="")

    def _hatch(self, setting: str, day: int, trays: Sequence[Eggs]) -> None:
        if day >= 0:
            return
        for place, tray in enumerate(trays):
            out = {"hatched": tray.hatched, "pipped_dead": tray.pipped, "dead_in_shell": tray.in_shell}
            self._write("hatched", day, HATCHING + 120 * place, setting=setting, tray=tray.id, **out, note="")


def _without_cock(code: str, day: int) -> bool:
    cage, first, last = story.NO_COCK
    return code == cage and first <= day <= last


def _kept(cage: Standing, day: int, stored: int, *, most: int) -> list[tuple[int, int]]:
    """Sound eggs stored less than so many days, by the day the book has; one of each day is left for the kitchen, and
    those laid without a cock in the cage are, too."""
    kept = []
    for on in range(day - 1, max(day - stored, story.FIRST_DAY), -1):
        eggs = min(max(cage.sound.get(on, 0) - 1, 0), most) if on in cage.paired and cage.paired[on].cocks else 0
        most -= eggs
        if eggs:
            kept.append((on, eggs))
    return kept[::-1]


def _turn_out(tray: Eggs, day: int, luck: Random, genes: Random) -> None:
    """What becomes of each egg of a tray."""
    usual = story.FERTILE_OLD if day - tray.cage.hens[0].hatched > story.OLD_HENS_DAYS else story.FERTILE
    if tray.cage.code == story.FAILING_MALE and day > story.FAILING_FROM:
        usual -= (usual - story.FAILING_TO) * min(1.0, (day - story.FAILING_FROM) / (-story.FAILING_FROM - 17))
    tray.chance = 1 / (1 + math.exp(-math.log(usual / (1 - usual)) - luck.gauss(0, story.TRAYS_DIFFER)))
    for on, eggs in tray.laid:
        for _ in range(eggs):
            _turn_one(tray, on, day - on, luck, genes)


def _turn_one(tray: Eggs, on: int, stored: int, luck: Random, genes: Random) -> None:
    if luck.random() < story.BROKEN:
        tray.broken += 1
        return
    read = luck.random() >= LINES[tray.cage.plan.line].dark
    tray.unread += not read
    if luck.random() >= tray.chance:
        tray.clear += read  # one that could not be read goes out with the shells, and nobody knows what it was
    elif luck.random() < story.DEAD_EARLY:
        tray.dead_early += read
        tray.in_shell += not read
    elif luck.random() < story.HATCH_OF_FERTILE * (1 - story.LOST_A_DAY_STORED * stored):
        tray.chicks.append(chick_g(genes, LINES[tray.cage.plan.line], tray.cage.paired[on]))
    elif luck.random() < story.PIPPED_OF_DEAD:
        tray.pipped += 1
    else:
        tray.in_shell += 1
