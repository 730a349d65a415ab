"""Cost at the house: what a dozen eggs, a chick, a bird at the weighing age and a kilogram dressed cost, by month.

    feed         fed, not bought: kg fed in the month at the price of a kg, which is what was paid over what was bought
                 in the three months up to its end; else the last price before, else the one told for the line
    laying       feed of the cages, shared by bird-days in the cages that it went to (hens and cocks alike)
    hatching     shared by eggs set
    rearing      shared by chicks put up; feed only of the brood itself
    processing   shared by birds processed

An egg set costs a twelfth of a dozen of its month; a chick put up what chicks of the month cost in which its eggs were
set; a bird processed what the birds of its brood cost. So a cost that is not known is not known further on, either.

Nothing is left out in silence. An expense paid in another currency, or shared by a measure of which there was none,
withholds the cost that it belongs to; one that belongs to no cost of its month is listed as borne by none. Birds whose
own cost nobody knows (bought in, or older than the costs, as spent hens are) are left out of the kilogram, and counted.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

from barnbook.barn.models import Outlay
from barnbook.figures.cost import Cost, Expense, cost_of_bird, cost_of_chick, cost_of_dozen, cost_of_kg_dressed
from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason
from barnbook.work.costs_seen import PRICE_MONTHS, CostsSeen, Dressed, Reared, first_of, last_of, month_after
from barnbook.work.shown import shown, six

SHOWN_MONTHS = 12
# The measure by which what is shared is parted, by what it was spent on.
MEASURES = {
    "laying": "bird_days",
    "hatching": "eggs_set",
    "rearing": "chicks_put_up",
    "processing": "birds_processed",
}
FIGURES = {"laying": "dozen", "hatching": "chick", "rearing": "bird", "processing": "kg"}


@dataclass(slots=True)
class _Book:
    """The costs reckoned so far. unit: the currency in which they are.

    spent: other expenses by part and month.  fed: feed of cages by month of its days.  fed_to: that of broods.
    """

    seen: CostsSeen
    unit: str
    spent: Mapping[tuple[str, date], Sequence[Outlay]]
    fed: Mapping[date, Sequence[Outlay]]
    fed_to: Mapping[uuid.UUID, Sequence[Outlay]]
    bought: Sequence[Outlay]
    dozen: dict[date, Cost] = field(default_factory=dict)
    chick: dict[date, Cost] = field(default_factory=dict)
    bird: dict[date, Cost] = field(default_factory=dict)
    birds: dict[uuid.UUID, float] = field(default_factory=dict)


def _book(seen: CostsSeen, unit: str) -> _Book:
    """Each outlay is looked at once, and laid where it will be asked for."""
    spent: dict[tuple[str, date], list[Outlay]] = defaultdict(list)
    fed: dict[date, list[Outlay]] = defaultdict(list)
    fed_to: dict[uuid.UUID, list[Outlay]] = defaultdict(list)
    bought = []
    for each in seen.outlays:
        if each.sort == Outlay.Sort.OTHER:
            spent[each.part, first_of(each.day)].append(each)
        elif each.sort == Outlay.Sort.BOUGHT:
            bought.append(each)
        elif each.brood is not None:
            fed_to[each.brood].append(each)
        else:
            month = first_of(each.from_day)
            while month <= each.day:
                fed[month].append(each)
                month = month_after(month)
    return _Book(seen, unit, spent, fed, fed_to, bought)


def cost_page(seen: CostsSeen) -> dict[str, Any]:
    """The page of one line; see docs/wire.md. Without any outlay it has no month."""
    unit = _currency(seen)
    book = _book(seen, unit)
    months = []
    for month in seen.months:
        costs = {
            "dozen": _dozen(book, month),
            "chick": _chick(book, month),
            "bird": _bird(book, month),
            "kg": _kg(book, month),
        }
        figures = [_shown(name, month, cost) for name, cost in costs.items() if cost is not None]
        not_borne = [
            {"what": each.what, "amount": six(each.amount or 0.0), "currency": each.currency, "part": part}
            for part, name in FIGURES.items()
            if costs[name] is None
            for each in book.spent.get((part, month), ())
            if each.line == seen.line or (each.line is None and not _units(book, part, month)[1])
        ]
        not_borne += _feed_not_borne(book, month)
        if figures or not_borne:
            months.append({"month": f"{month:%Y-%m}", "figures": figures, "not_borne": not_borne})
    return {"currency": unit, "months": months[-SHOWN_MONTHS:][::-1]}


def _feed_not_borne(book: _Book, month: date) -> list[dict[str, Any]]:
    """Feed of the line's broods that is in no bird's cost: eaten past the weighing age, or by birds bought in. It has
    no amount where it has no price."""
    kg = 0.0
    for brood in book.seen.reared:
        if brood.line != book.seen.line:
            continue
        first = date.min if brood.bought_in else brood.aged_on + timedelta(days=1)
        for each in book.fed_to.get(brood.brood, ()):
            days = (min(each.day, last_of(month)) - max(each.from_day, month, first)).days + 1
            kg += (each.kg or 0.0) * max(days, 0) / ((each.day - each.from_day).days + 1)
    if kg == 0:
        return []
    price = _price(book, month)
    amount = None if price is None else six(kg * price)
    return [{"what": f"{kg:.1f} kg of feed", "amount": amount, "currency": book.unit, "part": "past_age"}]


def _units(book: _Book, part: str, month: date) -> tuple[float, float]:
    """This line's and everybody's, of the measure by which expenses of that part are shared."""
    seen = book.seen
    if part == "laying":
        return _bird_days(book, month, "")
    if part == "hatching":
        of_month = {line: eggs for (of, line), (eggs, _, _) in seen.set_.items() if of == month}
        return of_month.get(seen.line, 0), sum(of_month.values())
    if part == "rearing":
        aged = [each for each in seen.reared if first_of(each.aged_on) == month]
        return sum(each.chicks for each in aged if each.line == seen.line), sum(each.chicks for each in aged)
    processed = [each for each in seen.dressed if first_of(each.day) == month]
    return sum(each.birds for each in processed if each.line == seen.line), sum(each.birds for each in processed)


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
        each for each in book.bought if each.amount is not None and each.currency == book.unit and each.day <= end
    ]
    lately = [each for each in priced if each.day >= begin] or priced[-1:]
    if lately:
        return sum(each.amount or 0.0 for each in lately) / sum(each.kg or 0.0 for each in lately)
    stated = book.seen.stated_price
    return stated[0] if stated and stated[1] == book.unit else None


def _unpriced(book: _Book, cost: Cost, month: date) -> Cost:
    """Feed was fed, and has no price in that month: that is said, and not that nothing was used up."""
    missing = cost.each.missing
    nothing_else = missing is not None and missing.what == "expenses"
    return _without(cost, "prices of feed", _no_price(book, month), first=nothing_else)


def _no_price(book: _Book, month: date) -> str:
    """Why, as a sentence's end."""
    others = [each.currency for each in book.bought if each.amount is not None and each.day <= last_of(month)]
    if not others:
        return "feed was fed, and nobody said what it cost"
    return f"feed was bought in {others[-1]}, and the last that was paid was in {book.unit}: write both down in one"


