"""The pages at the house: which there are, when each is reckoned again, and how it is laid down as a row.

A page is of one line, and its subject says so: `laying/<line>`. It is written down to be reckoned once what it stands
on (a cage, a brood, a setting, the line) has been, so that an egg round of thirty cages reckons it once.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from barnbook.barn.models import Brood, Cage, Farm, FigureTable, Gone, Line, Tray
from barnbook.barn.models.row import changed
from barnbook.barn.standing.subject import tell_gone
from barnbook.work.laying_page import laying_page, see_laying

Body = dict[str, Any]


@dataclass(frozen=True, slots=True)
class HousePage:
    """reckon: from the barn to the page's body.  stands_on: the subjects that move it, by their first word."""

    reckon: Callable[[Farm, Line, date], Body]
    stands_on: frozenset[str]


def _laying(farm: Farm, line: Line, today: date) -> Body:
    return laying_page(see_laying(farm, line, today=today), today=today)


PAGES: Mapping[str, HousePage] = {
    "laying": HousePage(_laying, frozenset({"cage", "line"})),
}


def page_of(subject: str) -> HousePage | None:
    """The page that a subject names; None for any other subject."""
    return PAGES.get(subject.partition("/")[0])


def pages_moved_by(farm: Farm, subjects: Iterable[str]) -> set[str]:
    """The pages that must be reckoned again once these subjects were."""
    lines: dict[str, set[uuid.UUID]] = {"cage": set(), "brood": set(), "setting": set(), "line": set()}
    for subject in subjects:
        name, _, id_ = subject.partition("/")
        if name in lines:
            lines[name].add(uuid.UUID(id_))
    of = {
        "cage": _lines_of(Cage.objects.of(farm).filter(pk__in=lines["cage"]), "line_id"),
        "brood": _lines_of(Brood.objects.of(farm).filter(pk__in=lines["brood"]), "line_id"),
        "setting": _lines_of(Tray.objects.of(farm).filter(setting__in=lines["setting"]), "line"),
        "line": lines["line"],
    }
    return {f"{name}/{line}" for name, page in PAGES.items() for word in page.stands_on for line in of[word]}


def _lines_of(rows: Any, field: str) -> set[uuid.UUID]:
    return {line for line in rows.values_list(field, flat=True).distinct().order_by() if line is not None}


def reckon_page(farm: Farm, subject: str, *, today: date) -> Body | None:
    """The body of the page; None when its line stands no more."""
    page, line = page_of(subject), Line.objects.of(farm).filter(pk=subject.partition("/")[2]).first()
    return page.reckon(farm, line, today) if page is not None and line is not None else None


def lay_page_down(farm: Farm, subject: str, body: Body | None, *, now: datetime) -> None:
    """Make the page's row be `body`, or be away. Hold the farm's lock, and save its `last_seq`.

    A page that came out the same keeps its place and its time.
    """
    there = FigureTable.objects.of(farm).filter(subject=subject).first()
    if body is None:
        if there is not None:
            there.delete()
            tell_gone(farm, "figure_table", [subject])
        return
    if there is not None and there.body == body:
        return
    row = there or FigureTable(farm=farm, subject=subject)
    row.body, row.computed_at = body, now
    changed(farm, [row])
    row.save()
    if there is None:
        Gone.objects.of(farm).filter(table="figure_table", row_id=subject).delete()
