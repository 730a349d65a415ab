"""Who stood in a tray's source cage on the days on which its eggs were laid.

A number of a day is the most that stood there at any time of it; of a tray, the least and the most over its days of
lay. Eggs whose day nobody knows say nothing of their parents, and are counted apart.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Collection as Some
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date

from barnbook.barn.models import Farm, Gone, HeadEvent, Parents, Stay, Tray
from barnbook.barn.models.row import changed
from barnbook.barn.standing.subject import tell_gone


@dataclass(frozen=True, slots=True)
class Change:
    """One change of a cage's heads, in the order in which they happened. kind: a HeadEvent.Kind."""

    day: date
    kind: str
    hens: int
    cocks: int


@dataclass(frozen=True, slots=True)
class Stood:
    """A bird known by its id stood in the cage from a day to a day, both in; None: still."""

    bird: uuid.UUID
    from_day: date
    to_day: date | None


@dataclass(frozen=True, slots=True)
class ParentsNow:
    """The parents of a tray, as the row has them."""

    tray: uuid.UUID
    cage: uuid.UUID
    eggs: int
    days_unknown: int
    first_laid: date | None
    last_laid: date | None
    hens_low: int | None
    hens_high: int | None
    cocks_low: int | None
    cocks_high: int | None
    birds: list[str]


def most_on(changes: Iterable[Change], day: date) -> tuple[int, int]:
    """The most hens and the most cocks that stood there at any time of that day."""
    hens = cocks = 0
    most_hens = most_cocks = 0
    begun = False
    for change in changes:
        if change.day > day:
            break
        if change.day == day and not begun:
            begun, most_hens, most_cocks = True, hens, cocks
        match change.kind:
            case HeadEvent.Kind.MOVED_IN:
                hens, cocks = hens + change.hens, cocks + change.cocks
            case HeadEvent.Kind.CHECKED:
                hens, cocks = change.hens, change.cocks
            case _:
                hens, cocks = hens - change.hens, cocks - change.cocks
        if begun:
            most_hens, most_cocks = max(most_hens, hens), max(most_cocks, cocks)
    return (most_hens, most_cocks) if begun else (hens, cocks)


def parents_of(
    laid: Sequence[tuple[date | None, int]],
    changes: Sequence[Change],
    stays: Iterable[Stood],
    *,
    tray: uuid.UUID,
    cage: uuid.UUID,
) -> ParentsNow:
    """laid: (day or None, eggs).  changes, stays: of the source cage."""
    days = sorted(day for day, _ in laid if day is not None)
    stood = [most_on(changes, day) for day in days]
    birds = {
        str(stay.bird)
        for stay in stays
        if any(stay.from_day <= day and (stay.to_day is None or day <= stay.to_day) for day in days)
    }
    return ParentsNow(
        tray=tray,
        cage=cage,
        eggs=sum(eggs for _, eggs in laid),
        days_unknown=sum(eggs for day, eggs in laid if day is None),
        first_laid=days[0] if days else None,
        last_laid=days[-1] if days else None,
        hens_low=min((hens for hens, _ in stood), default=None),
        hens_high=max((hens for hens, _ in stood), default=None),
        cocks_low=min((cocks for _, cocks in stood), default=None),
        cocks_high=max((cocks for _, cocks in stood), default=None),
        birds=sorted(birds),
    )


def see_parents(farm: Farm, settings: Some[uuid.UUID]) -> dict[uuid.UUID, list[ParentsNow]]:
    """The parents of each tray of these settings that has a source cage."""
    trays = list(Tray.objects.of(farm).filter(setting_id__in=settings).exclude(cage=None).order_by("place"))
    cages = {tray.cage for tray in trays if tray.cage is not None}
    changes: dict[uuid.UUID, list[Change]] = defaultdict(list)
    for event in HeadEvent.objects.of(farm).filter(cage__in=cages).order_by("cage", "place"):
        changes[event.cage].append(Change(event.day, event.kind, event.hens, event.cocks))
    stays: dict[uuid.UUID, list[Stood]] = defaultdict(list)
    for stay in Stay.objects.of(farm).filter(cage__in=cages):
        stays[stay.cage].append(Stood(stay.bird, stay.from_day, stay.to_day))
    found: dict[uuid.UUID, list[ParentsNow]] = defaultdict(list)
    for tray in trays:
        assert tray.cage is not None
        laid = [(date.fromisoformat(each["laid_on"]) if each["laid_on"] else None, each["eggs"]) for each in tray.laid]
        of_cage = changes[tray.cage], stays[tray.cage]
        found[tray.setting_id].append(parents_of(laid, *of_cage, tray=tray.tray, cage=tray.cage))
    return found


def lay_parents_down(farm: Farm, wanted: Mapping[uuid.UUID, Sequence[ParentsNow]]) -> None:
    """Make the parents of these settings be `wanted` and no others. Hold the farm's lock, and save its `last_seq`."""
    there = {(row.setting, row.tray): row for row in Parents.objects.of(farm).filter(setting__in=wanted)}
    new, differ = [], []
    for setting, each in wanted.items():
        for parents in each:
            values = asdict(parents)
            row = there.pop((setting, parents.tray), None)
            if row is None:
                new.append(Parents(farm=farm, setting=setting, **values))
            elif any(getattr(row, name) != value for name, value in values.items()):
                for name, value in values.items():
                    setattr(row, name, value)
                differ.append(row)
    changed(farm, new + differ)
    Parents.objects.bulk_create(new)
    fields = [name for name in ParentsNow.__slots__ if name != "tray"]
    Parents.objects.bulk_update(differ, [*fields, "seq"], batch_size=200)
    if there:
        Parents.objects.filter(pk__in=[row.pk for row in there.values()]).delete()
        tell_gone(farm, "parents", sorted(str(row.tray) for row in there.values()))
    if new:
        Gone.objects.of(farm).filter(table="parents", row_id__in=[str(row.tray) for row in new]).delete()