def _fed_kg(fed: Outlay, month: date) -> float:
    """How much of it was fed in that month: alike on each of its days."""
    first, last = max(fed.from_day, month), min(fed.day, last_of(month))
    days = (last - first).days + 1
    return (fed.kg or 0.0) * max(days, 0) / ((fed.day - fed.from_day).days + 1)


@dataclass(slots=True)
class _Spent:
    """What was spent on a part in a month, as this line bears it. unknown: why that is not all, as a sentence's end."""

    expenses: list[Expense] = field(default_factory=list)
    unknown: str = ""

    def withholding(self, cost: Cost) -> Cost:
        return _without(cost, "expenses", self.unknown) if self.unknown else cost


def _other(
    book: _Book, part: str, month: date, *, bears: float = 1.0, units: tuple[float, float] | None = None
) -> _Spent:
    """Expenses of that part in that month: the line's own, and its part of those shared.

    bears: the share of the line's units that bears them now; the rest is borne by others of the line, later.
    units: this line's and everybody's, where they are not those of the part.
    """
    found = _Spent()
    mine, all_ = units or _units(book, part, month)
    measure = MEASURES[part]
    for each in book.spent.get((part, month), ()):
        if each.line not in (None, book.seen.line):
            continue
        if each.currency != book.unit:
            found.unknown = f"{each.what} was paid in {each.currency}, not in {book.unit}: write it down in {book.unit}"
        elif each.line is None and all_ <= 0:
            found.unknown = f"{each.what} is shared by {measure.replace('_', ' ')}, and there were none"
        elif each.line is None:
            found.expenses.append(Expense(each.what, each.amount or 0.0, measure, mine * bears, all_))
        elif bears < 1:
            found.expenses.append(Expense(each.what, each.amount or 0.0, measure, mine * bears, mine))
        else:
            found.expenses.append(Expense(each.what, each.amount or 0.0))
    return found


