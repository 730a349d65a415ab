"""A notebook kept in a spreadsheet, read as entries of the book: what each row would write, or why it cannot.

Nothing is written here. A row with anything wrong in it gives no entry at all, and is listed with its reason.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from typing import Any

from barnbook.barn.models import Farm, Person
from barnbook.journal.envelope import Refusal, read
from barnbook.journal.kinds import KINDS
from barnbook.journal.models import Entry
from barnbook.sheets.cells import CellError, read_count, read_day, read_weight
from barnbook.sheets.columns import Plan, What
from barnbook.sheets.row_ids import Times, row_id
from barnbook.sheets.table import Row, Table, UnreadableSheetError
from barnbook.sheets.what_stands import WhatStands

# No bird of this size lays or weighs more or less: a number outside is most likely in the other unit, or mistyped.
# Common practice, no source; wide, since a stranger bird may yet come.
EGG_G = (3.0, 30.0)
BIRD_G = (4.0, 600.0)
AT_A_TIME = 500
MOST_ENTRIES = 50_000


@dataclass(frozen=True, slots=True)
class BadRow:
    """number: of the row as the spreadsheet shows it.  column: its heading, "" when the row as a whole is wrong."""

    number: int
    column: str
    reason: str


@dataclass(frozen=True, slots=True)
class Draft:
    """An entry that a row would write."""

    number: int
    entry: dict[str, Any]


@dataclass(slots=True)
class Reading:
    """A sheet as it would come into the book.

    already: ids of drafts that are in the book.  doubtful: rows that would be written, and that Today would ask about.
    """

    plan: Plan
    rows: int
    drafts: list[Draft] = field(default_factory=list)
    bad: list[BadRow] = field(default_factory=list)
    doubtful: list[BadRow] = field(default_factory=list)
    already: set[str] = field(default_factory=set)

    @property
    def fresh(self) -> list[Draft]:
        return [each for each in self.drafts if each.entry["id"] not in self.already]

    @property
    def agreement(self) -> str:
        """What a person agrees to: these entries and no others, whether or not some came into the book meanwhile."""
        return hashlib.sha256("\n".join(each.entry["id"] for each in self.drafts).encode()).hexdigest()


class _RowError(Exception):
    def __init__(self, column: str, reason: str) -> None:
        super().__init__(reason)
        self.column = column
        self.reason = reason


def read_notebook(table: Table, plan: Plan, *, farm: Farm, author: Person, today: date) -> Reading:
    """Read every row of the table by the plan. today: in the farm's zone; no row may lie after it.

    Raises UnreadableSheetError where it would write more than MOST_ENTRIES.
    """
    stands = WhatStands.of(farm)
    pen = _Pen(table, plan, farm, author, today, stands)
    reading = Reading(plan, len(table.rows))
    if plan.missing():
        return reading
    counted: dict[tuple[str, date, str], int] = {}
    for row in table.rows:
        pen.times.new_row()
        try:
            entries = list(pen.entries(row))
            for entry in entries:
                _check(entry)
        except _RowError as wrong:
            pen.times.forget_the_row()
            reading.bad.append(BadRow(row.number, wrong.column, wrong.reason))
            continue
        reading.drafts.extend(Draft(row.number, entry) for entry in entries)
        if len(reading.drafts) > MOST_ENTRIES:
            raise UnreadableSheetError(f"This sheet would write more than {MOST_ENTRIES:,} entries. Split it by year.")
        if plan.what is What.EGG_COUNTS:
            reading.doubtful.extend(_twice(row, entries, stands, counted, farm))
    reading.already = _in_the_book(farm, [each.entry["id"] for each in reading.drafts])
    known = {each.number for each in reading.drafts if each.entry["id"] in reading.already}
    reading.doubtful = [each for each in reading.doubtful if each.number not in known]
    return reading


def _check(entry: dict[str, Any]) -> None:
    """By the journal's own reading: what it would refuse is refused here, before anybody agrees."""
    found = read(entry)
    if isinstance(found, Refusal):
        raise _RowError("", found.detail.removesuffix(" Mend it and write it again."))


def _twice(
    row: Row, entries: list[dict[str, Any]], stands: WhatStands, counted: dict[tuple[str, date, str], int], farm: Farm
) -> Iterator[BadRow]:
    for entry in entries:
        body = entry["body"]
        place = (body["cage"], date.fromisoformat(entry["day"]), body["round"])
        where = f"cage {stands.code_of[body['cage']]} on {entry['day']}"
        if place in counted:
            reason = f"row {counted[place]} counts {where} in the same round: both would stand, and Today would ask"
            yield BadRow(row.number, "", reason)
        elif place in stands.counts(place[1].year):
            reason = f"the book has a count of {where} in this round already: both would stand, and Today would ask"
            yield BadRow(row.number, "", reason)
        counted.setdefault(place, row.number)


