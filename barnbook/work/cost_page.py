"""Cost at the house: what a dozen eggs, a chick, a bird at the weighing age and a kilogram dressed cost, by month.

    feed         fed, not bought: kg fed in the month at the price of a kg, which is what was paid over what was bought
                 in the three months up to its end; else the last price before, else the one told for the line
    laying       feed of the cages, shared by bird-days in the cages that it went to (hens and cocks alike)
    hatching     shared by eggs set
    rearing      shared by chicks put up; feed only of the brood itself
    processing   shared by birds processed

An egg set costs a twelfth of a dozen of its month; a chick put up what chicks of the month cost in which its eggs were
set; a bird processed what the birds of its brood cost. So a cost that is not known is not known further on, either.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

from barnbook.barn.models import Outlay
from barnbook.figures.cost import Cost, Expense, cost_of_bird, cost_of_chick, cost_of_dozen, cost_of_kg_dressed
from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason
from barnbook.work.costs_seen import CostsSeen, Reared, first_of, last_of
from barnbook.work.shown import shown, six

SHOWN_MONTHS = 12
PRICE_MONTHS = 3


@dataclass(slots=True)
class _Book:
    """The costs reckoned so far. unit: the currency in which they are."""

    seen: CostsSeen
    unit: str
    dozen: dict[date, Cost] = field(default_factory=dict)
    chick: dict[date, Cost] = field(default_factory=dict)
    bird: dict[date, Cost] = field(default_factory=dict)
    birds: dict[uuid.UUID, float] = field(default_factory=dict)


def cost_page(seen: CostsSeen) -> dict[str, Any]:
    """The page of one line; see docs/wire.md. Without any outlay it has no month."""
    unit = _currency(seen)
    book = _Book(seen, unit)
    months = []
    for month in seen.months:
        costs = {
            "dozen": _dozen(book, month),
            "chick": _chick(book, month),
            "bird": _bird(book, month),
            "kg": _kg(book, month),
        }
        figures = [_shown(name, month, cost) for name, cost in costs.items() if cost is not None]
        if figures:
            months.append({"month": f"{month:%Y-%m}", "figures": figures})
    return {"currency": unit, "months": months[-SHOWN_MONTHS:][::-1]}


def _currency(seen: CostsSeen) -> str:
    """The one in which was paid last; what was paid in others is left out, and counted."""
    last = [each.currency for each in seen.outlays if each.currency]
    return last[-1] if last else (seen.stated_price[1] if seen.stated_price else "")


def _price(book: _Book, month: date) -> float | None:
    """Of a kg of feed in that month."""
    end, begin = last_of(month), month
    for _ in range(PRICE_MONTHS - 1):
        begin = first_of(begin - timedelta(days=1))
    priced = [
        each
        for each in book.seen.outlays
        if each.sort == Outlay.Sort.BOUGHT
        and each.amount is not None
        and each.currency == book.unit
        and each.day <= end
    ]
    lately = [each for each in priced if each.day >= begin] or priced[-1:]
    if lately:
        return sum(each.amount or 0.0 for each in lately) / sum(each.kg or 0.0 for each in lately)
    stated = book.seen.stated_price
    return stated[0] if stated and stated[1] == book.unit else None


def _fed_kg(fed: Outlay, month: date) -> float:
    """How much of it was fed in that month: alike on each of its days."""
    first, last = max(fed.from_day, month), min(fed.day, last_of(month))
    days = (last - first).days + 1
    return (fed.kg or 0.0) * max(days, 0) / ((fed.day - fed.from_day).days + 1)


def _other(book: _Book, part: str, month: date, measure: str, mine: float, all_: float) -> list[Expense]:
    """Expenses of that part in that month: the line's own, and its part of those shared."""
    found = []
    for each in book.seen.outlays:
        if each.sort != Outlay.Sort.OTHER or each.part != part or first_of(each.day) != month:
            continue
        if each.currency != book.unit:
            continue
        if each.line == book.seen.line:
            found.append(Expense(each.what, each.amount or 0.0))
        elif each.line is None and all_ > 0:
            found.append(Expense(each.what, each.amount or 0.0, measure, mine, all_))
    return found