def _bird_days(book: _Book, month: date, row: str) -> tuple[float, float]:
    """Of this line and of all, in the cages of that row; of every row where it is empty."""
    of = {key: days for key, days in book.seen.bird_days.items() if key[0] == month and row in ("", key[1])}
    return sum(days for (_, _, line), days in of.items() if line == book.seen.line), sum(of.values())


def _dozen(book: _Book, month: date) -> Cost | None:
    price = _price(book, month)
    kg: dict[str, float] = defaultdict(float)
    for each in book.fed.get(month, ()):
        if (eaten := _fed_kg(each, month)) > 0:
            kg[each.row] += eaten
    spent = _other(book, "laying", month)
    expenses, nowhere = spent.expenses, []
    for row, eaten in sorted(kg.items()):
        of_line, of_row = _bird_days(book, month, row)
        if of_row == 0:
            nowhere.append(f"row {row}" if row else "the whole barn")
        elif price is not None:
            what = f"feed of row {row}" if row else "feed"
            expenses.append(Expense(what, eaten * price, "bird_days", of_line, of_row))
    sound = book.seen.sound.get(month, 0)
    if not (sound or expenses or nowhere or spent.unknown):
        return None
    span = {"first_day": month, "last_day": last_of(month)}
    cost = cost_of_dozen(expenses, sound_eggs=sound, currency=book.unit, **span)
    if kg and price is None:
        cost = _unpriced(book, cost, month)
    elif nowhere:
        detail = f"feed was fed where no birds stood: {', '.join(nowhere)}"
        cost = _without(cost, "bird-days", detail, first=True)
    cost = spent.withholding(cost)
    book.dozen[month] = _noting(book, cost, month) if kg else cost
    return book.dozen[month]


def _chick(book: _Book, month: date) -> Cost | None:
    eggs, hatched_eggs, chicks = book.seen.set_.get((month, book.seen.line), (0, 0, 0))
    if not hatched_eggs:
        return None
    # What is still in the incubator bears its own part, of what is the line's own as of what is shared.
    spent = _other(book, "hatching", month, bears=hatched_eggs / eggs)
    dozen = book.dozen.get(month)
    egg = dozen.each.value / 12 if dozen is not None and dozen.each.value is not None else None
    cost = cost_of_chick(
        spent.expenses,
        eggs_set=hatched_eggs,
        cost_of_egg=egg or 0.0,
        chicks_alive=min(chicks, hatched_eggs),
        currency=book.unit,
        first_day=month,
        last_day=last_of(month),
    )
    if egg is None:
        cost = _without(cost, "cost of an egg", "what a dozen eggs cost in that month is not known")
    cost = spent.withholding(cost)
    if hatched_eggs < eggs:
        cost = _leaving_out(cost, LeftOut("eggs", eggs - hatched_eggs, "not_hatched_yet"))
    book.chick[month] = cost
    return cost


def _chick_put_up(book: _Book, brood: Reared) -> float | None:
    cost = book.chick.get(brood.set_in) if brood.set_in else None
    return cost.each.value if cost is not None else None


def _bird(book: _Book, month: date) -> Cost | None:
    aged = [each for each in book.seen.reared if first_of(each.aged_on) == month and each.chicks > 0]
    all_mine = [each for each in aged if each.line == book.seen.line]
    mine = [each for each in all_mine if not each.bought_in]
    if not all_mine:
        return None
    chicks = sum(each.chicks for each in mine)
    units = chicks, sum(each.chicks for each in aged)
    whole = sum(each.chicks for each in all_mine)
    spent = _other(book, "rearing", month, bears=chicks / whole, units=(whole, units[1]))
    price = _price(book, month)
    feed = {each.brood: _brood_fed(book, each) for each in mine}
    if price is not None and sum(feed.values()) > 0:
        spent.expenses.append(Expense("feed of the brood", sum(feed.values()) * price))
    put_up = [_chick_put_up(book, each) for each in mine]
    each_chick = _mean(put_up, [each.chicks for each in mine])
    cost = cost_of_bird(
        spent.expenses,
        chicks_put_up=chicks,
        cost_of_chick=each_chick or 0.0,
        birds_alive=sum(each.alive for each in mine),
        currency=book.unit,
        first_day=month,
        last_day=last_of(month),
    )
    if not mine:
        cost = _without(
            cost, "cost of a bird", "these birds were bought in, and what was paid for them is not said", first=True
        )
    elif each_chick is None:
        cost = _without(cost, "cost of a chick", "what the chicks cost when they were put up is not known")
    elif price is None and sum(feed.values()) > 0:
        cost = _unpriced(book, cost, month)
    cost = spent.withholding(cost)
    if mine and whole > chicks:
        cost = _leaving_out(cost, LeftOut("birds", whole - chicks, "bought_in"))
    book.bird[month] = _noting(book, cost, month) if sum(feed.values()) > 0 else cost
    if cost.each.value is not None:
        book.birds |= {each.brood: cost.each.value for each in mine}
    return book.bird[month]


