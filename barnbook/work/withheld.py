"""Eggs laid within a withdrawal span: by line and day laid, those that may not be sold or eaten, however long after.

Which cages a treatment reaches, and until when, is `waits`'; here its days are laid beside those of the eggs.
"""

from __future__ import annotations

import uuid
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from barnbook.barn.models import EggMove, Farm, Gone, Withdrawal, Withheld
from barnbook.barn.models.row import changed
from barnbook.barn.standing.egg_store import id_of
from barnbook.barn.standing.subject import tell_gone
from barnbook.work.waits import Treatment, moves_since, of_lines, reached

LOOKED_BACK_DAYS = 60  # as far as a phone's egg store reaches


@dataclass(frozen=True, slots=True)
class Span:
    """Days on which no egg of a cage may be sold or eaten, both in."""

    first_day: date
    last_day: date


def egg_spans(farm: Farm, *, since: date) -> dict[uuid.UUID, list[Span]]:
    """The spans of each cage that reach to `since` or beyond."""
    rows = Withdrawal.objects.of(farm).filter(eggs_until__gte=since)
    # Of its eggs alone: what waits longer for meat does not.
    treatments = [Treatment(str(w.pk), w.subject, w.first_day, w.eggs_until, None) for w in rows]
    if not treatments:
        return {}
    moves = moves_since(farm, min(each.first_day for each in treatments))
    lines = of_lines(farm)
    spans: dict[uuid.UUID, list[Span]] = defaultdict(list)
    for each in treatments:
        assert each.eggs_until is not None
        for subject in reached(each, moves, lines.get(each.subject, ())):
            name, _, id_ = subject.partition("/")
            if name == "cage":
                spans[uuid.UUID(id_)].append(Span(each.first_day, each.eggs_until))
    return dict(spans)


def waits_on(spans: Iterable[Span], day: date) -> bool:
    return any(span.first_day <= day <= span.last_day for span in spans)


def see_withheld(farm: Farm, line: uuid.UUID, *, spans: Mapping[uuid.UUID, list[Span]], today: date) -> dict[date, int]:
    """Eggs of the line by day laid that were collected in a cage within one of its spans."""
    found: Counter[date] = Counter()
    if spans:
        rows = EggMove.objects.of(farm).filter(
            line=line,
            how=EggMove.How.COLLECTED,
            cage__in=list(spans),
            laid_on__gte=today - timedelta(days=LOOKED_BACK_DAYS),
        )
        for cage, laid_on, eggs in rows.values_list("cage", "laid_on", "eggs"):
            if cage is not None and laid_on is not None and waits_on(spans[cage], laid_on):
                found[laid_on] += eggs
    return {day: eggs for day, eggs in found.items() if eggs}


def lay_withheld_down(farm: Farm, line: uuid.UUID, wanted: Mapping[date, int]) -> None:
    """Make the line's withheld eggs be `wanted` and no others. Hold the farm's lock, and save its `last_seq`."""
    there = {row.laid_on: row for row in Withheld.objects.of(farm).filter(line=line)}
    new, differ = [], []
    for day, eggs in sorted(wanted.items()):
        row = there.pop(day, None)
        if row is None:
            new.append(Withheld(id=id_of((line, day)), farm=farm, line=line, laid_on=day, eggs=eggs))
        elif row.eggs != eggs:
            row.eggs = eggs
            differ.append(row)
    changed(farm, new + differ)
    Withheld.objects.bulk_create(new)
    Withheld.objects.bulk_update(differ, ["eggs", "seq"])
    if there:
        Withheld.objects.filter(pk__in=[row.pk for row in there.values()]).delete()
        tell_gone(farm, "withheld", sorted(row.pk for row in there.values()))
    if new:
        Gone.objects.of(farm).filter(table="withheld", row_id__in=[row.pk for row in new]).delete()
