"""Which column of a notebook holds what: matched by the words of its heading, then set right by the person."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from enum import StrEnum

from barnbook.sheets.cells import DayOrder, day_order, needs_an_order
from barnbook.sheets.table import Table


class What(StrEnum):
    """What the rows of a sheet are."""

    EGG_COUNTS = "egg_counts"
    EGG_WEIGHTS = "egg_weights"
    BIRD_WEIGHTS = "bird_weights"
    HATCHES = "hatches"


# field -> whether a row must have it
FIELDS: dict[What, dict[str, bool]] = {
    What.EGG_COUNTS: {
        "day": True,
        "cage": True,
        "eggs": True,
        "round": False,
        "cracked": False,
        "soiled": False,
        "thin_shelled": False,
    },
    What.EGG_WEIGHTS: {"day": True, "cage": True, "weight": True, "eggs": False},
    What.BIRD_WEIGHTS: {"day": True, "band": True, "weight": True},
    What.HATCHES: {
        "hatched_on": True,
        "line": True,
        "hatched": True,
        "code": False,
        "set_on": False,
        "eggs_set": False,
        "cage": False,
        "clear": False,
        "dead_in_shell": False,
        "note": False,
    },
}

WORDS: dict[str, tuple[str, ...]] = {
    "day": ("day", "date", "collected on", "weighed on", "day collected"),
    "cage": ("cage", "pen", "cage code", "cage no", "pen no"),
    "eggs": ("eggs", "count", "egg count", "eggs found", "collected", "number of eggs", "total"),
    "round": ("round", "time of day", "collection"),
    "cracked": ("cracked", "broken"),
    "soiled": ("soiled", "dirty"),
    "thin_shelled": ("thin shelled", "thin shell", "soft shell", "soft shelled", "thin"),
    "weight": ("weight", "egg weight", "live weight", "body weight", "wt", "grams", "ounces", "g", "oz"),
    "band": ("band", "ring", "leg band", "band no", "ring no", "band number", "bird"),
    "line": ("line", "strain", "variety"),
    "code": ("brood", "hatch", "batch", "brood code", "brood no"),
    "hatched_on": ("hatched on", "hatch date", "hatch day", "date hatched", "day hatched"),
    "hatched": ("hatched", "chicks", "chicks hatched", "number hatched"),
    "set_on": ("set on", "set date", "date set", "day set"),
    "eggs_set": ("eggs set", "set", "number set"),
    "clear": ("clear", "clears", "infertile"),
    "dead_in_shell": ("dead in shell", "dis", "not hatched"),
    "note": ("note", "notes", "remark", "remarks"),
}
UNIT_WORDS = {"g": {"g", "gr", "gram", "grams"}, "oz": {"oz", "ounce", "ounces"}}


@dataclass(frozen=True, slots=True)
class Plan:
    """How a sheet is read.

    columns: field -> index of its column.  across: indices of the columns that are cages, in a sheet of egg counts
    with one row a day.  unit: of weights whose cell does not say, None when nothing says it.  order: of days written
    in three numbers, None when it is not known (or does not matter).
    """

    what: What
    columns: dict[str, int] = field(default_factory=dict)
    across: tuple[int, ...] = ()
    unit: str | None = None
    order: DayOrder | None = None
    round: str | None = None

    def missing(self) -> list[str]:
        """The fields that each row must have and that no column holds."""
        needed = [name for name, must in FIELDS[self.what].items() if must and name not in self.columns]
        return [name for name in needed if not (self.across and name in ("cage", "eggs"))]

    @property
    def day_columns(self) -> list[int]:
        return [self.columns[name] for name in ("day", "hatched_on", "set_on") if name in self.columns]


def plain(heading: str) -> str:
    """A heading's words alone: 'Egg Weight (g)' gives 'egg weight g'."""
    return " ".join(re.findall(r"[a-z0-9]+", heading.lower()))


def matched(table: Table, *, cages: frozenset[str]) -> Plan:
    """The plan that the headings speak for. cages: the codes of the book's cages, in small letters."""
    across = tuple(n for n, word in enumerate(table.columns) if word.strip().lower() in cages)
    best = max((_matched_as(what, table) for what in What), key=_how_well)
    if len(across) >= 2 and len(across) > len(best.columns) - 1:
        day = {"day": best.columns["day"]} if "day" in best.columns else _matched_as(What.EGG_COUNTS, table).columns
        columns = {name: n for name, n in day.items() if name in ("day", "round") and n not in across}
        best = Plan(What.EGG_COUNTS, columns, across)
    return with_order(table, best)


def with_order(table: Table, plan: Plan) -> Plan:
    """The same plan with the order of days that its columns show, where they show one. Raises CellError."""
    cells = [row.cells[n] for n in plan.day_columns for row in table.rows]
    order = plan.order if not needs_an_order(cells) else day_order(cells) or plan.order
    return Plan(plan.what, plan.columns, plan.across, plan.unit, order, plan.round)


def _matched_as(what: What, table: Table) -> Plan:
    columns: dict[str, int] = {}
    unit = None
    for name in FIELDS[what]:
        for n, heading in enumerate(table.columns):
            words = plain(heading)
            if n in columns.values() or not words:
                continue
            bare = _without_unit(words)
            if words in WORDS[name] or (bare and bare in WORDS[name]):
                columns[name] = n
                if name == "weight":
                    unit = _unit(words)
                break
    return Plan(what, columns, (), unit)


def _how_well(plan: Plan) -> tuple[int, int, int]:
    return -len(plan.missing()), len(plan.columns), -len(FIELDS[plan.what])


def _without_unit(words: str) -> str:
    units = UNIT_WORDS["g"] | UNIT_WORDS["oz"]
    return " ".join(word for word in words.split() if word not in units)


def _unit(words: str) -> str | None:
    named = [unit for unit, known in UNIT_WORDS.items() if known & set(words.split())]
    return named[0] if len(named) == 1 else None
