"""Until when eggs and meat of which cages, broods and lines must wait for a treatment.

A wait goes with the birds: whoever is moved out of a treated cage or brood between the first day of treatment and the
last of the wait takes it along, from cage to cage. Where moves of one day can be read in two orders, the one that makes
more wait is taken. A cage keeps its wait when its birds have gone: a day too long does no harm, a day too short does.
How long to wait is the owner's and the veterinarian's; nothing here shortens it.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from django.db.models import Q

from barnbook.barn.models import Brood, Cage, Farm, Gone, HeadEvent, Wait, Withdrawal
from barnbook.barn.models.row import changed
from barnbook.barn.standing.subject import tell_gone


@dataclass(frozen=True, slots=True)
class Treatment:
    """A treatment of a subject (`cage/<id>`, `brood/<id>`, `line/<id>`) and its last days of waiting; None: none."""

    id: str
    subject: str
    first_day: date
    eggs_until: date | None
    meat_until: date | None

    @property
    def last_day(self) -> date | None:
        """The last day on which anything waits."""
        return max((day for day in (self.eggs_until, self.meat_until) if day is not None), default=None)


@dataclass(frozen=True, slots=True)
class Move:
    """Birds went on that day from a cage or brood into a cage."""

    day: date
    from_subject: str
    to_subject: str


@dataclass(frozen=True, slots=True)
class WaitNow:
    """The wait of a subject, as the row has it."""

    eggs_until: date | None
    meat_until: date | None
    treatments: list[str]


def reached(treatment: Treatment, moves: Sequence[Move], of_line: Iterable[str] = ()) -> set[str]:
    """The subjects that the treatment's wait reaches. moves: by day.  of_line: cages and broods of a treated line."""
    found = {treatment.subject, *of_line}
    last = treatment.last_day
    if last is None:
        return set()
    during = [move for move in moves if treatment.first_day <= move.day <= last]
    for _, group in groupby(during, key=lambda move: move.day):
        of_day = list(group)
        while more := {move.to_subject for move in of_day if move.from_subject in found} - found:
            found |= more
    return found


def waits_of(
    treatments: Iterable[Treatment], moves: Sequence[Move], *, lines: Mapping[str, Sequence[str]], today: date
) -> dict[str, WaitNow]:
    """The wait of every subject that one of the treatments reaches and whose last day is not over.

    lines: the cages and broods of each line, as subjects.
    """
    by_subject: dict[str, list[Treatment]] = defaultdict(list)
    for treatment in treatments:
        if treatment.last_day is not None and treatment.last_day >= today:
            for subject in reached(treatment, moves, lines.get(treatment.subject, ())):
                by_subject[subject].append(treatment)
    return {
        subject: WaitNow(
            eggs_until=max((each.eggs_until for each in group if each.eggs_until is not None), default=None),
            meat_until=max((each.meat_until for each in group if each.meat_until is not None), default=None),
            treatments=sorted(each.id for each in group),
        )
        for subject, group in by_subject.items()
    }


def see_waits(farm: Farm, *, today: date) -> dict[str, WaitNow]:
    """The waits of the farm, as its barn has them now."""
    rows = Withdrawal.objects.of(farm).filter(Q(eggs_until__gte=today) | Q(meat_until__gte=today))
    treatments = [Treatment(str(w.pk), w.subject, w.first_day, w.eggs_until, w.meat_until) for w in rows]
    if not treatments:
        return {}
    moves = moves_since(farm, min(treatment.first_day for treatment in treatments))
    return waits_of(treatments, moves, lines=of_lines(farm), today=today)


def moves_since(farm: Farm, first_day: date) -> list[Move]:
    """Birds moved into cages from that day on, by day."""
    events = HeadEvent.objects.of(farm).filter(kind=HeadEvent.Kind.MOVED_IN, day__gte=first_day)
    return [
        Move(event.day, f"brood/{event.brood}" if event.brood else f"cage/{event.from_cage}", f"cage/{event.cage}")
        for event in events.exclude(brood=None, from_cage=None).order_by("day")
    ]


def of_lines(farm: Farm) -> dict[str, list[str]]:
    """The cages and broods of each line, as subjects."""
    lines: dict[str, list[str]] = defaultdict(list)
    for name, model in (("cage", Cage), ("brood", Brood)):
        ids: Iterable[tuple[uuid.UUID, uuid.UUID]] = model.objects.of(farm).values_list("pk", "line_id")
        for id_, line in ids:
            lines[f"line/{line}"].append(f"{name}/{id_}")
    return lines


def lay_waits_down(farm: Farm, wanted: Mapping[str, WaitNow]) -> None:
    """Make the farm's waits be `wanted` and no others. Hold the farm's lock, and save its `last_seq`."""
    there = {row.subject: row for row in Wait.objects.of(farm)}
    new, differ = [], []
    for subject, wait in sorted(wanted.items()):
        row = there.pop(subject, None)
        values = (wait.eggs_until, wait.meat_until, wait.treatments)
        if row is None:
            row = Wait(farm=farm, subject=subject)
            new.append(row)
        elif (row.eggs_until, row.meat_until, row.treatments) != values:
            differ.append(row)
        else:
            continue
        row.eggs_until, row.meat_until, row.treatments = values
    changed(farm, new + differ)
    Wait.objects.bulk_create(new)
    Wait.objects.bulk_update(differ, ["eggs_until", "meat_until", "treatments", "seq"], batch_size=200)
    if there:
        Wait.objects.filter(pk__in=[row.pk for row in there.values()]).delete()
        tell_gone(farm, "wait", sorted(there))
    if new:
        Gone.objects.of(farm).filter(table="wait", row_id__in=[row.subject for row in new]).delete()
