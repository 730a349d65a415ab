"""The pages at the house: which there are, when each is reckoned again, and how it is laid down as a row.

A page is of one line, and its subject says so: `laying/<line>`. It is written down to be reckoned once what it stands
on (a cage, a brood, a setting, the line) has been, so that an egg round of thirty cages reckons it once.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from barnbook.barn.models import Brood, Cage, Farm, FigureTable, Gone, Line, Tray
from barnbook.barn.models.row import changed
from barnbook.barn.standing.subject import tell_gone
from barnbook.work.ahead_page import ahead_page, see_ahead
from barnbook.work.bred_figures import line_figures, see_line
from barnbook.work.cages import Reckoned
from barnbook.work.choosing_page import choosing_page, see_choosing
from barnbook.work.cost_page import cost_page
from barnbook.work.costs_seen import see_costs
from barnbook.work.figure_rows import lay_figures_down
from barnbook.work.growth_of_lines import growth_of_line, see_weighings
from barnbook.work.hatching_page import hatching_page, see_hatching
from barnbook.work.laying_page import laying_page, see_laying
from barnbook.work.mating_page import reckon_mating
from barnbook.work.plan_dues import lay_plan_dues_down, reckon_plan_dues
from barnbook.work.promising import lay_promises_down, reckon_promises
from barnbook.work.shipped import see_shipped, shipped_figures
from barnbook.work.true_to_type_page import see_true_to_type, true_to_type_page
from barnbook.work.waiting_page import see_waiting, waiting_page

Body = dict[str, Any]


@dataclass(frozen=True, slots=True)
class HousePage:
    """reckon: from the barn to the page's body.  stands_on: the subjects that move it, by their first word.
    lay: no page, but rows of its own: given farm, line, what came and now."""

    reckon: Callable[[Farm, Line, date], Any]
    stands_on: frozenset[str]
    lay: Callable[[Farm, uuid.UUID, Any, datetime], None] | None = None


def _laying(farm: Farm, line: Line, today: date) -> Body:
    return laying_page(see_laying(farm, line, today=today), today=today)


def _line_figures(farm: Farm, line: Line, today: date) -> Sequence[Reckoned]:
    return line_figures(see_line(farm, line.pk), today=today)


def _lay_line_figures(farm: Farm, line: uuid.UUID, figures: Any, now: datetime) -> None:
    lay_figures_down(farm, {f"line/{line}": figures or ()}, now=now)


def _weighing(farm: Farm, line: Line, today: date) -> Body:
    return growth_of_line(see_weighings(farm, line))


def _lay_promises(farm: Farm, line: uuid.UUID, promises: Any, now: datetime) -> None:
    lay_promises_down(farm, line, promises, now=now)


def _true_to_type(farm: Farm, line: Line, today: date) -> Body:
    return true_to_type_page(see_true_to_type(farm, line))


def _waiting(farm: Farm, line: Line, today: date) -> Body:
    return waiting_page(see_waiting(farm, line, today=today))


def _ahead(farm: Farm, line: Line, today: date) -> Body:
    return ahead_page(see_ahead(farm, line), today=today)


def _lay_plan_dues(farm: Farm, line: uuid.UUID, dues: Any, now: datetime) -> None:
    lay_plan_dues_down(farm, line, dues)


def _hatching(farm: Farm, line: Line, today: date) -> Body:
    return hatching_page(see_hatching(farm, line), today=today)


def _choosing(farm: Farm, line: Line, today: date) -> Body:
    return choosing_page(see_choosing(farm, line))


def _shipped(farm: Farm, line: Line, today: date) -> Sequence[Reckoned]:
    return shipped_figures(see_shipped(farm, line), today=today)


def _lay_shipped(farm: Farm, line: uuid.UUID, figures: Any, now: datetime) -> None:
    lay_figures_down(farm, {f"shipped/{line}": figures or ()}, now=now)


def _cost(farm: Farm, line: Line, today: date) -> Body:
    return cost_page(see_costs(farm, line, today=today))


PAGES: Mapping[str, HousePage] = {
    "store": HousePage(reckon_promises, frozenset({"cage", "line"}), lay=_lay_promises),
    "laying": HousePage(_laying, frozenset({"cage", "line"})),
    "hatching": HousePage(_hatching, frozenset({"setting", "line"})),
    "choosing": HousePage(_choosing, frozenset({"brood", "line"})),
    "true_to_type": HousePage(_true_to_type, frozenset({"brood", "line"})),
    "waiting": HousePage(_waiting, frozenset({"brood", "line"})),
    "ahead": HousePage(_ahead, frozenset({"cage", "brood", "setting", "line"})),
    "mating": HousePage(reckon_mating, frozenset({"brood", "setting", "line"})),
    "plans": HousePage(reckon_plan_dues, frozenset({"setting", "line"}), lay=_lay_plan_dues),
    "cost": HousePage(_cost, frozenset({"setting", "line"})),
    "shipped": HousePage(_shipped, frozenset({"line"}), lay=_lay_shipped),
    "line_figures": HousePage(_line_figures, frozenset({"brood", "setting", "cage", "line"}), lay=_lay_line_figures),
    "weighing": HousePage(_weighing, frozenset({"brood", "line"})),
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


def reckon_page(farm: Farm, subject: str, *, today: date) -> Any:
    """The body of the page, or the figures of the line; None when its line stands no more."""
    page, line = page_of(subject), Line.objects.of(farm).filter(pk=subject.partition("/")[2]).first()
    return page.reckon(farm, line, today) if page is not None and line is not None else None


def lay_page_down(farm: Farm, subject: str, body: Any, *, now: datetime) -> None:
    """Make the page's row be `body`, or be away. Hold the farm's lock, and save its `last_seq`.

    A page that came out the same keeps its place and its time.
    """
    name, _, line = subject.partition("/")
    if (lay := PAGES[name].lay) is not None:
        lay(farm, uuid.UUID(line), body, now)
        return
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
