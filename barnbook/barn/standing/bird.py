"""One bird of a brood: its band, its sex, its weight, where it stands, whether it is still here."""

from __future__ import annotations

import uuid
from dataclasses import dataclass, field
from datetime import date

SEXED = ("hen", "cock", "unsure")


@dataclass(slots=True)
class Stayed:
    """In a cage from a day to a day, both in; to_day None: still."""

    cage: uuid.UUID
    from_day: date
    to_day: date | None = None


@dataclass(slots=True)
class BirdState:
    """One bird as last looked at and weighed.

    number: the one that the phone showed to whoever wrote it, from its first entry that tells one; None: none tells.
    numbered_by, numbered_at: who that was, and when (the entry's stamp): two phones without signal give the same one.
    banded_by, placed_by, gone_by: the entries that put its band on, put it where it stands, and told that it went.
    """

    number: int | None = None
    numbered_by: uuid.UUID | None = None
    numbered_at: int | None = None
    band: str | None = None
    sex: str = "unsexed"
    looked_on: date | None = None
    looked_by: uuid.UUID | None = None
    last_look: uuid.UUID | None = None
    last_weight_g: float | None = None
    weighed_on: date | None = None
    guess: str | None = None
    guessed_by: str | None = None
    guessed_on: date | None = None
    plumage: str | None = None
    decision: str | None = None
    decided_on: date | None = None
    cage: uuid.UUID | None = None
    placed_on: date | None = None
    gone: str | None = None
    gone_on: date | None = None
    banded_by: uuid.UUID | None = None
    placed_by: uuid.UUID | None = None
    gone_by: uuid.UUID | None = None
    stays: list[Stayed] = field(default_factory=list)

    @property
    def looked(self) -> bool:
        return self.sex in SEXED

    def say_number(self, number: int | None, by: uuid.UUID, at: int) -> None:
        """What somebody called it: the first number told stays, whatever is written of it or of others later."""
        if self.number is None and number is not None:
            self.number, self.numbered_by, self.numbered_at = number, by, at

    def stand(self, cage: uuid.UUID, day: date, entry: uuid.UUID) -> None:
        """It stands in that cage from that day on."""
        self._leave_cage(day)
        self.cage, self.placed_on, self.placed_by = cage, day, entry
        self.stays.append(Stayed(cage, day))

    def go(self, how: str, day: date, entry: uuid.UUID) -> None:
        """It died, was processed or sold on that day."""
        self._leave_cage(day)
        self.gone, self.gone_on, self.gone_by = how, day, entry

    def _leave_cage(self, day: date) -> None:
        if self.stays and self.stays[-1].to_day is None:
            self.stays[-1].to_day = day