def _brood_fed(book: _Book, brood: Reared) -> float:
    """Up to and with the day of the weighing age [kg]."""
    kg = 0.0
    for each in book.fed_to.get(brood.brood, ()):
        if each.from_day <= brood.aged_on:
            days = (min(each.day, brood.aged_on) - each.from_day).days + 1
            kg += (each.kg or 0.0) * days / ((each.day - each.from_day).days + 1)
    return kg


def _kg(book: _Book, month: date) -> Cost | None:
    of_month = [each for each in book.seen.dressed if first_of(each.day) == month]
    mine = [each for each in of_month if each.line == book.seen.line]
    if not mine:
        return None
    weighed = [each for each in mine if each.dressed_g is not None]
    known = [each for each in weighed if _bird_cost(book, each) is not None]
    birds, weighed_birds = sum(each.birds for each in known), sum(each.birds for each in weighed)
    all_mine, all_birds = sum(each.birds for each in mine), sum(each.birds for each in of_month)
    spent = _other(book, "processing", month, bears=birds / all_mine, units=(all_mine, all_birds))
    cost = cost_of_kg_dressed(
        spent.expenses,
        birds_processed=birds,
        cost_of_bird=_mean([_bird_cost(book, each) for each in known], [each.birds for each in known]) or 0.0,
        dressed_weight_g=[(each.dressed_g or 0.0) / each.birds for each in known for _ in range(each.birds)],
        currency=book.unit,
        first_day=month,
        last_day=last_of(month),
    )
    if weighed and not known:
        detail = "what these birds had cost at the weighing age is not known: bought in, or older than the costs"
        cost = _without(cost, "cost of a bird", detail, first=True)
    cost = spent.withholding(cost)
    if all_mine > weighed_birds:
        cost = _leaving_out(cost, LeftOut("birds", all_mine - weighed_birds, "not_weighed"))
    if known and weighed_birds > birds:
        cost = _leaving_out(cost, LeftOut("birds", weighed_birds - birds, "own_cost_not_known"))
    return cost


def _bird_cost(book: _Book, dressed: Dressed) -> float | None:
    return book.birds.get(dressed.brood) if dressed.brood else None


def _mean(costs: Sequence[float | None], numbers: Sequence[int]) -> float | None:
    """Of so many each; None when one of them is not known, or there is none."""
    if not sum(numbers) or any(cost is None for cost in costs):
        return None
    return sum((cost or 0.0) * number for cost, number in zip(costs, numbers, strict=True)) / sum(numbers)


def _without(cost: Cost, what: str, detail: str, *, first: bool = False) -> Cost:
    """Not to be shown: something that it stands on is not known. first: said before all else that is missing."""
    if cost.each.missing is not None and not first:
        return cost
    missing = Missing(Reason.NO_RECORDS, what, 0, 1, detail)
    return replace(cost, each=replace(cost.each, value=None, low=None, high=None, method="", missing=missing))


def _leaving_out(cost: Cost, *left: LeftOut) -> Cost:
    return replace(cost, each=replace(cost.each, left_out=(*cost.each.left_out, *left)))


def _noting(book: _Book, cost: Cost, month: date) -> Cost:
    """Feed bought in another currency is not in the price of feed; its kilograms are not in it, either."""
    others = sum(
        bool(each.currency) and each.currency != book.unit and first_of(each.day) == month for each in book.bought
    )
    return _leaving_out(cost, LeftOut("outlays", others, "other_currency")) if others else cost


def _shown(name: str, month: date, cost: Cost) -> dict[str, Any]:
    estimate: Estimate = cost.each
    parts = [
        {"what": part.what, "amount": six(part.amount), "share": six(part.share), "shared_by": part.shared_by}
        for part in cost.parts
    ]
    return {**shown(estimate, name, f"{month:%Y-%m}"), "parts": parts if estimate.shown else []}