def _bird_days(book: _Book, month: date, row: str) -> tuple[float, float]:
    """Of this line and of all, in the cages of that row; of every row where it is empty."""
    of = {key: days for key, days in book.seen.bird_days.items() if key[0] == month and row in ("", key[1])}
    return sum(days for (_, _, line), days in of.items() if line == book.seen.line), sum(of.values())


def _dozen(book: _Book, month: date) -> Cost | None:
    price = _price(book, month)
    kg: dict[str, float] = defaultdict(float)
    for each in book.seen.outlays:
        if each.sort == Outlay.Sort.FED and each.brood is None and (eaten := _fed_kg(each, month)) > 0:
            kg[each.row] += eaten
    mine, all_ = _bird_days(book, month, "")
    expenses = _other(book, "laying", month, "bird_days", mine, all_)
    nowhere = []
    for row, eaten in sorted(kg.items()):
        of_line, of_row = _bird_days(book, month, row)
        if of_row == 0:
            nowhere.append(row or "of the whole barn")
        elif price is not None:
            what = f"feed of row {row}" if row else "feed"
            expenses.append(Expense(what, eaten * price, "bird_days", of_line, of_row))
    sound = book.seen.sound.get(month, 0)
    if not sound and not expenses:
        return None
    span = {"first_day": month, "last_day": last_of(month)}
    cost = cost_of_dozen(expenses, sound_eggs=sound, currency=book.unit, **span)
    if kg and price is None:
        cost = _without(cost, "prices of feed", "feed was fed, and nobody said what it cost")
    elif nowhere:
        cost = _without(cost, "bird-days", f"feed was fed where no birds stood: row {', '.join(nowhere)}")
    book.dozen[month] = _noting(book, cost, month)
    return book.dozen[month]


def _chick(book: _Book, month: date) -> Cost | None:
    all_eggs = sum(eggs for (of, _), (eggs, _, _) in book.seen.set_.items() if of == month)
    eggs, hatched_eggs, chicks = book.seen.set_.get((month, book.seen.line), (0, 0, 0))
    if not hatched_eggs:
        return None
    share = hatched_eggs / eggs  # what is still in the incubator bears its own part
    expenses = [
        replace(each, line_units=each.line_units * share) if each.shared_by else each
        for each in _other(book, "hatching", month, "eggs_set", eggs, all_eggs)
    ]
    dozen = book.dozen.get(month)
    egg = dozen.each.value / 12 if dozen is not None and dozen.each.value is not None else None
    cost = cost_of_chick(
        expenses,
        eggs_set=hatched_eggs,
        cost_of_egg=egg or 0.0,
        chicks_alive=min(chicks, hatched_eggs),
        currency=book.unit,
        first_day=month,
        last_day=last_of(month),
    )
    if egg is None:
        cost = _without(cost, "cost of an egg", "what a dozen eggs cost in that month is not known")
    if hatched_eggs < eggs:
        cost = _leaving_out(cost, LeftOut("eggs", eggs - hatched_eggs, "not_hatched_yet"))
    book.chick[month] = cost
    return cost


def _chick_put_up(book: _Book, brood: Reared) -> float | None:
    cost = book.chick.get(brood.set_in) if brood.set_in else None
    return cost.each.value if cost is not None else None


