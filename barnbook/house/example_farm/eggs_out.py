"""Eggs out of the example farm's store: eaten and sold, and hatching eggs sent to invented customers.

Read from the entries that were written before: sound eggs come in by line and day laid, settings take theirs; what is
here taken out was really there. Eggs of a treated cage are thrown away.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from barnbook.house.example_farm import story
from barnbook.house.example_farm.barn import Barn
from barnbook.house.example_farm.pen import HOUR, Draft, Pen

NOON, PACKING, CLEARING, POST = 12.0 * HOUR, 19.0 * HOUR, 19.6 * HOUR, 7.8 * HOUR
KEPT_DAYS = 7
SUNDAY = 6
BOX_HOLDS = 24


@dataclass(frozen=True, slots=True)
class CustomerStory:
    """Somebody who is sent eggs. Invented; stands outside the journal."""

    key: str
    name: str
    contact: str


CUSTOMERS = (
    CustomerStory("mara", "Mara Ellwood", "Ellwood's Holding, by letter"),
    CustomerStory("jonas", "Jonas Piet", "jonas.piet@example.org"),
    CustomerStory("school", "Thistlecombe School", "the farm class, room 4"),
    CustomerStory("ruth", "Ruth Abernathy-Cole", "ruth@example.org"),
)


@dataclass(frozen=True, slots=True)
class OrderStory:
    """taken, wanted, promised, packed, sent, withdrawn: days counted from today; None: not (yet)."""

    customer: str | None
    line: str
    eggs: int
    taken: int
    wanted: int
    promised: int | None = None
    packed: int | None = None
    sent: int | None = None
    withdrawn: int | None = None
    packing: str = "foam"


def _sent(number: int, day: int) -> OrderStory:
    """One of the orders of the last half year that came to their end."""
    line = ("dun", "brown", "cream")[number % 3]
    customer = CUSTOMERS[number % len(CUSTOMERS)].key
    eggs = (48, 24, 36, 24)[number % 4]
    packing = ("foam", "pulp")[number % 2]
    return OrderStory(customer, line, eggs, day - 9, day + 1, day, day - 1, day, packing=packing)


ORDERS = (
    *(_sent(number, -205 + 12 * number) for number in range(16)),
    OrderStory("jonas", "dun", 24, -30, -20, promised=-20, withdrawn=-24),
    OrderStory("ruth", "brown", 24, -12, 0, promised=0, packed=-1),
    OrderStory("mara", "dun", 36, -8, 3, promised=3),
    OrderStory("school", "cream", 24, -5, 6, promised=6),
    OrderStory(None, "brown", 48, -2, 12),
    OrderStory("jonas", "cream", 150, -1, 5),
)

Place = tuple[str, date]


@dataclass(slots=True)
class _Store:
    """Eggs by line and day laid; held: those of them that a treatment holds back."""

    eggs: Counter[Place] = field(default_factory=Counter)
    held: Counter[Place] = field(default_factory=Counter)

    def of(self, line: str, *, day: date, past: bool) -> list[tuple[Place, int]]:
        """What may go out, the oldest first: within its days, or past them."""
        found = []
        for place, eggs in sorted(self.eggs.items(), key=lambda each: each[0][1]):
            age, free = (day - place[1]).days, eggs - self.held[place]
            if place[0] == line and free > 0 and age >= 1 and (age > KEPT_DAYS) == past:
                found.append((place, free))
        return found


def send_eggs_out(pen: Pen, barn: Barn, *, customers: dict[str, str]) -> None:
    """Write the orders, the boxes and what was eaten. customers: their ids, by key. After all else was written."""
    before = _standing(pen.in_order())
    store = _Store()
    coming: dict[date, list[tuple[Place, int, bool]]] = {}
    for place, eggs, held, on in [*_collected(before, barn, pen), *_set(before)]:
        coming.setdefault(on, []).append((place, eggs, held))
    numbers = {"order": 0, "box": 0}
    orders = {each: pen.new_id(each.taken, NOON) for each in ORDERS}
    codes: dict[OrderStory, str] = {}
    for day in range(story.FIRST_DAY, 1):
        today = pen.date(day)
        for place, eggs, held in coming.get(today, ()):
            store.eggs[place] += eggs
            store.held[place] += eggs if held else 0
        for each in ORDERS:
            if each.taken == day:
                numbers["order"] += 1
                codes[each] = f"{today:%y}-{numbers['order']:02d}"
                _take(pen, barn, each, orders[each], codes[each], customers)
            if each.withdrawn == day:
                body = {"order": orders[each], "why": "Found eggs nearer by."}
                pen.write(story.WILMA, "order_withdrawn", day=day, at=NOON, **body)
            if each.packed == day:
                numbers["box"] += 1
                _pack(pen, barn, store, each, orders[each], f"P{today:%y}-{numbers['box']:02d}", customers)
        if today.weekday() == SUNDAY and day < 0:
            _clear(pen, barn, store, day)


def _standing(drafts: Iterable[Draft]) -> list[Draft]:
    """Those that were not struck."""
    drafts = list(drafts)
    struck = {draft.body["entry"] for draft in drafts if draft.kind == "strike"}
    return [draft for draft in drafts if draft.id not in struck]


def _collected(drafts: Iterable[Draft], barn: Barn, pen: Pen) -> Iterable[tuple[Place, int, bool, date]]:
    """Sound eggs by line and day laid; of two counts of one round the later holds."""
    counts: dict[tuple[str, date], Draft] = {}
    lines: dict[str, str] = {}
    for draft in drafts:
        if draft.kind == "egg_count":
            counts[draft.body["cage"], draft.day] = draft
        elif draft.kind == "cage":
            lines[draft.body["cage"]] = draft.body["line"]
    waits = {barn.cages[code].id: (pen.date(first), pen.date(eggs)) for code, _, first, _, eggs, _ in story.TREATED}
    for (cage, on), draft in counts.items():
        body, laid = draft.body, on - timedelta(days=1)
        sound = body["eggs"] - body["cracked"] - body["soiled"] - body["thin_shelled"]
        first, last = waits.get(cage, (date.max, date.min))
        if sound:
            yield (lines[cage], laid), sound, first <= laid <= last, on


def _set(drafts: Iterable[Draft]) -> Iterable[tuple[Place, int, bool, date]]:
    """Eggs that were set, out of the store from the morning on which they came: nobody else gets them."""
    settings = {draft.body["setting"]: draft for draft in drafts if draft.kind == "eggs_set"}
    for draft in settings.values():
        for tray in draft.body["trays"]:
            for each in tray["eggs"]:
                if each["laid_on"] is not None:
                    laid = date.fromisoformat(each["laid_on"])
                    yield (tray["line"], laid), -each["eggs"], False, laid + timedelta(days=1)


def _take(pen: Pen, barn: Barn, each: OrderStory, order: str, code: str, customers: dict[str, str]) -> None:
    pen.write(
        story.WILMA,
        "order_taken",
        day=each.taken,
        at=NOON,
        order=order,
        code=code,
        customer=customers[each.customer] if each.customer else None,
        line=barn.lines[each.line],
        eggs=each.eggs,
        wanted_by=pen.date(each.wanted).isoformat(),
        oldest_days=None,
        note="",
    )
    if each.promised is not None:
        body: dict[str, Any] = {"order": order, "eggs": each.eggs, "for_day": pen.date(each.promised).isoformat()}
        pen.write(story.WILMA, "promised", day=each.taken, at=NOON + 60, **body, sure=0.9)


def _pack(
    pen: Pen, barn: Barn, store: _Store, each: OrderStory, order: str, code: str, customers: dict[str, str]
) -> None:
    """The oldest within their days; as many as there are."""
    assert each.packed is not None
    left, eggs = each.eggs, []
    for place, there in store.of(barn.lines[each.line], day=pen.date(each.packed), past=False):
        taken = min(left, there)
        if taken:
            eggs.append({"order": order, "line": place[0], "laid_on": place[1].isoformat(), "eggs": taken})
            store.eggs[place] -= taken
            left -= taken
    if not eggs:
        return
    shipment = pen.new_id(each.packed, PACKING)
    pen.write(
        story.WILMA,
        "packed",
        day=each.packed,
        at=PACKING,
        shipment=shipment,
        code=code,
        customer=customers[each.customer] if each.customer else None,
        eggs=eggs,
        boxes=-(-(each.eggs - left) // BOX_HOLDS),
        box_holds=BOX_HOLDS,
        packing=each.packing,
        note="",
    )
    if each.sent is not None:
        pen.write(story.WILMA, "sent", day=each.sent, at=POST, shipment=shipment, by="post", note="")
        _report(pen, each, shipment, sent=each.eggs - left, line=barn.lines[each.line])


# What came of a hundred eggs set at each customer's; one of them seldom writes back.
HATCHED_OF_100 = {"mara": 74, "jonas": 58, "school": 66, "ruth": 71}
REPORTED_AFTER_DAYS = 21


def _report(pen: Pen, each: OrderStory, shipment: str, *, sent: int, line: str) -> None:
    """The reply slip of those who wrote back, three weeks later."""
    assert each.sent is not None
    day, luck = each.sent + REPORTED_AFTER_DAYS, each.sent % 7
    if day > -1 or each.customer is None or (each.customer == "school" and luck < 5):
        return
    broken = luck % 3 if each.packing == "foam" else 1 + luck % 4
    hatched = (sent - broken) * (HATCHED_OF_100[each.customer] + 3 * (luck - 3)) // 100
    said = [
        {"line": line, "broken": broken, "set": sent - broken, "clear": None, "hatched": hatched, "chicks": list[Any]()}
    ]
    pen.write(story.WILMA, "hatch_reported", day=day, at=NOON + 300, shipment=shipment, lines=said, slip=True)


def _clear(pen: Pen, barn: Barn, store: _Store, day: int) -> None:
    """On Sundays what is past its days goes to the kitchen or the gate; what a treatment holds back is thrown away."""
    today = pen.date(day)
    old = [each for line in barn.lines.values() for each in store.of(line, day=today, past=True)]
    held = [(place, eggs) for place, eggs in sorted(store.held.items(), key=str) if eggs > 0]
    how = "sold_to_eat" if today.isocalendar().week % 2 else "eaten"
    for at, (what, eggs) in enumerate(((how, old), ("thrown_away", held))):
        if eggs:
            body = [{"line": line, "laid_on": laid.isoformat(), "eggs": number} for (line, laid), number in eggs]
            pen.write(story.WILMA, "eggs_out", day=day, at=CLEARING + at, how=what, eggs=body[:200], note="")
        for place, number in eggs[:200]:
            store.eggs[place] -= number
            store.held[place] = 0 if what == "thrown_away" else store.held[place]
