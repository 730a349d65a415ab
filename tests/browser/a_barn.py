"""A barn of thirty cages with ten mornings behind it, written over the wire; and its sums, done by hand here."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any

import uuid6

from tests.browser.house import Hand, House

CAGES = 30
HENS = 5
STOCKED_DAYS_AGO = 12
OWNER = ("Edda Quarrie", "hens-in-the-rye")


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


def set_up(house: House) -> Barn:
    """Begin an empty book and fill it: a line, thirty stocked cages, and a count on each of ten mornings."""
    hand = Hand(house)
    hand.begin(name=OWNER[0], password=OWNER[1])
    line = str(uuid6.uuid7())
    cages = [str(uuid6.uuid7()) for _ in range(CAGES)]
    codes = [f"{'ABC'[n // 10]}{n % 10 + 1}" for n in range(CAGES)]
    barn = Barn(hand=hand, line=line, cages=cages, codes=codes)
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
    for place, (cage, code) in enumerate(zip(cages, codes, strict=True)):
        where = {"cage": cage, "code": code, "row": code[0], "place": place, "line": line, "closed": False}
        entries.append(hand.entry("cage", long_ago, **where))
        birds = {"cage": cage, "brood": None, "from_cage": None, "hens": HENS, "cocks": 1, "unsexed": 0}
        entries.append(hand.entry("birds_placed", stocked.isoformat(), **birds))
        barn.eggs[cage] = [(place + day) % 3 + 3 for day in range(10)]
        for day, eggs in enumerate(barn.eggs[cage]):
            morning = today() - timedelta(days=10 - day)
            entries.append(hand.entry("egg_count", morning.isoformat(), **count(cage, eggs)))
    hand.push(entries)
    return barn
