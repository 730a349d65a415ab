"""A barn with mornings behind it, written over the wire; and its sums, done by hand here."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any

import uuid6

from tests.browser.house import Hand, House, HouseByHttps

CAGES = 30
HENS = 5
STOCKED_DAYS_AGO = 12
MORNINGS = 10
OWNER = ("Edda Quarrie", "hens-in-the-rye")
HELPER = ("Tam Orrin", "rain-on-the-roof")
MORNING = {"key": "morning", "name": "Morning", "after_lay": False}
EVENING = {"key": "evening", "name": "Evening", "after_lay": True}


def today() -> date:
    """The day that house, phone and farm agree on: all keep UTC here."""
    return datetime.now(UTC).date()


def count(cage: str, eggs: int) -> dict[str, Any]:
    return {"cage": cage, "round": "morning", "eggs": eggs, "cracked": 0, "soiled": 0, "thin_shelled": 0}


@dataclass
class Barn:
    """cages: ids in walking order.  eggs: what each gave on each of the mornings before today, oldest first."""

    hand: Hand
    line: str
    cages: list[str]
    codes: list[str]
    eggs: dict[str, list[int]] = field(default_factory=dict)

    def lay_rate_of_the_last_week(self, cage: str, this_morning: int) -> float:
        """Eggs of the last seven mornings over seven days of five hens: a morning finds the eggs of the day before."""
        return (sum(self.eggs[cage][-6:]) + this_morning) / (7 * HENS)

    def code(self, cage: str) -> str:
        return self.codes[self.cages.index(cage)]

    def walks_twice_a_day(self) -> None:
        farm = {"name": "Three Alders", "zone": "UTC", "weight_unit": "g", "rounds": [MORNING, EVENING]}
        self.hand.push([self.hand.entry("farm", today().isoformat(), **farm)])

    def hatch(self, *, code: str, days_ago: int, chicks: int) -> str:
        """A brood in the book; its id."""
        brood = str(uuid6.uuid7())
        hatched = (today() - timedelta(days=days_ago)).isoformat()
        body = {"brood": brood, "line": self.line, "code": code, "hatched_on": hatched, "chicks": chicks, "note": ""}
        self.hand.push([self.hand.entry("brood", hatched, **body)])
        return brood

    def entries(self, kind: str, *, of_today: bool = True) -> list[dict[str, Any]]:
        """What stands in the book of that kind: neither struck nor waiting."""
        return [
            row
            for row in self.hand.rows("entries")
            if row["kind"] == kind
            and row["state"] == "stands"
            and row["struck_by"] is None
            and (row["day"] == today().isoformat() or not of_today)
        ]

    def counted(self, round_: str = "morning") -> dict[str, int]:
        """What stands as counted today, by the cage's code. A cage with two counts is a mistake here."""
        found = [each["body"] for each in self.entries("egg_count") if each["body"]["round"] == round_]
        counts = {self.code(body["cage"]): body["eggs"] for body in found}
        assert len(counts) == len(found), f"a cage was counted twice: {found}"
        return counts


def set_up(house: House | HouseByHttps, *, cages: int = CAGES, mornings: int = MORNINGS) -> Barn:
    """Begin an empty book and fill it: a line, stocked cages, and a count of each on every morning before today."""
    hand = Hand(house)
    hand.begin(name=OWNER[0], password=OWNER[1])
    line = str(uuid6.uuid7())
    ids = [str(uuid6.uuid7()) for _ in range(cages)]
    codes = [f"{'ABC'[n // 10]}{n % 10 + 1}" for n in range(cages)]
    barn = Barn(hand=hand, line=line, cages=ids, codes=codes)
    stocked = today() - timedelta(days=STOCKED_DAYS_AGO)
    long_ago = (stocked - timedelta(days=1)).isoformat()
    described = {
        "line": line,
        "name": "Slate Barrow",
        "other_names": [],
        "egg_low_g": 15.0,
        "egg_high_g": 16.0,
        "weighing_age_days": 56,
        "sexing_from_day": 42,
        "sexing_to_day": 56,
        "note": "",
    }
    entries = [hand.entry("line", long_ago, **described)]
    for place, (cage, code) in enumerate(zip(ids, codes, strict=True)):
        where = {"cage": cage, "code": code, "row": code[0], "place": place, "line": line, "closed": False}
        entries.append(hand.entry("cage", long_ago, **where))
        birds = {"cage": cage, "brood": None, "from_cage": None, "hens": HENS, "cocks": 1, "unsexed": 0}
        entries.append(hand.entry("birds_placed", stocked.isoformat(), **birds))
        barn.eggs[cage] = [(place + day) % 3 + 3 for day in range(mornings)]
        for day, eggs in enumerate(barn.eggs[cage]):
            morning = today() - timedelta(days=mornings - day)
            entries.append(hand.entry("egg_count", morning.isoformat(), **count(cage, eggs)))
    hand.push(entries)
    return barn
