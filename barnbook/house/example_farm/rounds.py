"""Laying and counting: what the hens lay each day, and what the people who walk past the cages write of it."""

from __future__ import annotations

from datetime import date
from random import Random
from typing import Any

from barnbook.house.example_farm import hens as true_hens
from barnbook.house.example_farm import story
from barnbook.house.example_farm.barn import Barn, Standing
from barnbook.house.example_farm.broods import LINES
from barnbook.house.example_farm.hens import Named
from barnbook.house.example_farm.heredity import Pairing
from barnbook.house.example_farm.pen import HOUR, MINUTE, Pen
from barnbook.house.example_farm.truth import CageDay

OLD_HEN_DAYS = 400  # from this age on more shells are thin
SATURDAY, WEDNESDAY = 5, 2


class Rounds:
    """Every day of the book: a round in the morning, then the day's lay."""

    def __init__(self, pen: Pen, barn: Barn, *, heat: tuple[date, date], seed: int) -> None:
        self.pen, self.barn, self.heat, self.seed = pen, barn, heat, seed
        self.luck = Random(f"{seed}:rounds")
        self._counted_first = 0  # of the cage that two people counted

    # The round -------------------------------------------------------------------------------------------------

    def walk(self, day: int) -> None:
        """The morning's round; on a day when nobody walked the eggs stay where they lie."""
        for cage in self.barn.cages.values():
            cage.died_today = 0
        if day == story.LOST_UNSEEN[1]:
            self.barn.cages[story.LOST_UNSEEN[0]].hens.pop()  # nobody writes it: the book counts her until a check
        if day in story.NOBODY_WALKED:
            return
        who = walker(day, self.pen.date(day))
        at = 6.5 * HOUR + self.luck.random() * 50 * MINUTE
        for cage in self.barn.cages.values():
            at += self.luck.uniform(12, 26)
            self._at_cage(cage, day, at, who)
        self._clear_up(day, at + 2 * MINUTE, who)
        if day in story.HEAD_CHECKS:
            self._check_heads(day, at + 30 * MINUTE, who)
        self._weigh_eggs(day, at + 70 * MINUTE, who)

    def _at_cage(self, cage: Standing, day: int, at: float, who: str) -> None:
        if self._passed_over(cage, day):
            reason = cage.luck.choice(story.PASSED_BECAUSE)
            self.pen.write(who, "cage_passed", day=day, at=at, cage=cage.id, round=story.ROUND, reason=reason)
            return
        self._count(cage, day, at, who)
        self._find_dead(cage, day, at + 5, who)
        for code, noted_on, author, text in story.NOTES:
            if (code, noted_on) == (cage.code, day):
                self.pen.write(author, "cage_note", day=day, at=at + 8, cage=cage.id, text=text)

    def _passed_over(self, cage: Standing, day: int) -> bool:
        """By chance; but not where a story needs the count, nor while the head count has just changed."""
        needed = any(cage.code in place and day in place for place in story_places())
        drawn = cage.luck.random() < story.PASSED_SHARE
        return drawn and not needed and day - cage.last_change > 2

    def _count(self, cage: Standing, day: int, at: float, who: str) -> None:
        body = self._count_body(cage, day)
        cage.waiting = 0
        cage.sound[day - 1] = body["eggs"] - body["cracked"] - body["soiled"] - body["thin_shelled"]
        if (cage.code, day) == story.TYPED_WRONG[:2]:
            wrong = self._write_count(cage, day, at - 9, who, {"eggs": story.TYPED_WRONG[2]})
            self.pen.write(who, "strike", day=day, at=at - 4, entry=wrong, why="Tapped twice.")
        if (cage.code, day) == (story.WRONG_CAGE[0], story.WRONG_CAGE[2]):
            wrong = self._write_count(cage, day, at - 9, who, {"eggs": body["eggs"] + 1})
            why = f"This was {story.WRONG_CAGE[1]}."
            self.pen.write(who, "strike", day=day, at=at - 4, entry=wrong, why=why)
        self._write_count(cage, day, at, who, body)
        if (cage.code, day) == story.COUNTED_TWICE:
            self._counted_first = body["eggs"]

    def _write_count(self, cage: Standing, day: int, at: float, who: str, body: dict[str, int]) -> str:
        whole = {"cage": cage.id, "round": story.ROUND, "eggs": 0, "cracked": 0, "soiled": 0, "thin_shelled": 0}
        return self.pen.write(who, "egg_count", day=day, at=at, **(whole | body))

    def _count_body(self, cage: Standing, day: int) -> dict[str, int]:
        """Every egg that lies there, each of at most one class."""
        thin = story.THIN
        if cage.hens and day - cage.hens[0].hatched > OLD_HEN_DAYS:
            thin = story.THIN_OLD
        if true_hens.in_heat(self.pen.date(day - 1), self.heat):
            thin = story.THIN_IN_HEAT
        found = {"eggs": cage.waiting, "cracked": 0, "soiled": 0, "thin_shelled": 0}
        for _ in range(cage.waiting):
            share = cage.luck.random()
            for name, part in (("cracked", story.CRACKED), ("soiled", story.SOILED), ("thin_shelled", thin)):
                if share < part:
                    found[name] += 1
                    break
                share -= part
        return found

    def _find_dead(self, cage: Standing, day: int, at: float, who: str) -> None:
        """A hen whose day came; at most one at a time, never the last two, and not just after a move."""
        stated = day in story.HENS_DIED.get(cage.code, ())
        due = [hen for hen in cage.hens if hen.dies <= day] or (cage.hens[:1] if stated else [])
        if due and (stated or (len(cage.hens) > 2 and day - cage.last_change > 3)):
            cage.hens.remove(due[0])
            cage.died_today, cage.last_change = 1, day
            self._write_dead(cage, day, at, who, "hens", due[0].named)
        if story.COCKS_DIED.get(cage.code) == day:
            self._write_dead(cage, day, at + 1, who, "cocks", cage.cocks.pop().named)

    def _write_dead(self, cage: Standing, day: int, at: float, who: str, sex: str, bird: Named | None) -> None:
        note = "In the heat." if true_hens.in_heat(self.pen.date(day), self.heat) else ""
        body: dict[str, Any] = {"cage": cage.id, "brood": None, "hens": 0, "cocks": 0, "unsexed": 0, sex: 1}
        self.pen.write(who, "found_dead", day=day, at=at, **body, birds=[bird] if bird else [], note=note)

    # After the round -------------------------------------------------------------------------------------------

    def _clear_up(self, day: int, at: float, who: str) -> None:
        """The second count of a cage that somebody else has counted already: nobody has settled it yet."""
        code, twice_on = story.COUNTED_TWICE
        if day == twice_on:
            cage = self.barn.cages[code]
            other = story.TOBY if who == story.WILMA else story.WILMA
            eggs = self._counted_first - 1 if self._counted_first > 0 else 1
            self._write_count(cage, day, at + 20 * MINUTE, other, {"eggs": eggs})

    def _check_heads(self, day: int, at: float, who: str) -> None:
        for place, cage in enumerate(self.barn.cages.values()):
            body: dict[str, Any] = {"cage": cage.id, "hens": len(cage.hens), "cocks": len(cage.cocks), "unsexed": 0}
            self.pen.write(who, "head_check", day=day, at=at + 25 * place, **body)

    def _weigh_eggs(self, day: int, at: float, who: str) -> None:
        """Each cage once a month, on a day of its own: egg by egg in every third cage, else all at once."""
        for place, cage in enumerate(self.barn.cages.values()):
            line = LINES[cage.plan.line]
            laid = cage.days[-1].laid if cage.days else 0
            if (day + 7 * place) % story.EGG_WEIGHING_EACH_DAYS or laid == 0:
                continue
            grown = 0.94 + 0.06 * min(1.0, max(0, day - cage.hens[0].hatched - 45) / 120)
            eggs = [cage.luck.gauss(line.egg_g * grown, line.egg_sd_g) for _ in range(laid)]
            weighings = [[egg] for egg in eggs] if place % 3 == 0 else [eggs]
            for weighed in weighings:
                at += 15
                grams = round(sum(weighed), 1)
                typed = {"value": f"{grams:.1f}", "unit": "g"}
                body: dict[str, Any] = {"cage": cage.id, "eggs": len(weighed), "grams": grams, "typed": typed}
                self.pen.write(who, "egg_weight", day=day, at=at, **body)

    # The lay ---------------------------------------------------------------------------------------------------

    def lay(self, day: int) -> None:
        """What the hens lay in the afternoon; a hen found dead that morning has laid nothing more."""
        weather = true_hens.weather(self.pen.date(day), self.heat)
        for cage in self.barn.cages.values():
            here = weather
            if cage.code == story.FELL_OFF and day >= story.FELL_OFF_ON:
                here *= story.FELL_OFF_TO
            chances = [hen.chance(day) * here for hen in cage.hens]
            laid = sum(hen.luck.random() < chance for hen, chance in zip(cage.hens, chances, strict=True))
            cage.waiting += laid
            hens, cocks = ([bird.breeding_g for bird in birds] for birds in (cage.hens, cage.cocks))
            cage.paired[day] = Pairing(tuple(hens), tuple(cocks))
            cage.days.append(CageDay(len(cage.hens) + cage.died_today, sum(chances), laid))


def walker(day: int, date_: date) -> str:
    """Who walks: Toby at the weekend, Ansel every other Wednesday and through the holidays, Wilma else."""
    if day in story.HOLIDAYS:
        return story.ANSEL
    if day == story.WRONG_CAGE[2] or date_.weekday() >= SATURDAY:
        return story.TOBY
    if date_.weekday() == WEDNESDAY and date_.isocalendar().week % 2 == 0:
        return story.ANSEL
    return story.WILMA


def story_places() -> tuple[tuple[object, ...], ...]:
    """Where and when a story needs its count: tuples that hold the cage's code and the day."""
    return (
        story.TYPED_WRONG,
        story.WRONG_CAGE,
        story.COUNTED_TWICE,
        *((code, day) for code, day, _, _ in story.NOTES),
        *((code, *days) for code, days in story.HENS_DIED.items()),
        *story.COCKS_DIED.items(),
    )
