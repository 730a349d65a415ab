"""Dues of a brood: to be sexed, its unsure birds to be looked at again, to be weighed; the end of its
quarantine.

Drawn as soon as the first day is at most 120 days ahead (ruling 7): a phone that was away still shows what came of age
meanwhile. Whether a due is open or late is the phone's to judge, by its own date.
"""

from __future__ import annotations

import uuid
from collections.abc import Collection as Some
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import F, Max, Sum

from barnbook.barn.models import BatchWeighing, Bird, Brood, Due, Farm, Line
from barnbook.barn.models.row import changed
from barnbook.barn.standing.subject import tell_gone
from barnbook.figures.sexing import FROM_DAY, TO_DAY, look_again, sexing_window

AHEAD_DAYS = 120
LOOK_AGAIN_WITHIN_DAYS = 7  # as long again as was waited; common practice, no source

# A weight up to so many days off is brought to the standard age (barnbook.figures.growth); further off it is not.
WEIGHED_WITHIN_DAYS = 7
WEIGHING_KEPT_DAYS = 14  # so long after its last day a weighing that was left out is still shown; then it is of no use
WEIGHING_AGE_DAYS = 56
QUARANTINE_KEPT_DAYS = 7  # so long after its last day the end of a quarantine is still shown

SEXING = "sexing"
LOOK_AGAIN = "look_again"
WEIGHING = "weighing"
QUARANTINE = "quarantine"


@dataclass(frozen=True, slots=True)
class BroodSeen:
    """What the barn knows of a brood: when it hatched, its line's sexing days, who is still to be looked at.

    last_unsure: the last day on which a bird that is unsure now was looked at; None when none is.
    unweighed: birds alive that were not weighed at the line's weighing age, a week before it at the earliest.
    quarantine_until: the last day on which birds bought in stand apart; None for others.
    """

    hatched_on: date
    from_day: int
    to_day: int
    unlooked: int
    unsure: int
    last_unsure: date | None
    weighing_age_days: int
    unweighed: int
    alive: int
    quarantine_until: date | None


@dataclass(frozen=True, slots=True)
class DueNow:
    """A due as it should stand. days: first and last; None: as they were, for work of which nothing is left."""

    work: str
    left: int
    days: tuple[date, date] | None


def see_broods(farm: Farm, ids: Some[uuid.UUID]) -> dict[uuid.UUID, BroodSeen]:
    """Those of the broods that stand, as the barn has them now."""
    broods = Brood.objects.of(farm).in_bulk(list(ids))
    lines = Line.objects.of(farm).in_bulk({brood.line_id for brood in broods.values()})
    unsure = Bird.objects.of(farm).filter(brood_id__in=broods, sex="unsure", gone=None).order_by()
    last_unsure = dict(unsure.values("brood_id").annotate(last=Max("looked_on")).values_list("brood_id", "last"))
    seen = {}
    for id_, brood in broods.items():
        line = lines.get(brood.line_id)
        weighing_age_days = line.weighing_age_days if line else WEIGHING_AGE_DAYS
        seen[id_] = BroodSeen(
            hatched_on=brood.hatched_on,
            from_day=line.sexing_from_day if line else FROM_DAY,
            to_day=line.sexing_to_day if line else TO_DAY,
            unlooked=brood.unlooked,
            unsure=brood.unsure,
            last_unsure=last_unsure.get(id_),
            weighing_age_days=weighing_age_days,
            unweighed=brood.alive - _weighed(farm, brood, weighing_age_days),
            alive=brood.alive,
            quarantine_until=brood.quarantine_until,
        )
    return seen


def _weighed(farm: Farm, brood: Brood, weighing_age_days: int) -> int:
    """Birds of the brood weighed since a week before the weighing age: those alive by their ids, and those together."""
    since = brood.hatched_on + timedelta(days=weighing_age_days - WEIGHED_WITHIN_DAYS)
    alone = Bird.objects.of(farm).filter(brood=brood, gone=None, weighed_on__gte=since).count()
    together = BatchWeighing.objects.of(farm).filter(brood=brood.pk, day__gte=since)
    in_batches: int = together.aggregate(birds=Sum(F("hens") + F("cocks") + F("unsexed")))["birds"] or 0
    return alone + in_batches


def dues_of(brood: BroodSeen, *, today: date) -> list[DueNow]:
    """What is due of the brood. today: the farm's calendar day."""
    window = sexing_window(brood.hatched_on, from_day=brood.from_day, to_day=brood.to_day)
    found = []
    if window.first_day <= today + timedelta(days=AHEAD_DAYS):
        found.append(DueNow(SEXING, max(brood.unlooked, 0), (window.first_day, window.last_day)))
    if brood.unsure > 0 and brood.last_unsure is not None:
        first = look_again(brood.last_unsure)
        found.append(DueNow(LOOK_AGAIN, brood.unsure, (first, first + timedelta(days=LOOK_AGAIN_WITHIN_DAYS))))
    else:
        found.append(DueNow(LOOK_AGAIN, 0, None))
    weighed_from = brood.hatched_on + timedelta(days=brood.weighing_age_days)
    weighed_to = weighed_from + timedelta(days=WEIGHED_WITHIN_DAYS)
    if weighed_from <= today + timedelta(days=AHEAD_DAYS) and today <= weighed_to + timedelta(days=WEIGHING_KEPT_DAYS):
        found.append(DueNow(WEIGHING, max(brood.unweighed, 0), (weighed_from, weighed_to)))
    until = brood.quarantine_until
    if until is not None and until - timedelta(days=AHEAD_DAYS) <= today <= until + timedelta(
        days=QUARANTINE_KEPT_DAYS
    ):
        found.append(DueNow(QUARANTINE, max(brood.alive, 0), (until, until)))
    return found


def lay_dues_down(farm: Farm, wanted: Mapping[str, Sequence[DueNow]]) -> None:
    """Make the dues of these subjects be `wanted` and no others. Hold the farm's lock, and save its `last_seq`."""
    there = {(row.subject, row.work): row for row in Due.objects.of(farm).filter(subject__in=list(wanted))}
    new, differ = [], []
    for subject, dues in wanted.items():
        for due in dues:
            row = there.pop((subject, due.work), None)
            if row is None and due.days is None:
                continue  # nothing is left of what was never drawn
            if row is None:
                row = Due(farm=farm, subject=subject, work=due.work)
                new.append(row)
            elif _days(row, due) != (row.first_day, row.last_day) or row.left != due.left:
                differ.append(row)
            else:
                continue
            row.first_day, row.last_day = _days(row, due)
            row.left, row.done = due.left, due.left == 0
    changed(farm, new + differ)
    Due.objects.bulk_create(new)
    Due.objects.bulk_update(differ, ["first_day", "last_day", "left", "done", "seq"], batch_size=200)
    if there:
        Due.objects.filter(pk__in=[row.pk for row in there.values()]).delete()
        tell_gone(farm, "due", sorted(str(row.pk) for row in there.values()))


def _days(row: Due, due: DueNow) -> tuple[date, date]:
    return due.days or (row.first_day, row.last_day)
