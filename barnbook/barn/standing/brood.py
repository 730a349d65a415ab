"""A brood and its birds: hatched or bought, looked at, weighed, placed, gone.

Numbers that contradict one another are kept as they are, and asked about (`brood_questions`); nothing is clipped.
"""

from __future__ import annotations

import itertools
import uuid
from collections.abc import Collection as Some
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from barnbook.barn.standing.bird import BirdState
from barnbook.barn.standing.subject import Question


@dataclass(frozen=True, slots=True)
class Left:
    """Birds that died, were processed or sold. total: all of them; sexed: those said to be hens or cocks;
    named: those known by their id. from_cage: taken from a cage (then only the named ones are known to be of this
    brood, and are the total)."""

    entry: uuid.UUID
    total: int
    sexed: int
    named: tuple[uuid.UUID, ...]
    from_cage: bool


@dataclass(frozen=True, slots=True)
class AskedOfBird:
    """Two entries of a bird that cannot both be right. detail: with a place for how the bird is called."""

    code: str
    bird: uuid.UUID
    entries: tuple[uuid.UUID, uuid.UUID]
    detail: str


@dataclass(slots=True)
class BroodState:
    """values: line_id, code, hatched_on, note, chicks (None: those seen one by one), bought_in, hatch_day_sure,
    quarantine_until; None when no entry that makes the brood stands (then nothing else counts).

    placed_sexed: how many of the placed birds were put into their cages as hens or cocks.
    known_unlooked: how many, not named one by one, were placed or went as hens or cocks when no bird looked at was left
    to be meant: their sex was known without a look that is written.  looked_away: those that were meant.
    bought_sexed: how many were hens or cocks when they were bought in.
    written_by, last_look, last_placed, last_seen: the newest entries that wrote the brood, read a bird's sex, placed
    birds, saw chicks.
    """

    values: dict[str, Any] | None = None
    setting: uuid.UUID | None = None
    trays: list[str] = field(default_factory=list)
    plumage: dict[str, int] = field(default_factory=dict)
    brooder: str = ""
    bought_sexed: int = 0
    placed_from: int = 0
    placed_sexed: int = 0
    known_unlooked: int = 0
    looked_away: int = 0
    left: list[Left] = field(default_factory=list)
    birds: dict[uuid.UUID, BirdState] = field(default_factory=dict)
    written_by: uuid.UUID | None = None
    last_look: uuid.UUID | None = None
    last_placed: uuid.UUID | None = None
    last_seen: uuid.UUID | None = None
    asked: list[AskedOfBird] = field(default_factory=list)

    # What entries do to it ------------------------------------------------------------------------------------

    def bird(self, bird: uuid.UUID) -> BirdState:
        """The bird of that id, made where it is new."""
        return self.birds.setdefault(bird, BirdState())

    def look(self, bird: uuid.UUID, result: str, *, day: date, by: uuid.UUID, entry: uuid.UUID) -> None:
        """Somebody looked at it. A cock to one person and a hen to another on one day was most likely two birds."""
        here = self.bird(bird)
        by_two = here.looked_on == day and here.looked_by != by and {here.sex, result} == {"cock", "hen"}
        if by_two and here.last_look is not None:
            detail = (
                f"Bird %s was read as a {here.sex} and as a {result} by two people on {day}. If they held two birds, "
            )
            detail += "one of them is still to be looked at."
            self._ask_both("looked_at_twice", bird, (here.last_look, entry), detail)
        here.sex, here.looked_on, here.looked_by, here.last_look = result, day, by, entry
        self.last_look = entry

    def put_band(self, bird: uuid.UUID, band: str | None, entry: uuid.UUID) -> None:
        """A band seen now replaces the one seen before; none seen leaves it."""
        if band is not None:
            self.bird(bird).band = band
            self.bird(bird).banded_by = entry

    def place(self, total: int, sexed: int, entry: uuid.UUID, *, named: int) -> None:
        """So many birds went from the brood into a cage, some of them as hens or cocks, some named one by one."""
        self.placed_from += total
        self.placed_sexed += sexed
        self._know(max(sexed - named, 0))
        self.last_placed = entry

    def place_named(
        self, birds: Some[uuid.UUID], *, cage: uuid.UUID, from_cage: uuid.UUID | None, day: date, entry: uuid.UUID
    ) -> None:
        """These birds stand in `cage` now. A bird that stood in another than they are said to come from is asked
        about on both entries."""
        for id_ in birds:
            bird = self.bird(id_)
            if bird.gone is not None and bird.gone_by is not None:
                self._ask_both("gone_twice", id_, (bird.gone_by, entry), f"Bird %s is {bird.gone} and placed.")
            elif bird.cage is not None and bird.cage != from_cage and bird.placed_by is not None:
                self._ask_both(
                    "bird_in_two_cages",
                    id_,
                    (bird.placed_by, entry),
                    f"Bird %s was put into one cage on {bird.placed_on} and into another on {day}, and "
                    "nobody took it out of the first.",
                )
            bird.stand(cage, day, entry)

    def leave(self, how: str, left: Left, day: date) -> None:
        """Birds died, were processed or sold."""
        self.left.append(left)
        for id_ in left.named:
            bird = self.bird(id_)
            if bird.gone is not None and bird.gone_by is not None:
                detail = f"Bird %s is {bird.gone} already, and {how} now."
                self._ask_both("gone_twice", id_, (bird.gone_by, left.entry), detail)
            bird.go(how, day, left.entry)
        if not left.from_cage:
            self._know(max(left.sexed - len(left.named), 0))

    def _know(self, sexed: int) -> None:
        """So many unnamed hens and cocks went from the brood: first those looked at here, then others that somebody
        knew."""
        here = sum(bird.looked and bird.gone is None and bird.cage is None for bird in self.birds.values())
        meant = min(sexed, max(here - self.looked_away, 0))
        self.looked_away += meant
        self.known_unlooked += sexed - meant

    def _ask_both(self, code: str, bird: uuid.UUID, entries: tuple[uuid.UUID, uuid.UUID], detail: str) -> None:
        self.asked.append(AskedOfBird(code, bird, entries, f"{detail} Strike the entry that is wrong."))

    # What it comes to -----------------------------------------------------------------------------------------

    def numbers(self) -> dict[uuid.UUID, int]:
        """What each bird is called: the number told of it, which never changes. Those of which none was told (a band
        says which they are) take the lowest that nobody told, in the order in which they were first written."""
        told = {bird.number for bird in self.birds.values()}
        free = (number for number in itertools.count(1) if number not in told)
        return {id_: next(free) if bird.number is None else bird.number for id_, bird in self.birds.items()}

    @property
    def questions(self) -> list[Question]:
        """Those about single birds, on both entries of each."""
        numbers = self.numbers() if self.asked else {}
        return [
            Question(entry, asked.code, asked.detail % numbers[asked.bird])
            for asked in self.asked
            for entry in asked.entries
        ]

    def count(self, sex: str) -> int:
        """Birds of that sex, looked at one by one and still here."""
        return sum(bird.sex == sex and bird.gone is None for bird in self.birds.values())

    @property
    def chicks(self) -> int:
        """As written; of a brood out of a setting, those that were seen."""
        if self.values is None:
            return 0
        written: int | None = self.values["chicks"]
        return sum(self.plumage.values()) if written is None else written

    @property
    def alive(self) -> int:
        return self.chicks - sum(left.total for left in self.left)

    @property
    def placed(self) -> int:
        """Birds of it that stand in cages, as far as is known: not those that left a cage by their id."""
        return self.placed_from - sum(left.total for left in self.left if left.from_cage)

    @property
    def looked(self) -> int:
        """Birds ever looked at one by one."""
        return sum(bird.looked for bird in self.birds.values())

    def known_of(self, left: Left) -> int:
        """Of birds that went, those whose sex somebody knew."""
        return min(left.total, max(left.sexed, sum(self.birds[id_].looked for id_ in left.named)))

    @property
    def unlooked(self) -> int:
        """Birds alive whose sex nobody knows. One placed, bought, or gone as a hen or a cock is known, whether or not
        it was looked at one by one. Below zero when more are known than alive: shown so, never clipped."""
        went = sum(self.known_of(left) for left in self.left)
        return self.alive - (max(self.looked + self.known_unlooked, self.bought_sexed) - went)
