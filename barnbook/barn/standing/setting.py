"""A setting and its trays: eggs set, candled, locked down, hatched."""

from __future__ import annotations

import uuid
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from barnbook.barn.models import EggMove, Farm, Gone, Setting, Tray
from barnbook.barn.models.row import changed
from barnbook.barn.standing.egg_moves import Move, lay_moves_down
from barnbook.barn.standing.subject import Question, Stored, Subject, asked_by, lay_down, parts, tell_gone


@dataclass(frozen=True, slots=True)
class Candled:
    """One candling: what it found among the eggs still in the tray. clear and dead_early are among the read."""

    entry: uuid.UUID
    day: date
    read: int
    clear: int
    dead_early: int
    unread: int
    broken: int
    removed: int

    @property
    def taken_out(self) -> int:
        return self.clear + self.dead_early + self.broken + self.removed

    @property
    def looked_at(self) -> int:
        return self.read + self.unread + self.broken + self.removed


@dataclass(frozen=True, slots=True)
class Hatched:
    """What came out of a tray since the last look."""

    entry: uuid.UUID
    day: date
    hatched: int
    pipped_dead: int
    dead_in_shell: int

    @property
    def total(self) -> int:
        return self.hatched + self.pipped_dead + self.dead_in_shell


@dataclass(slots=True)
class Found:
    """All that was found in one tray."""

    candlings: list[Candled] = field(default_factory=list)
    hatchings: list[Hatched] = field(default_factory=list)

    @property
    def entries(self) -> list[uuid.UUID]:
        return [*(each.entry for each in self.candlings), *(each.entry for each in self.hatchings)]

    @property
    def read(self) -> int:
        """Eggs that could be read at last: those of the last candling, and those taken out by earlier ones as clear or
        dead. So an egg too dark on day 7 and read on day 14 is read once."""
        if not self.candlings:
            return 0
        *earlier, last = self.candlings
        return last.read + sum(each.clear + each.dead_early for each in earlier)

    def sum(self, name: str) -> int:
        return sum(getattr(each, name) for each in self.candlings)


@dataclass(slots=True)
class SettingState:
    """values: code, incubator, set_on, note; None when no `eggs_set` stands (then nothing else counts).

    trays: each with tray, name, line, cage, laid, in the order written. found: by tray, also for trays that are none.
    """

    values: dict[str, Any] | None = None
    trays: list[dict[str, Any]] = field(default_factory=list)
    found: dict[uuid.UUID, Found] = field(default_factory=dict)
    locked_down_on: date | None = None
    chicks_seen: int = 0
    written_by: uuid.UUID | None = None
    stamp: int = 0
    last_seen: uuid.UUID | None = None

    def of(self, tray: uuid.UUID) -> Found:
        return self.found.setdefault(tray, Found())

    @property
    def eggs(self) -> int:
        return sum(tray["eggs"] for tray in self.trays)

    @property
    def hatched(self) -> int:
        return sum(each.hatched for tray in self.trays for each in self.of(tray["tray"]).hatchings)

    @property
    def all_hatched(self) -> bool:
        return bool(self.trays) and all(self.of(tray["tray"]).hatchings for tray in self.trays)

    @property
    def questions(self) -> list[Question]:
        if self.values is None or self.written_by is None:
            return []
        return [*self._no_such_tray(), *self._more_than_set(), *self._more_chicks_seen()]

    def _no_such_tray(self) -> Iterator[Question]:
        own = {tray["tray"] for tray in self.trays}
        for tray, found in self.found.items():
            if tray not in own:
                for entry in found.entries:
                    detail = "This setting has no such tray, so it counts for nothing. Strike it, or set the eggs anew."
                    yield Question(entry, "no_such_tray", detail)

    def _more_than_set(self) -> Iterator[Question]:
        for tray in self.trays:
            found, left, before = self.of(tray["tray"]), tray["eggs"], self.written_by
            for candling in found.candlings:
                if candling.looked_at > left:
                    yield from _both(
                        "more_eggs_than_set",
                        before,
                        candling.entry,
                        f"{candling.looked_at} eggs of tray {tray['name']} were candled, but {left} were in it.",
                    )
                left, before = left - candling.taken_out, candling.entry
            for hatching in found.hatchings:
                if hatching.total > left:
                    yield from _both(
                        "more_chicks_than_eggs",
                        before,
                        hatching.entry,
                        f"{hatching.total} came out of tray {tray['name']}, but {left} eggs were left in it.",
                    )
                left, before = left - hatching.total, hatching.entry

    def _more_chicks_seen(self) -> Iterator[Question]:
        if self.last_seen is None:
            return
        hatchings = [each for tray in self.trays for each in self.of(tray["tray"]).hatchings]
        if self.chicks_seen > self.eggs:
            detail = f"{self.chicks_seen} chicks were seen, but only {self.eggs} eggs were set."
            yield from _both("more_chicks_than_eggs", self.written_by, self.last_seen, detail)
        elif self.all_hatched and self.chicks_seen > self.hatched:
            detail = f"{self.chicks_seen} chicks were seen, but {self.hatched} hatched."
            last = max(hatchings, key=lambda each: (each.day, each.entry))
            yield from _both("more_chicks_than_eggs", last.entry, self.last_seen, detail)