def _bird(book: _Book, month: date) -> Cost | None:
    aged = [each for each in book.seen.reared if first_of(each.aged_on) == month]
    mine = [each for each in aged if each.line == book.seen.line and each.chicks > 0]
    if not mine:
        return None
    chicks, all_chicks = sum(each.chicks for each in mine), sum(each.chicks for each in aged)
    expenses = _other(book, "rearing", month, "chicks_put_up", chicks, all_chicks)
    price = _price(book, month)
    feed = {each.brood: _brood_fed(book, each) for each in mine}
    if price is not None and sum(feed.values()) > 0:
        expenses.append(Expense("feed of the brood", sum(feed.values()) * price))
    put_up = [_chick_put_up(book, each) for each in mine]
    each_chick = _mean(put_up, [each.chicks for each in mine])
    cost = cost_of_bird(
        expenses,
        chicks_put_up=chicks,
        cost_of_chick=each_chick or 0.0,
        birds_alive=sum(each.alive for each in mine),
        currency=book.unit,
        first_day=month,
        last_day=last_of(month),
    )
    if each_chick is None:
        cost = _without(cost, "cost of a chick", "what the chicks cost when they were put up is not known")
    elif price is None and sum(feed.values()) > 0:
        cost = _without(cost, "prices of feed", "feed was fed, and nobody said what it cost")
    book.bird[month] = cost
    if cost.each.value is not None:
        book.birds |= {each.brood: cost.each.value for each in mine}
    return cost


def _brood_fed(book: _Book, brood: Reared) -> float:
    """Up to and with the day of the weighing age [kg]."""
    kg = 0.0
    for each in book.seen.outlays:
        if each.sort == Outlay.Sort.FED and each.brood == brood.brood and each.from_day <= brood.aged_on:
            days = (min(each.day, brood.aged_on) - each.from_day).days + 1
            kg += (each.kg or 0.0) * days / ((each.day - each.from_day).days + 1)
    return kg


def _kg(book: _Book, month: date) -> Cost | None:
    of_month = [each for each in book.seen.dressed if first_of(each.day) == month]
    mine = [each for each in of_month if each.line == book.seen.line]
    if not mine:
        return None
    weighed = [each for each in mine if each.dressed_g is not None]
    birds, all_birds = sum(each.birds for each in weighed), sum(each.birds for each in of_month)
    bird = _mean([book.birds.get(each.brood) if each.brood else None for each in weighed], [w.birds for w in weighed])
    cost = cost_of_kg_dressed(
        _other(book, "processing", month, "birds_processed", birds, all_birds),
        birds_processed=birds,
        cost_of_bird=bird or 0.0,
        dressed_weight_g=[(each.dressed_g or 0.0) / each.birds for each in weighed for _ in range(each.birds)],
        currency=book.unit,
        first_day=month,
        last_day=last_of(month),
    )
    if bird is None:
        cost = _without(cost, "cost of a bird", "what these birds had cost at the weighing age is not known")
    silent = sum(each.birds for each in mine) - birds
    return _leaving_out(cost, LeftOut("birds", silent, "not_weighed")) if silent else cost


def _mean(costs: Sequence[float | None], numbers: Sequence[int]) -> float | None:
    """Of so many each; None when one of them is not known, or there is none."""
    if not sum(numbers) or any(cost is None for cost in costs):
        return None
    return sum((cost or 0.0) * number for cost, number in zip(costs, numbers, strict=True)) / sum(numbers)


def _without(cost: Cost, what: str, detail: str) -> Cost:
    """Not to be shown: something that it stands on is not known."""
    if cost.each.missing is not None:
        return cost
    missing = Missing(Reason.NO_RECORDS, what, 0, 1, detail)
    return replace(cost, each=replace(cost.each, value=None, low=None, high=None, method="", missing=missing))


def _leaving_out(cost: Cost, *left: LeftOut) -> Cost:
    return replace(cost, each=replace(cost.each, left_out=(*cost.each.left_out, *left)))


def _noting(book: _Book, cost: Cost, month: date) -> Cost:
    others = sum(
        bool(each.currency) and each.currency != book.unit and first_of(each.day) == month for each in book.seen.outlays
    )
    return _leaving_out(cost, LeftOut("outlays", others, "other_currency")) if others else cost


def _shown(name: str, month: date, cost: Cost) -> dict[str, Any]:
    estimate: Estimate = cost.each
    parts = [
        {"what": part.what, "amount": six(part.amount), "share": six(part.share), "shared_by": part.shared_by}
        for part in cost.parts
    ]
    return {**shown(estimate, name, f"{month:%Y-%m}"), "parts": parts if estimate.shown else []}
