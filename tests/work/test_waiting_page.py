"""Wait or process: the page's steps and its turn equal the figures package on the line's own curve."""

from __future__ import annotations

import math
import uuid
from datetime import date, timedelta
from random import Random
from typing import Any

import pytest

from barnbook.barn.models import FigureTable
from barnbook.figures.estimate import Estimate, Missing, Reason
from barnbook.work.growth_of_lines import LineWeighed, Weighed
from barnbook.work.reckon import reckon
from barnbook.work.standard_weights import curves_of
from barnbook.work.waiting_page import WaitingSeen, reckon_waiting, waiting_page
from tests.conftest import Cast
from tests.scribe import NOON

HATCHED = date(2026, 1, 1)
PRICES: dict[str, Any] = {
    "currency": "EUR",
    "feed_per_kg": 0.8,
    "cock_feed_g_a_day": 28.0,
    "hen_feed_g_a_day": 30.0,
    "sold_by": "live_kg",
    "price": 4.0,
    "labour_a_bird_day": 0.0,
    "place_a_bird_day": 0.0,
    "told_on": "2026-07-01",
}
DRESSING = Estimate("share", 0.68, 0.66, 0.70, 30, "birds", "ratio_of_sums_t")


def weighings(ages: tuple[int, ...] = (14, 21, 28, 35, 42, 49, 56, 63, 70)) -> list[Weighed]:
    """Ten cocks and ten hens along a Gompertz curve, 2 % apart."""
    luck, found = Random(7), []
    for sex, grown in (("cock", 240.0), ("hen", 275.0)):
        for _ in range(10):
            bird, own = uuid.UUID(int=luck.getrandbits(128)), 1 + luck.gauss(0, 0.02)
            for age in ages:
                grams = grown * own * math.exp(-3.3 * math.exp(-0.072 * age)) + luck.gauss(0, 1)
                day = HATCHED + timedelta(days=age)
                found.append(Weighed(bird, uuid.UUID(int=1), sex, day, age, grams))
    return found


def seen(*, prices: dict[str, Any] | None = PRICES, dressing: Estimate = DRESSING, **weighed: Any) -> WaitingSeen:
    return WaitingSeen(LineWeighed(56, weighings(**weighed), 0), prices, dressing, [])


@pytest.mark.parametrize("sold_by", ["live_kg", "dressed_kg", "bird"])
def test_steps_and_turn_equal_the_figures(sold_by: str) -> None:
    prices = {**PRICES, "sold_by": sold_by, "price": {"live_kg": 4.0, "dressed_kg": 9.0, "bird": 6.0}[sold_by]}
    known = seen(prices=prices)
    page = waiting_page(known)
    curves = curves_of(known.weighed)
    for sex in ("cock", "hen"):
        curve = curves[sex]
        assert not isinstance(curve, Missing)
        ages = [float(age) for age in range(28, 85)]
        want = reckon_waiting(curve, ages, sex=sex, prices=prices, dressing=0.68)
        steps = page["sexes"][sex]["steps"]
        assert len(steps) == len(want.steps)
        for step, row in zip(want.steps, steps, strict=True):
            assert row[0] == step.to_age_days
            assert row[2:] == pytest.approx([step.gain_g, step.feed_g, step.brings, step.costs], rel=1e-5)
        turns = page["sexes"][sex]["turns"]
        assert (turns["value"], turns["low"], turns["high"]) == (
            want.process_at.value,
            want.process_at.low,
            want.process_at.high,
        )
        assert (turns["n"], turns["first_day"], turns["last_day"]) == (90, "2026-01-15", "2026-03-12")


def test_where_it_turns_is_where_a_days_gain_no_longer_pays_its_feed() -> None:
    # By hand: a day's feed of a cock costs 0.8 * 28 / 1000 = 0.0224; 4 a kg pays it while he gains 5.6 g or more.
    page = waiting_page(seen())["sexes"]["cock"]
    turn = page["turns"]["value"]
    assert all(gain >= 5.6 for age, _, gain, *_ in page["steps"] if age <= turn)
    assert all(gain < 5.6 for age, _, gain, *_ in page["steps"] if age > turn)


def test_without_prices_it_says_what_to_say() -> None:
    page = waiting_page(seen(prices=None))["sexes"]["hen"]
    assert page["turns"]["missing"]["what"] == "prices"
    assert page["weight"]["value"] is not None
    assert page["steps"] == []


def test_sold_dressed_without_a_dressed_bird_says_so() -> None:
    none = Estimate("share", n_of="birds", missing=Missing(Reason.NO_RECORDS, "weighings", 0, 5))
    page = waiting_page(seen(prices={**PRICES, "sold_by": "dressed_kg"}, dressing=none))
    assert page["sexes"]["hen"]["turns"]["missing"] == page["dressing"]["missing"]


def test_too_few_ages_make_no_curve() -> None:
    page = waiting_page(seen(ages=(49, 56)))["sexes"]["hen"]
    assert page["turns"]["missing"]["what"] == "ages"


@pytest.mark.django_db
def test_prices_come_from_the_entries(cast: Cast) -> None:
    owner = cast.owner
    line = owner.line()
    told = {name: value for name, value in PRICES.items() if name != "told_on"}
    owner.expect("written", owner.write("prices_told", day=date(2026, 7, 1), line=line, **told, note=""))
    bag: dict[str, Any] = {"what": "grower crumbs", "kg": 20.0, "paid": 19.0, "currency": "EUR", "note": ""}
    owner.expect("written", owner.write("feed_bought", day=date(2026, 7, 2), **bag))
    owner.expect("written", owner.write("feed_bought", day=date(2026, 6, 2), **{**bag, "paid": 15.0}))
    owner.expect("written", owner.write("feed_bought", day=date(2026, 7, 9), **{**bag, "paid": None, "currency": None}))
    reckon(now=lambda: NOON)
    page = FigureTable.objects.get(subject=f"waiting/{line}").body
    assert page["prices"] == PRICES  # the owner's word stands; the last bag with a price is only proposed
    assert page["feed_bought"] == {"per_kg": 0.95, "currency": "EUR", "bought_on": "2026-07-02"}
    assert page["sexes"]["cock"]["turns"]["missing"]["reason"] == "no_records"
