"""Cost: feed and what else was bought in, for a dozen eggs, a chick alive, a bird at weighing, a kilogram
dressed.

    line's part of an expense = amount * line's units / all units           shared by hen-days, bird-days, eggs ...
    cost of a dozen           = 12 * sum of parts / sound eggs
    cost of a chick alive     = (sum of parts + eggs set * cost of an egg) / chicks alive
    cost of a bird            = (sum of parts + chicks put up * cost of a chick) / birds alive at the weighing age
    cost of a kg dressed      = (sum of parts + birds * cost of a bird) / kg dressed

Those that died are carried by those that lived. An expense is what was used up in the span, not what was
paid in it: feed eaten = in the bin at the start + bought - in the bin at the end. How a shared expense is
split is a choice, not a fact, so each figure carries its parts and names the measure they were split by.
Figures are reckoned from the book, without limits; only where carcasses were weighed in part is there
something to estimate. The owner's own labour is in it only when entered as an expense. Prices are the
owner's, in any one currency. Checked in tests/figures/test_cost.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from barnbook.figures import interval
from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason

MIN_DAYS = 28
"""Below four weeks a bag of feed more or less is the whole figure (our bound)."""
MIN_CARCASSES = 5


@dataclass(frozen=True, slots=True)
class Expense:
    """Something used up in the span [money].

    shared_by: "" when it is this line's own; else the measure it is shared by ("hen_days", "bird_days",
    "eggs_set"), of which the line has `line_units` of `all_units`.
    """

    what: str
    amount: float
    shared_by: str = ""
    line_units: float = 1.0
    all_units: float = 1.0

    def __post_init__(self) -> None:
        if not (math.isfinite(self.amount) and self.amount >= 0):
            raise ValueError(f"The expense {self.what!r} is {self.amount}: give an amount of 0 or more.")
        if not (0 <= self.line_units <= self.all_units < math.inf and self.all_units > 0):
            raise ValueError(
                f"The expense {self.what!r} is shared {self.line_units} of {self.all_units} {self.shared_by}: "
                "give the line's units, at most those of all lines together."
            )


@dataclass(frozen=True, slots=True)
class Part:
    """The line's part of an expense: the amount borne [money], its share of the whole, the measure it was
    split by.
    """

    what: str
    amount: float
    share: float
    shared_by: str


@dataclass(frozen=True, slots=True)
class Cost:
    """A cost and the parts it is the sum of."""

    each: Estimate
    parts: tuple[Part, ...]


def feed_eaten_kg(*, opening_kg: float, bought_kg: float, closing_kg: float) -> float:
    """Feed used in a span [kg]: in the bin at the start, plus bought, less in the bin at the end.

    Raises ValueError for amounts below 0 or not finite, and when more is left than there was.
    """
    for name, amount in (("opening", opening_kg), ("bought", bought_kg), ("closing", closing_kg)):
        if not (math.isfinite(amount) and amount >= 0):
            raise ValueError(f"The {name} amount of feed is {amount} kg: give 0 kg or more.")
    if closing_kg > opening_kg + bought_kg:
        raise ValueError(f"{closing_kg} kg of feed are left of {opening_kg + bought_kg} kg: weigh the bin again.")
    return opening_kg + bought_kg - closing_kg


def line_parts(expenses: Sequence[Expense]) -> tuple[Part, ...]:
    """What the line bears of each expense, in the order given. Raises ValueError for amounts or units that
    are none.
    """
    return tuple(_part(expense) for expense in expenses)


def cost_of_dozen(
    expenses: Sequence[Expense], *, sound_eggs: int, currency: str, first_day: date, last_day: date
) -> Cost:
    """Cost of a dozen sound eggs of a line over a span [currency per dozen].

    first_day, last_day: both ends in. Missing: no expense or no sound egg (NO_RECORDS), under 28 days
    (TOO_FEW_DAYS). Cracked, soiled and thin-shelled eggs are carried by the sound ones. Raises ValueError.
    """
    parts = line_parts(expenses)
    days = _days(first_day, last_day)
    missing = _nothing("sound eggs", sound_eggs, parts)
    if missing is None and days < MIN_DAYS:
        missing = Missing(Reason.TOO_FEW_DAYS, "days", days, MIN_DAYS)
    return _cost(parts, 12, sound_eggs, "sound eggs", f"{currency} per dozen", first_day, last_day, missing)


def cost_of_chick(
    expenses: Sequence[Expense],
    *,
    eggs_set: int,
    cost_of_egg: float,
    chicks_alive: int,
    currency: str,
    first_day: date,
    last_day: date,
) -> Cost:
    """Cost of a chick alive when the brood is put up [currency per chick].

    expenses: incubation and what else came before; the eggs themselves enter as a part, eggs_set *
    cost_of_egg (a twelfth of `cost_of_dozen`, or what was paid for bought-in eggs). Missing: no chick alive
    (NO_RECORDS). Raises ValueError when more chicks live than eggs were set.
    """
    _whole("eggs set", eggs_set)
    if not 0 <= chicks_alive <= eggs_set:
        raise ValueError(f"{chicks_alive} chicks of {eggs_set} eggs set cannot be: count again.")
    parts = (*line_parts(expenses), _carried("eggs set", eggs_set, cost_of_egg))
    missing = _nothing("chicks alive", chicks_alive, parts)
    return _cost(parts, 1, chicks_alive, "chicks alive", f"{currency} per chick", first_day, last_day, missing)


def cost_of_bird(
    expenses: Sequence[Expense],
    *,
    chicks_put_up: int,
    cost_of_chick: float,
    birds_alive: int,
    currency: str,
    first_day: date,
    last_day: date,
) -> Cost:
    """Cost of a bird alive at the weighing age, often 8 weeks [currency per bird].

    expenses: feed and bedding of the brood; the chicks enter as a part. Missing: no bird alive or no expense
    of rearing (NO_RECORDS). Raises ValueError when more birds live than chicks were put up.
    """
    _whole("chicks put up", chicks_put_up)
    if not 0 <= birds_alive <= chicks_put_up:
        raise ValueError(f"{birds_alive} birds of {chicks_put_up} chicks put up cannot be: count again.")
    reared = line_parts(expenses)
    missing = _nothing("birds alive", birds_alive, reared)
    parts = (*reared, _carried("chicks put up", chicks_put_up, cost_of_chick))
    return _cost(parts, 1, birds_alive, "birds alive", f"{currency} per bird", first_day, last_day, missing)


def cost_of_kg_dressed(
    expenses: Sequence[Expense],
    *,
    birds_processed: int,
    cost_of_bird: float,
    dressed_weight_g: Sequence[float],
    currency: str,
    first_day: date,
    last_day: date,
) -> Cost:
    """Cost of a kilogram dressed [currency per kg].

    dressed_weight_g: carcasses weighed [g]; all of them, or some, whose mean then stands for the rest with
    Student's t limits and the finite-population factor 1 - weighed / processed (Cochran 1977, from memory).
    Missing: nothing processed (NO_RECORDS), fewer than 5 carcasses weighed of more (TOO_FEW_BIRDS).
    Raises ValueError for weights not above 0, NaN, infinity, or more carcasses weighed than birds processed.
    """
    weighed = len(dressed_weight_g)
    _whole("birds processed", birds_processed)
    if weighed > birds_processed:
        raise ValueError(f"{weighed} carcasses were weighed of {birds_processed} birds processed: count again.")
    for place, weight in enumerate(dressed_weight_g):
        if not (math.isfinite(weight) and weight > 0):
            raise ValueError(f"Carcass {place + 1} weighs {weight} g: give grams above 0 or leave it out.")
    parts = (*line_parts(expenses), _carried("birds processed", birds_processed, cost_of_bird))
    unit = f"{currency} per kg"
    missing = _nothing("birds processed", birds_processed, parts)
    if missing is None and weighed < min(birds_processed, MIN_CARCASSES):
        missing = Missing(Reason.TOO_FEW_BIRDS, "carcasses weighed", weighed, min(birds_processed, MIN_CARCASSES))
    if missing is not None:
        return _cost(parts, 1, 0, "carcasses weighed", unit, first_day, last_day, missing)
    total = math.fsum(part.amount for part in parts)
    mean_g = math.fsum(dressed_weight_g) / weighed
    value = total / (birds_processed * mean_g / 1000)
    low = high = None
    left_out: tuple[LeftOut, ...] = ()
    if weighed < birds_processed:
        found = interval.mean_t(dressed_weight_g)
        half = (found.high - found.value) * math.sqrt(1 - weighed / birds_processed)
        low, high = (total / (birds_processed * (mean_g + step) / 1000) for step in (half, -half))
        left_out = (LeftOut("carcasses", birds_processed - weighed, "not_weighed"),)
    method = "reckoned_from_the_book" if low is None else "mean_of_carcasses_weighed_t"
    each = Estimate(
        unit, value, low, high, weighed, "carcasses weighed", method, first_day, last_day, left_out, notes=_notes(parts)
    )
    return Cost(each, parts)


def _part(expense: Expense) -> Part:
    share = expense.line_units / expense.all_units if expense.shared_by else 1.0
    return Part(expense.what, expense.amount * share, share, expense.shared_by)


def _carried(what: str, count: int, cost_each: float) -> Part:
    if not (math.isfinite(cost_each) and cost_each >= 0):
        raise ValueError(f"The cost of {what} is {cost_each} each: give an amount of 0 or more.")
    return Part(what, count * cost_each, 1.0, "")


def _days(first_day: date, last_day: date) -> int:
    if last_day < first_day:
        raise ValueError(f"The span ends on {last_day}, before it begins on {first_day}: turn the two.")
    return (last_day - first_day).days + 1


def _whole(what: str, count: float) -> None:
    if not 0 <= count < math.inf or count % 1:
        raise ValueError(f"{count} {what} cannot be: give a whole number, 0 or more.")


def _nothing(what: str, count: int, parts: Sequence[Part]) -> Missing | None:
    _whole(what, count)
    if not any(part.amount > 0 for part in parts):
        return Missing(Reason.NO_RECORDS, "expenses", 0, 1, "nothing was entered as used up: that is not a cost of 0")
    return Missing(Reason.NO_RECORDS, what, 0, 1) if count == 0 else None


def _cost(
    parts: tuple[Part, ...],
    per: int,
    made: int,
    n_of: str,
    unit: str,
    first_day: date,
    last_day: date,
    missing: Missing | None,
) -> Cost:
    _days(first_day, last_day)
    known = missing is None
    each = Estimate(
        unit,
        per * math.fsum(part.amount for part in parts) / made if known else None,
        n=made,
        n_of=n_of,
        method="reckoned_from_the_book" if known else "",
        first_day=first_day,
        last_day=last_day,
        missing=missing,
        notes=_notes(parts),
    )
    return Cost(each, parts)


def _notes(parts: Sequence[Part]) -> tuple[str, ...]:
    """The measures something was shared by, each once: printed with the figure."""
    return tuple(dict.fromkeys(f"shared_by_{part.shared_by}" for part in parts if part.shared_by))
