"""The birds of a cage, counted: moved in, moved out, died, checked."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from barnbook.barn.models import Cage, Farm, HeadEvent, Tray, Withdrawal
from barnbook.barn.models.row import changed
from barnbook.barn.standing.subject import Question, Stored, Subject, asked_by, parts

SEXES = ("hens", "cocks", "unsexed")


@dataclass(frozen=True, slots=True)
class Heads:
    """A number of birds by sex."""

    hens: int
    cocks: int
    unsexed: int

    def __add__(self, other: Heads) -> Heads:
        return Heads(self.hens + other.hens, self.cocks + other.cocks, self.unsexed + other.unsexed)

    def __sub__(self, other: Heads) -> Heads:
        return Heads(self.hens - other.hens, self.cocks - other.cocks, self.unsexed - other.unsexed)

    @property
    def total(self) -> int:
        return self.hens + self.cocks + self.unsexed


NOBODY = Heads(0, 0, 0)


@dataclass(frozen=True, slots=True)
class Happened:
    """One change of the head count, with the entry that told of it."""

    kind: HeadEvent.Kind
    day: date
    heads: Heads
    entry: uuid.UUID
    brood: uuid.UUID | None = None
    from_cage: uuid.UUID | None = None


@dataclass(slots=True)
class CageHeads:
    """stocked_on: the day since which there have been birds without a break; None when it stands empty.

    A head check says what is there, and resets the count; the others add and take away. A count below zero is
    kept as it is and asked about.
    """

    now: Heads = NOBODY
    stocked_on: date | None = None
    events: list[Happened] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)

    def happened(self, event: Happened) -> None:
        before = self.now
        match event.kind:
            case HeadEvent.Kind.MOVED_IN:
                self.now = before + event.heads
            case HeadEvent.Kind.MOVED_OUT | HeadEvent.Kind.DIED:
                self.now = before - event.heads
            case HeadEvent.Kind.CHECKED:
                self.now = event.heads
        self.events.append(event)
        if before.total <= 0 < self.now.total:
            self.stocked_on = event.day
        elif self.now.total <= 0:
            self.stocked_on = None
        self._ask_when_below_zero(before, event)

    def _ask_when_below_zero(self, before: Heads, event: Happened) -> None:
        for sex in SEXES:
            had, has = getattr(before, sex), getattr(self.now, sex)
            if has < 0 and has < had:
                detail = (
                    f"This leaves the cage with {has} {sex}: it held {had} before. "
                    "Check the cage and write a head check, or strike the entry that is wrong."
                )
                self.questions += [
                    Question(entry, "below_zero", detail) for entry in (self._told_before(sex), event.entry) if entry
                ]

    def _told_before(self, sex: str) -> uuid.UUID | None:
        """The entry before the last that said how many of that sex there are, or took some: one of the two is wrong."""
        told = (e for e in reversed(self.events[:-1]) if getattr(e.heads, sex) or e.kind == HeadEvent.Kind.CHECKED)
        return next((each.entry for each in told), None)


def store(farm: Farm, states: Mapping[str, CageHeads]) -> Stored:
    by_cage = {uuid.UUID(parts(key)[0]): state for key, state in states.items()}
    HeadEvent.objects.of(farm).filter(cage__in=by_cage).delete()
    HeadEvent.objects.bulk_create(
        HeadEvent(
            farm=farm,
            cage=cage,
            place=place,
            day=event.day,
            kind=event.kind,
            hens=event.heads.hens,
            cocks=event.heads.cocks,
            unsexed=event.heads.unsexed,
            brood=event.brood,
            from_cage=event.from_cage,
            entry=event.entry,
        )
        for cage, state in by_cage.items()
        for place, event in enumerate(state.events)
    )
    differ = []
    for id_, cage in Cage.objects.of(farm).in_bulk(list(by_cage)).items():
        state = by_cage[id_]
        new = (state.now.hens, state.now.cocks, state.now.unsexed, state.stocked_on)
        if (cage.hens, cage.cocks, cage.unsexed, cage.stocked_on) != new:
            cage.hens, cage.cocks, cage.unsexed, cage.stocked_on = new
            differ.append(cage)
    changed(farm, differ)
    Cage.objects.bulk_update(differ, ["hens", "cocks", "unsexed", "stocked_on", "seq"], batch_size=200)
    parents_of = Tray.objects.of(farm).filter(cage__in=by_cage).values_list("setting_id", flat=True)
    # Treated birds take their wait along.
    waits = {f"waits/{farm.pk}"} if Withdrawal.objects.of(farm).exists() else set()
    return Stored(
        reckon={f"cage/{cage}" for cage in by_cage} | {f"setting/{setting}" for setting in parents_of} | waits,
        questions=[each for key, state in states.items() for each in asked_by(key, state.questions)],
        askers=set(states),
    )


def wipe(farm: Farm) -> None:
    HeadEvent.objects.of(farm).delete()


SUBJECT = Subject(name="heads", empty=lambda key: CageHeads(), store=store, wipe=wipe)
