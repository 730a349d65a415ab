"""Cost: a worked farm, shared expenses, dead birds carried, and what is not a cost of nothing."""

import csv
import math
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from barnbook.figures import cost
from barnbook.figures.cost import Expense
from barnbook.figures.estimate import Missing, Reason

CHECKS = Path(__file__).parents[2] / "fixtures" / "checks" / "cost.csv"
SPAN = {"currency": "EUR", "first_day": date(2026, 3, 1), "last_day": date(2026, 3, 31)}
LAYER_FEED = Expense("layer feed", 60 * 0.62, "hen_days", 2100, 4200)
CARTONS = Expense("cartons", 4.50)


def expected(figure):
    table = csv.DictReader(line for line in CHECKS.read_text().splitlines() if not line.startswith("#"))
    return next(float(row["expected"]) for row in table if row["figure"] == figure)


def dozen(**change):
    return cost.cost_of_dozen([LAYER_FEED, CARTONS], **(SPAN | {"sound_eggs": 1650} | change))


def chick(**change):
    told = {"eggs_set": 100, "cost_of_egg": 0.014, "chicks_alive": 65}
    return cost.cost_of_chick([Expense("power", 6.0, "eggs_set", 100, 240)], **(SPAN | told | change))


def bird(**change):
    told = {"chicks_put_up": 65, "cost_of_chick": 0.06, "birds_alive": 60}
    return cost.cost_of_bird([Expense("grower feed", 54.0)], **(SPAN | told | change))


def kg(dressed=(180.0,) * 40, **change):
    told = {"birds_processed": 40, "cost_of_bird": 0.965, "dressed_weight_g": dressed}
    return cost.cost_of_kg_dressed([Expense("processing day", 12.0)], **(SPAN | told | change))


@pytest.mark.parametrize("figure", ["dozen", "chick", "bird", "kg_dressed"])
def test_the_worked_farm(figure):
    # Worked by hand: first line of fixtures/checks/cost.csv
    found = {"dozen": dozen, "chick": chick, "bird": bird, "kg_dressed": kg}[figure]()
    assert found.each.value == pytest.approx(expected(figure), rel=1e-12)
    assert found.each.method == "reckoned_from_the_book"
    assert (found.each.low, found.each.high) == (None, None)


def test_what_is_shared_is_said_with_its_measure():
    found = dozen()
    assert found.each.unit == "EUR per dozen"
    assert found.each.notes == ("shared_by_hen_days",)
    assert [(part.what, part.amount, part.share) for part in found.parts] == [
        ("layer feed", pytest.approx(18.6), 0.5),
        ("cartons", 4.5, 1.0),
    ]
    assert math.fsum(part.amount for part in found.parts) * 12 / 1650 == pytest.approx(found.each.value)


def test_the_lines_parts_of_a_shared_expense_are_the_whole_of_it():
    lines = [1200.0, 700.0, 2300.0]
    parts = [cost.line_parts([Expense("feed", 91.3, "hen_days", line, sum(lines))])[0].amount for line in lines]
    assert math.fsum(parts) == pytest.approx(91.3, rel=1e-14)


def test_the_living_carry_the_dead():
    assert bird(birds_alive=30).each.value == pytest.approx(2 * bird().each.value)


def test_feed_eaten_is_not_feed_bought():
    assert cost.feed_eaten_kg(opening_kg=12, bought_kg=50, closing_kg=20) == 42
    with pytest.raises(ValueError, match="weigh the bin again"):
        cost.feed_eaten_kg(opening_kg=12, bought_kg=5, closing_kg=20)
    with pytest.raises(ValueError, match="bought amount"):
        cost.feed_eaten_kg(opening_kg=12, bought_kg=math.nan, closing_kg=2)


def test_no_expense_entered_is_not_a_cost_of_zero():
    found = cost.cost_of_dozen([], sound_eggs=500, **SPAN)
    assert found.each.missing.reason is Reason.NO_RECORDS
    assert found.each.missing.what == "expenses"
    no_feed = cost.cost_of_bird([], chicks_put_up=65, cost_of_chick=0.06, birds_alive=60, **SPAN)
    assert no_feed.each.missing.what == "expenses"


def test_nothing_made_and_too_short_a_span():
    assert dozen(sound_eggs=0).each.missing == Missing(Reason.NO_RECORDS, "sound eggs", 0, 1)
    assert chick(chicks_alive=0).each.missing.what == "chicks alive"
    assert bird(birds_alive=0).each.missing.what == "birds alive"
    assert kg((), birds_processed=0).each.missing.what in ("birds processed", "expenses")
    short = dozen(last_day=date(2026, 3, 27))
    assert short.each.missing == Missing(Reason.TOO_FEW_DAYS, "days", 27, 28)
    assert dozen(last_day=date(2026, 3, 28)).each.shown


def test_some_carcasses_weighed_give_limits():
    found = kg(tuple(np.linspace(160, 200, 10)))
    assert found.each.value == pytest.approx(expected("kg_dressed"))
    # by hand: t(9) 2.262157, sd 13.4578, sqrt(1 - 10/40): half = 8.337 g of the mean of 180
    half = 2.262157 * np.std(np.linspace(160, 200, 10), ddof=1) / math.sqrt(10) * math.sqrt(0.75)
    assert found.each.low == pytest.approx(50.6 / (40 * (180 + half) / 1000), rel=1e-6)
    assert found.each.high == pytest.approx(50.6 / (40 * (180 - half) / 1000), rel=1e-6)
    assert [(left.count, left.why) for left in found.each.left_out] == [(30, "not_weighed")]
    few = kg((180.0,) * 4)
    assert few.each.missing == Missing(Reason.TOO_FEW_BIRDS, "carcasses weighed", 4, 5)
    assert kg((180.0,) * 3, birds_processed=3).each.shown


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: dozen(sound_eggs=-1), "sound eggs cannot be"),
        (lambda: dozen(last_day=date(2026, 2, 1)), "before it begins"),
        (lambda: chick(chicks_alive=101), "101 chicks of 100 eggs"),
        (lambda: chick(cost_of_egg=math.nan), "cost of eggs set"),
        (lambda: bird(birds_alive=66), "66 birds of 65"),
        (lambda: kg((180.0,) * 41), "41 carcasses"),
        (lambda: kg((180.0, math.inf)), "Carcass 2"),
        (lambda: kg((180.0, 0.0)), "Carcass 2"),
        (lambda: cost.line_parts([Expense("feed", -1)]), "'feed' is -1"),
        (lambda: cost.line_parts([Expense("feed", 1, "hen_days", 3, 2)]), "shared 3 of 2 hen_days"),
        (lambda: cost.line_parts([Expense("feed", 1, "hen_days", 0, 0)]), "shared 0 of 0"),
        (lambda: cost.line_parts([Expense("feed", 1, "hen_days", math.nan, 2)]), "shared nan"),
    ],
)
def test_what_cannot_be_is_refused(call, says):
    with pytest.raises(ValueError, match=says):
        call()