def _in_the_book(farm: Farm, ids: list[str]) -> set[str]:
    found: set[str] = set()
    for start in range(0, len(ids), AT_A_TIME):
        known = Entry.objects.of(farm).filter(pk__in=ids[start : start + AT_A_TIME]).values_list("pk", flat=True)
        found.update(str(pk) for pk in known)
    return found


@dataclass(slots=True)
class _Pen:
    """Writes the entries of one row after the other."""

    table: Table
    plan: Plan
    farm: Farm
    author: Person
    today: date
    stands: WhatStands
    times: Times = field(default_factory=Times)

    def entries(self, row: Row) -> Iterator[dict[str, Any]]:
        write: dict[What, Callable[[Row], Iterator[dict[str, Any]]]] = {
            What.EGG_COUNTS: self._egg_counts_across if self.plan.across else self._egg_count,
            What.EGG_WEIGHTS: self._egg_weight,
            What.BIRD_WEIGHTS: self._bird_weight,
            What.HATCHES: self._hatch,
        }
        return write[self.plan.what](row)

    # the kinds of rows -------------------------------------------------------------------------------------------

    def _egg_count(self, row: Row) -> Iterator[dict[str, Any]]:
        cage = self._cage(row)
        not_sound = {name: self._count(row, name, 0) for name in ("cracked", "soiled", "thin_shelled")}
        body = {"cage": cage, "round": self._round(row), "eggs": self._count(row, "eggs"), **not_sound}
        yield self._entry("egg_count", self._day(row, "day"), body)

    def _egg_counts_across(self, row: Row) -> Iterator[dict[str, Any]]:
        """One row a day, one column a cage; an empty cell is a cage not counted."""
        day, round_ = self._day(row, "day"), self._round(row)
        for n in self.plan.across:
            if row.cells[n] is None:
                continue
            heading = self.table.columns[n]
            eggs = self._reading(heading, lambda n=n: read_count(row.cells[n]))  # type: ignore[misc]
            cage = self.stands.cages[heading.strip().lower()]
            body = {"cage": cage, "round": round_, "eggs": eggs, "cracked": 0, "soiled": 0, "thin_shelled": 0}
            yield self._entry("egg_count", day, body)

    def _egg_weight(self, row: Row) -> Iterator[dict[str, Any]]:
        eggs = self._count(row, "eggs", 1)
        grams, typed = self._weight(row, EGG_G, among=max(eggs, 1), of="an egg")
        body = {"cage": self._cage(row), "eggs": eggs, "grams": grams, "typed": typed}
        yield self._entry("egg_weight", self._day(row, "day"), body)

    def _bird_weight(self, row: Row) -> Iterator[dict[str, Any]]:
        band = str(self._cell(row, "band") or "").removesuffix(".0")
        birds = self.stands.banded.get(band.lower(), [])
        if len(birds) != 1:
            known = "no living bird" if not birds else f"{len(birds)} living birds"
            raise _RowError(self._heading("band"), f"{known} of the book wear band '{band[:40]}': band the bird first")
        bird, brood = birds[0]
        grams, typed = self._weight(row, BIRD_G, among=1, of="a bird")
        body = {"bird": bird, "brood": brood, "number": None, "band": None, "grams": grams, "typed": typed}
        yield self._entry("bird_weight", self._day(row, "day"), body)

    def _hatch(self, row: Row) -> Iterator[dict[str, Any]]:
        """A brood; and the setting that it came of, where the row says what was set and when."""
        line_name = str(self._cell(row, "line") or "")
        line = self.stands.lines.get(line_name.lower())
        if line is None:
            raise _RowError(self._heading("line"), f"the book has no line '{line_name[:40]}': make it first")
        hatched_on, hatched = self._day(row, "hatched_on"), self._count(row, "hatched")
        code = str(self._cell(row, "code") or "").removesuffix(".0") or f"{hatched_on:%y-%m-%d}"
        note = str(self._cell(row, "note") or "")
        said = {"line": line, "code": code, "hatched_on": hatched_on.isoformat()}
        brood = str(row_id(self.farm.pk, "brood", said, self.times.of(said)))
        if self._cell(row, "eggs_set") is None or self._cell(row, "set_on") is None:
            if hatched == 0:
                raise _RowError(self._heading("hatched"), "no chick hatched: give the day and the number of eggs set")
            body = {"brood": brood, **said, "chicks": hatched, "note": note}
            yield self._entry("brood", hatched_on, body)
            return
        yield from self._setting(row, brood, said, hatched=hatched, note=note)

    def _setting(
        self, row: Row, brood: str, said: dict[str, Any], *, hatched: int, note: str
    ) -> Iterator[dict[str, Any]]:
        set_on, eggs = self._day(row, "set_on"), self._count(row, "eggs_set")
        hatched_on = date.fromisoformat(said["hatched_on"])
        if set_on >= hatched_on:
            raise _RowError(self._heading("set_on"), f"the eggs were set on {set_on}, not before they hatched")
        dead = self._count(row, "dead_in_shell", 0)
        clear = None if self._cell(row, "clear") is None else self._count(row, "clear")
        if hatched + dead + (clear or 0) > eggs:
            raise _RowError(
                self._heading("eggs_set"), f"{hatched} hatched, {dead} dead and {clear or 0} clear: more than {eggs}"
            )
        setting, tray = (str(row_id(self.farm.pk, what, brood)) for what in ("setting", "tray"))
        cage = self._cage(row) if self._cell(row, "cage") is not None else None
        of = {"setting": setting, "tray": tray}
        laid = [{"laid_on": None, "eggs": eggs}]
        trays = [{"tray": tray, "name": "1", "line": said["line"], "cage": cage, "eggs": laid}]
        set_ = {"setting": setting, "code": said["code"], "incubator": "", "set_on": set_on.isoformat()}
        yield self._entry("eggs_set", set_on, {**set_, "trays": trays, "note": note})
        if clear is not None:
            found = {"read": eggs, "clear": clear, "dead_early": 0, "unread": 0, "broken": 0, "removed": 0, "note": ""}
            yield self._entry("candled", hatched_on, {**of, **found})
        out = {"hatched": hatched, "pipped_dead": 0, "dead_in_shell": dead, "note": ""}
        yield self._entry("hatched", hatched_on, {**of, **out})
        if hatched:
            body = {"brood": brood, "setting": setting, "trays": [tray], **said, "note": ""}
            yield self._entry("brood_hatched", hatched_on, body)
            yield self._entry(
                "chicks_seen", hatched_on, {"brood": brood, "setting": setting, "plumage": None, "chicks": hatched}
            )

    # cells -------------------------------------------------------------------------------------------------------

    def _heading(self, name: str) -> str:
        return self.table.columns[self.plan.columns[name]] if name in self.plan.columns else ""

    def _cell(self, row: Row, name: str) -> Any:
        return row.cells[self.plan.columns[name]] if name in self.plan.columns else None

    @staticmethod
    def _reading(heading: str, how: Callable[[], Any]) -> Any:
        try:
            return how()
        except CellError as wrong:
            raise _RowError(heading, str(wrong)) from None

    def _day(self, row: Row, name: str) -> date:
        cell, order, zero = self._cell(row, name), self.plan.order, self.table.day_zero
        day: date = self._reading(self._heading(name), lambda: read_day(cell, order, zero))
        if day > self.today:
            raise _RowError(self._heading(name), f"{day} lies in the future")
        return day

    def _count(self, row: Row, name: str, otherwise: int | None = None) -> int:
        cell = self._cell(row, name)
        if cell is None and otherwise is not None:
            return otherwise
        count: int = self._reading(self._heading(name), lambda: read_count(cell))
        return count

    def _cage(self, row: Row) -> str:
        code = str(self._cell(row, "cage") or "").removesuffix(".0")
        cage = self.stands.cages.get(code.lower())
        if cage is None:
            raise _RowError(self._heading("cage"), f"the book has no cage '{code[:40]}': make it first, or correct it")
        return cage

    def _round(self, row: Row) -> str:
        said = str(self._cell(row, "round") or "").strip()
        key = self.stands.rounds.get(said.lower()) if said else self.plan.round or next(iter(self.stands.round_keys))
        if key is None:
            known = ", ".join(each["name"] for each in self.farm.rounds)
            raise _RowError(self._heading("round"), f"the farm has no round '{said[:40]}': it has {known}")
        return key

    def _weight(self, row: Row, plausible: tuple[float, float], *, among: int, of: str) -> tuple[float, dict[str, str]]:
        grams, typed, unit = self._reading(
            self._heading("weight"), lambda: read_weight(self._cell(row, "weight"), self.plan.unit)
        )
        if not plausible[0] <= grams / among <= plausible[1]:
            raise _RowError(
                self._heading("weight"),
                f"{grams / among:.4g} g is no weight of {of}: if it was the other unit, write {typed} with g or oz",
            )
        return grams, {"value": typed, "unit": unit}

    def _entry(self, kind: str, day: date, body: dict[str, Any]) -> dict[str, Any]:
        said = {"kind": kind, "day": day.isoformat(), "body": body}
        noon = datetime.combine(day, time(12), tzinfo=UTC)
        return {
            "id": str(row_id(self.farm.pk, said, self.times.of(said))),
            "author": str(self.author.pk),
            "device_seq": 0,
            "kind": kind,
            "version": KINDS[kind].version,
            "day": day.isoformat(),
            "stamp": int(noon.timestamp() * 1000),
            "zone": self.farm.zone,
            "body": body,
        }