def _both(code: str, one: uuid.UUID | None, other: uuid.UUID, detail: str) -> Iterator[Question]:
    for entry in (one, other):
        if entry is not None:
            yield Question(entry, code, detail + " Count again, or strike what is wrong.")


def _values(state: SettingState) -> dict[str, Any] | None:
    if state.values is None:
        return None
    found = [state.of(tray["tray"]) for tray in state.trays]
    return {
        **state.values,
        "eggs": state.eggs,
        "trays": len(state.trays),
        "candled": sum(bool(each.candlings) for each in found),
        "locked_down_on": state.locked_down_on,
        "hatched": state.hatched,
        "hatched_trays": sum(bool(each.hatchings) for each in found),
        "chicks_seen": state.chicks_seen,
    }


def _tray_values(tray: Mapping[str, Any], found: Found, place: int) -> dict[str, Any]:
    hatchings = found.hatchings
    return {
        "place": place,
        "name": tray["name"],
        "line": tray["line"],
        "cage": tray["cage"],
        "laid": tray["laid"],
        "eggs": tray["eggs"],
        "read": found.read,
        "clear": found.sum("clear"),
        "dead_early": found.sum("dead_early"),
        "unread": found.candlings[-1].unread if found.candlings else 0,
        "broken": found.sum("broken"),
        "removed": found.sum("removed"),
        "left": tray["eggs"] - sum(each.taken_out for each in found.candlings),
        "candled_on": found.candlings[-1].day if found.candlings else None,
        "hatched": sum(each.hatched for each in hatchings),
        "pipped_dead": sum(each.pipped_dead for each in hatchings),
        "dead_in_shell": sum(each.dead_in_shell for each in hatchings),
        "hatched_on": hatchings[-1].day if hatchings else None,
    }


def store(farm: Farm, states: Mapping[str, SettingState]) -> Stored:
    by_setting = {uuid.UUID(parts(key)[0]): state for key, state in states.items()}
    wanted = {
        (id_, tray["tray"]): _tray_values(tray, state.of(tray["tray"]), place)
        for id_, state in by_setting.items()
        if state.values is not None
        for place, tray in enumerate(state.trays)
    }
    there = {(row.setting_id, row.tray): row for row in Tray.objects.of(farm).filter(setting_id__in=by_setting)}
    gone_trays = [row for key, row in there.items() if key not in wanted]
    if gone_trays:
        Tray.objects.of(farm).filter(pk__in=[row.pk for row in gone_trays]).delete()
        # The same id in another setting is a mistake; the row that is left is told anew.
        left = list(Tray.objects.of(farm).filter(tray__in={row.tray for row in gone_trays}))
        Tray.objects.bulk_update(changed(farm, left), ["seq"], batch_size=200)
        tell_gone(farm, "tray", sorted({str(row.tray) for row in gone_trays} - {str(row.tray) for row in left}))
    settings = {id_: _values(state) for id_, state in by_setting.items()}
    new, _, gone = lay_down(farm, model=Setting, table="setting", wanted=settings)
    _lay_trays_down(farm, wanted, there)
    return Stored(
        appeared={f"setting/{i}" for i in new},
        vanished={f"setting/{i}" for i in gone},
        reckon={f"setting/{i}" for i in by_setting},
        questions=[each for key, state in states.items() for each in asked_by(key, state.questions)],
        askers=set(states),
        eggs=lay_moves_down(farm, {key: _moves(state) for key, state in states.items()}),
    )


def _moves(state: SettingState) -> list[Move]:
    """The eggs set, out of the store: each tray's, by line and day laid."""
    if state.values is None or state.written_by is None:
        return []
    eggs: Counter[tuple[uuid.UUID, str | None]] = Counter()
    for tray in state.trays:
        for each in tray["laid"]:
            eggs[tray["line"], each["laid_on"]] += each["eggs"]
    return [
        Move(
            entry=state.written_by,
            day=state.values["set_on"],
            stamp=state.stamp,
            how=EggMove.How.SET,
            eggs=number,
            line=line,
            laid_on=date.fromisoformat(laid_on) if laid_on else None,
        )
        for (line, laid_on), number in eggs.items()
    ]


def _lay_trays_down(
    farm: Farm,
    wanted: Mapping[tuple[uuid.UUID, uuid.UUID], Mapping[str, Any]],
    there: Mapping[tuple[uuid.UUID, uuid.UUID], Tray],
) -> None:
    new, differ, fields = [], [], set()
    for (setting, tray), values in wanted.items():
        row = there.get((setting, tray))
        if row is None:
            new.append(Tray(farm=farm, setting_id=setting, tray=tray, **values))
        elif moved := {name: value for name, value in values.items() if getattr(row, name) != value}:
            fields |= set(moved)
            for name, value in moved.items():
                setattr(row, name, value)
            differ.append(row)
    changed(farm, new + differ)
    Tray.objects.bulk_create(new)
    if differ:
        Tray.objects.bulk_update(differ, [*sorted(fields), "seq"], batch_size=200)
    if new:
        Gone.objects.of(farm).filter(table="tray", row_id__in=[str(row.tray) for row in new]).delete()


def wipe(farm: Farm) -> None:
    Tray.objects.of(farm).delete()
    Setting.objects.of(farm).delete()


SUBJECT = Subject(name="setting", empty=lambda key: SettingState(), store=store, wipe=wipe)
