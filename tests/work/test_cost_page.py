"""Costs: the worked example of docs/figures/cost.md, laid out as a barn's facts; and from entries to the page."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest

from barnbook.barn.models import FigureTable, Outlay
from barnbook.journal.models import Entry
from barnbook.work.cost_page import cost_page
from barnbook.work.costs_seen import CostsSeen, Dressed, Reared
from barnbook.work.reckon import reckon
from tests.conftest import Cast
from tests.scribe import DAY, NOON, new_id

LINE, OTHER, BROOD = uuid.UUID(int=1), uuid.UUID(int=2), uuid.UUID(int=3)
MARCH, APRIL, MAY = date(2026, 3, 1), date(2026, 4, 1), date(2026, 5, 1)


def bought(day: date, kg: float, paid: float, currency: str = "EUR") -> Outlay:
    return Outlay(sort="bought", day=day, from_day=day, kg=kg, amount=paid, currency=currency)


def fed(first: date, last: date, kg: float, **who: Any) -> Outlay:
    return Outlay(sort="fed", day=last, from_day=first, kg=kg, **who)


def other(day: date, part: str, amount: float, **of: Any) -> Outlay:
    return Outlay(**{"sort": "other", "day": day, "from_day": day, "amount": amount, "currency": "EUR"} | of, part=part)


def seen(**changes: Any) -> CostsSeen:
    """The example: in March the barn ate 60 kg at 0.62; the line has 2,100 of 4,200 bird-days, cartons of its own for
    4.50 and 1,650 sound eggs; of 240 eggs set 100 are its, of power for 6.00; 65 chicks; 54.00 of feed to the weighing
    age in May, 60 alive; 40 processed on a day of 12.00, 7.2 kg."""
    facts: dict[str, Any] = {
        "line": LINE,
        "months": [MARCH, APRIL, MAY],
        "outlays": [
            bought(date(2026, 2, 20), 100, 62.0),
            fed(MARCH, date(2026, 3, 31), 60),
            other(date(2026, 3, 9), "laying", 4.5, line=LINE, what="cartons"),
            other(date(2026, 3, 20), "laying", 99.0, line=OTHER, what="cartons"),
            other(date(2026, 3, 12), "hatching", 6.0, what="power"),
            fed(date(2026, 3, 28), date(2026, 5, 22), 54.0 / 0.62, brood=BROOD),
            other(date(2026, 5, 26), "processing", 12.0, what="the day"),
        ],
        "bird_days": {(MARCH, "A", LINE): 2100.0, (MARCH, "B", OTHER): 2100.0},
        "sound": {MARCH: 1650},
        "set_": {(MARCH, LINE): (100, 100, 65), (MARCH, OTHER): (140, 0, 0)},
        "reared": [Reared(BROOD, LINE, date(2026, 5, 22), 65, 60, MARCH)],
        "dressed": [Dressed(BROOD, LINE, date(2026, 5, 26), 40, 7200.0)],
    }
    return CostsSeen(**facts | changes)


def figures(page: dict[str, Any]) -> dict[tuple[str, str], dict[str, Any]]:
    return {(each["name"], each["span"]): each for month in page["months"] for each in month["figures"]}


def test_the_worked_example_comes_out_as_by_hand() -> None:
    page = cost_page(seen())
    found = figures(page)
    dozen, chick = found["dozen", "2026-03"], found["chick", "2026-03"]
    bird, kg = found["bird", "2026-05"], found["kg", "2026-05"]
    # 18.60 of feed and 4.50 of cartons over 1,650 eggs; 12 of them.
    assert dozen["value"] == pytest.approx(12 * 23.10 / 1650, rel=1e-5)
    # 100 eggs at 0.014, and 100 of 240 parts of 6.00; 65 chicks.
    assert chick["value"] == pytest.approx((1.40 + 2.50) / 65, rel=1e-5)
    # 54.00 of feed and 65 chicks at 0.060; 60 alive.
    assert bird["value"] == pytest.approx(57.90 / 60, rel=1e-5)
    # 40 birds at 0.965 and 12.00; 7.2 kg.
    assert kg["value"] == pytest.approx((40 * 0.965 + 12) / 7.2, rel=1e-5)
    assert [kg["low"], kg["high"], kg["left_out"]] == [None, None, []]
    assert page["currency"] == "EUR"
    assert [month["month"] for month in page["months"]] == ["2026-05", "2026-03"]


def test_each_part_says_what_was_shared_out_and_how() -> None:
    found = figures(cost_page(seen()))
    parts = found["dozen", "2026-03"]["parts"]
    assert parts == [
        {"what": "cartons", "amount": 4.5, "share": 1.0, "shared_by": ""},
        {"what": "feed", "amount": 18.6, "share": 0.5, "shared_by": "bird_days"},
    ]
    assert found["dozen", "2026-03"]["notes"] == ["shared_by_bird_days"]
    power = found["chick", "2026-03"]["parts"][0]
    assert (power["what"], power["shared_by"], power["amount"]) == ("power", "eggs_set", 2.5)


def test_feed_of_a_row_is_borne_by_its_own_cages() -> None:
    outlays = [bought(date(2026, 2, 20), 100, 62.0), fed(MARCH, date(2026, 3, 31), 60, row="B")]
    dozen = figures(cost_page(seen(outlays=outlays)))["dozen", "2026-03"]
    assert dozen["value"] is None  # nothing was used up for the line: that is no cost of 0
    row_a = [bought(date(2026, 2, 20), 100, 62.0), fed(MARCH, date(2026, 3, 31), 60, row="A")]
    assert figures(cost_page(seen(outlays=row_a)))["dozen", "2026-03"]["value"] == pytest.approx(
        12 * 37.2 / 1650, rel=1e-5
    )


def test_feed_of_a_row_that_is_none_withholds_the_cost_and_does_not_lower_it() -> None:
    """As where a row was renamed since: who ate the feed is not known."""
    outlays = [bought(date(2026, 2, 20), 100, 62.0), fed(MARCH, date(2026, 3, 31), 60, row="old A")]
    outlays.append(other(date(2026, 3, 9), "laying", 4.5, line=LINE, what="cartons"))
    dozen = figures(cost_page(seen(outlays=outlays)))["dozen", "2026-03"]
    assert dozen["value"] is None
    assert "row old A" in dozen["missing"]["detail"]


def test_a_bird_whose_feed_has_no_price_has_no_cost() -> None:
    facts = seen()
    kept = [each for each in facts.outlays if each.sort != "bought" and each.part != "processing"]
    facts = seen(outlays=kept, reared=[Reared(BROOD, LINE, date(2026, 5, 22), 65, 60, MARCH)])
    assert figures(cost_page(facts))["bird", "2026-05"]["value"] is None


def test_feed_over_the_end_of_a_month_is_parted_by_days() -> None:
    outlays = [bought(date(2026, 2, 20), 100, 62.0), fed(date(2026, 3, 22), date(2026, 4, 10), 20)]
    days = {(MARCH, "A", LINE): 100.0, (APRIL, "A", LINE): 100.0}
    found = figures(cost_page(seen(outlays=outlays, bird_days=days, sound={MARCH: 120, APRIL: 120})))
    assert found["dozen", "2026-03"]["value"] == pytest.approx(10 * 0.62 / 10)
    assert found["dozen", "2026-04"]["value"] == pytest.approx(10 * 0.62 / 10)


def test_without_a_price_the_cost_is_not_known_and_not_nothing() -> None:
    found = figures(cost_page(seen(outlays=[fed(MARCH, date(2026, 3, 31), 60)])))
    dozen = found["dozen", "2026-03"]
    assert (dozen["value"], dozen["parts"]) == (None, [])
    assert dozen["missing"]["detail"] == "feed was fed, and nobody said what it cost"
    assert found["chick", "2026-03"]["missing"]["reason"] == "no_records"
    assert found["bird", "2026-05"]["value"] is None
    told = seen(outlays=[fed(MARCH, date(2026, 3, 31), 60)], stated_price=(0.62, "EUR"))
    assert figures(cost_page(told))["dozen", "2026-03"]["value"] == pytest.approx(12 * 18.6 / 1650, rel=1e-5)


def test_a_currency_written_otherwise_is_named_and_not_taken_for_a_price_that_nobody_said() -> None:
    outlays = [
        bought(date(2026, 3, 2), 50, 32.0),
        fed(MARCH, date(2026, 3, 31), 60),
        other(date(2026, 4, 20), "laying", 4.0, what="cartons", currency="Euro"),
    ]
    dozen = figures(cost_page(seen(outlays=outlays)))["dozen", "2026-03"]
    assert dozen["value"] is None
    assert "bought in EUR, and the last that was paid was in Euro" in dozen["missing"]["detail"]


def test_the_price_is_of_the_last_three_months_and_of_one_currency() -> None:
    outlays = [
        bought(date(2025, 11, 3), 100, 10.0),  # long ago
        bought(date(2026, 1, 5), 50, 30.0),
        bought(date(2026, 2, 2), 50, 999.0, "USD"),
        bought(date(2026, 3, 2), 50, 32.0),
        fed(MARCH, date(2026, 3, 31), 60),
    ]
    dozen = figures(cost_page(seen(outlays=outlays)))["dozen", "2026-03"]
    assert dozen["value"] == pytest.approx(12 * 18.6 / 1650, rel=1e-5)  # 62.00 for 100 kg


def test_eggs_still_in_the_incubator_bear_their_own_part() -> None:
    found = figures(cost_page(seen(set_={(MARCH, LINE): (100, 50, 32), (MARCH, OTHER): (140, 0, 0)})))
    chick = found["chick", "2026-03"]
    assert chick["value"] == pytest.approx((50 * 0.014 + 6.0 * 50 / 240) / 32, rel=1e-5)
    assert chick["left_out"] == [{"what": "eggs", "count": 50, "why": "not_hatched_yet"}]


def test_what_is_the_line_s_own_is_borne_by_its_hatched_eggs_alone_as_what_is_shared() -> None:
    """Half of the line's eggs are still in the incubator: they will bear half of the 8.00."""
    outlays = [*seen().outlays, other(date(2026, 3, 14), "hatching", 8.0, line=LINE, what="disinfectant")]
    facts = seen(outlays=outlays, set_={(MARCH, LINE): (100, 50, 32), (MARCH, OTHER): (140, 0, 0)})
    chick = figures(cost_page(facts))["chick", "2026-03"]
    assert chick["value"] == pytest.approx((50 * 0.014 + 6.0 * 50 / 240 + 4.0) / 32, rel=1e-5)
    own = next(each for each in chick["parts"] if each["what"] == "disinfectant")
    assert (own["amount"], own["share"], own["shared_by"]) == (4.0, 0.5, "eggs_set")


@pytest.mark.parametrize(
    ("part", "name", "month"),
    [
        ("laying", "dozen", MARCH),
        ("hatching", "chick", MARCH),
        ("rearing", "bird", MAY),
        ("processing", "kg", MAY),
    ],
)
@pytest.mark.parametrize("line", [None, LINE])
def test_an_expense_in_another_currency_withholds_the_cost_it_belongs_to(
    part: str, name: str, month: date, line: uuid.UUID | None
) -> None:
    abroad = other(month + timedelta(days=9), part, 5.0, line=line, currency="USD", what="bags")
    last = other(month + timedelta(days=12), part, 0.0, line=OTHER, what="nothing")  # the last is in EUR
    found = figures(cost_page(seen(outlays=[*seen().outlays, abroad, last])))[name, f"{month:%Y-%m}"]
    assert found["value"] is None
    assert found["missing"]["detail"] == "bags was paid in USD, not in EUR: write it down in EUR"


def test_another_line_s_expense_abroad_is_not_ours() -> None:
    abroad = other(date(2026, 3, 9), "laying", 5.0, line=OTHER, currency="USD", what="bags")
    found = figures(cost_page(seen(outlays=[abroad, *seen().outlays])))
    assert found["dozen", "2026-03"]["value"] == pytest.approx(12 * 23.10 / 1650, rel=1e-5)


def test_feed_bought_abroad_is_said_with_every_cost_that_stands_on_feed() -> None:
    abroad = [bought(day, 25, 20.0, "USD") for day in (date(2026, 3, 2), date(2026, 5, 2))]
    found = figures(cost_page(seen(outlays=[*abroad, *seen().outlays])))
    left_out = [{"what": "outlays", "count": 1, "why": "other_currency"}]
    assert found["dozen", "2026-03"]["left_out"] == left_out
    assert found["bird", "2026-05"]["left_out"] == left_out


def test_an_expense_that_no_cost_of_its_month_bears_is_listed_and_not_dropped() -> None:
    """In April nobody of any line came of age, and none was processed; the power of April is borne by the other line,
    which set eggs."""
    april = [
        other(date(2026, 4, 3), "rearing", 7.0, what="straw"),
        other(date(2026, 4, 4), "processing", 3.0, line=LINE, what="knives"),
        other(date(2026, 4, 5), "hatching", 2.0, what="power"),
        other(date(2026, 4, 6), "rearing", 1.0, line=OTHER, what="theirs"),
    ]
    page = cost_page(
        seen(outlays=[*seen().outlays, *april], set_={**seen().set_, (APRIL, OTHER): (50, 0, 0)}),
    )
    months = {each["month"]: each for each in page["months"]}
    assert [(each["what"], each["amount"], each["part"]) for each in months["2026-04"]["not_borne"]] == [
        ("straw", 7.0, "rearing"),
        ("knives", 3.0, "processing"),
    ]
    assert months["2026-03"]["not_borne"] == []


def test_a_shared_expense_of_which_no_measure_is_known_withholds_the_cost() -> None:
    """Eggs were counted, and no cage had any birds by the book: straw is not borne by nobody."""
    outlays = [
        other(date(2026, 3, 5), "laying", 6.0, what="straw"),
        other(date(2026, 3, 9), "laying", 4.5, line=LINE, what="cartons"),
    ]
    dozen = figures(cost_page(seen(outlays=outlays, bird_days={})))["dozen", "2026-03"]
    assert dozen["value"] is None
    assert dozen["missing"]["detail"] == "straw is shared by bird days, and there were none"


def test_spent_hens_and_birds_bought_in_are_left_out_of_the_kilogram_and_counted() -> None:
    hens = Dressed(None, LINE, date(2026, 5, 20), 6, 1300.0)
    kg = figures(cost_page(seen(dressed=[*seen().dressed, hens])))["kg", "2026-05"]
    assert kg["value"] == pytest.approx((40 * 0.965 + 12 * 40 / 46) / 7.2, rel=1e-5)
    assert kg["left_out"] == [{"what": "birds", "count": 6, "why": "own_cost_not_known"}]
    alone = figures(cost_page(seen(dressed=[hens])))["kg", "2026-05"]
    assert alone["value"] is None
    assert "bought in, or older" in alone["missing"]["detail"]


def test_a_brood_bought_in_says_that_its_price_is_not_in_the_book() -> None:
    bought_in = Reared(uuid.UUID(int=9), LINE, date(2026, 5, 2), 20, 19, None, bought_in=True)
    outlays = [*seen().outlays, other(date(2026, 5, 3), "rearing", 8.5, what="straw")]
    bird = figures(cost_page(seen(outlays=outlays, reared=[*seen().reared, bought_in])))["bird", "2026-05"]
    # the straw is borne by 85 birds put up, 65 of them of the brood hatched here
    assert bird["value"] == pytest.approx((57.90 + 8.5 * 65 / 85) / 60, rel=1e-5)
    assert bird["left_out"] == [{"what": "birds", "count": 20, "why": "bought_in"}]
    alone = figures(cost_page(seen(reared=[bought_in])))["bird", "2026-05"]
    assert (alone["value"], "bought in" in alone["missing"]["detail"]) == (None, True)


def test_feed_of_a_brood_past_the_weighing_age_is_in_no_bird_and_said_so() -> None:
    later = fed(date(2026, 5, 21), date(2026, 5, 24), 8.0, brood=BROOD)  # two of the four days are past it
    page = cost_page(seen(outlays=[*seen().outlays, later]))
    assert figures(page)["bird", "2026-05"]["value"] == pytest.approx((57.90 + 4 * 0.62) / 60, rel=1e-5)
    (may,) = (each for each in page["months"] if each["month"] == "2026-05")
    assert may["not_borne"] == [{"what": "4.0 kg of feed", "amount": 2.48, "currency": "EUR", "part": "past_age"}]


def test_feed_that_nobody_is_known_to_have_eaten_is_said_also_where_no_egg_was_laid() -> None:
    dozen = figures(cost_page(seen(bird_days={}, sound={})))["dozen", "2026-03"]
    assert dozen["value"] is None
    assert "no birds stood: the whole barn" in dozen["missing"]["detail"]


def test_the_outlays_are_walked_as_often_for_eighteen_months_as_for_one() -> None:
    walks = 0

    class Watched(list[Outlay]):
        def __iter__(self) -> Iterator[Outlay]:
            nonlocal walks
            walks += 1
            return super().__iter__()

    months = [date(2025 + at // 12, at % 12 + 1, 1) for at in range(18)]
    for some in (months[-1:], months):
        walks = 0
        cost_page(seen(months=some, outlays=Watched(seen().outlays)))
        assert walks == 2  # for the currency, and to lay each where it is asked for


def test_no_outlay_no_month() -> None:
    assert cost_page(seen(months=[], outlays=[])) == {"currency": "", "months": []}


@pytest.mark.django_db
def test_from_entries_to_the_page(cast: Cast) -> None:
    """June 2026 by hand: 10 kg at 0.80 eaten by 6 + 6 birds of two lines in two cages; 120 sound eggs of the one."""
    june, end = date(2026, 6, 1), date(2026, 6, 30)
    line, second = cast.owner.line("Slate Barrow"), cast.owner.line("Fen Gold")
    for of, code in ((line, "A1"), (second, "B1")):
        cage = cast.owner.cage(code, line=of)
        cast.owner.stock(cage, hens=5, cocks=1, day=june - timedelta(days=1))
        if of == line:
            for n in range(1, 31):
                cast.owner.count(cage, 4, day=june + timedelta(days=n))
    cast.owner.write("feed_bought", day=june, what="crumble", kg=25, paid=20.0, currency="EUR", note="")
    verdict = cast.helper.write("feed_fed", day=end, row=None, brood=None, kg=10.0, days=30, note="")
    cast.owner.expect("written", verdict)
    cast.owner.expect(
        "written",
        cast.owner.write(
            "expense", day=june, part="laying", what="straw", line=None, amount=2.0, currency="EUR", note=""
        ),
    )
    reckon(now=lambda: NOON)
    page = FigureTable.objects.get(subject=f"cost/{line}").body
    (month,) = page["months"]
    (dozen,) = month["figures"]
    assert month["month"] == "2026-06"
    assert dozen["value"] == pytest.approx(12 * (4.0 + 1.0) / 120, rel=1e-5)
    assert dozen["n"] == 120
    # A strike takes it out again.
    cast.owner.write("strike", entry=str(verdict.id), why="")
    reckon(now=lambda: NOON)
    dozen = FigureTable.objects.get(subject=f"cost/{line}").body["months"][0]["figures"][0]
    assert dozen["value"] == pytest.approx(12 * 1.0 / 120, rel=1e-5)


@pytest.mark.django_db
def test_feed_of_a_row_that_was_renamed_is_borne_by_those_who_stood_there(cast: Cast) -> None:
    june, end = date(2026, 6, 1), date(2026, 6, 30)
    line, second = cast.owner.line("Slate Barrow"), cast.owner.line("Fen Gold")
    cage, beside = cast.owner.cage("A1", line=line), cast.owner.cage("B1", line=second)
    Entry.objects.filter(kind="cage").update(day=june - timedelta(days=3))
    for each in (cage, beside):
        cast.owner.stock(each, hens=5, cocks=1, day=june - timedelta(days=1))
    for n in range(1, 31):
        cast.owner.count(cage, 4, day=june + timedelta(days=n))
    cast.owner.write("feed_bought", day=june, what="crumble", kg=25, paid=20.0, currency="EUR", note="")
    cast.owner.write("feed_fed", day=end, row="A", brood=None, kg=10.0, days=30, note="")
    described = Entry.objects.get(kind="cage", body__cage=cage).body
    cast.owner.expect("written", cast.owner.write("cage", day=DAY, **{**described, "row": "North"}))
    reckon(now=lambda: NOON)
    dozen = FigureTable.objects.get(subject=f"cost/{line}").body["months"][0]["figures"][0]
    assert dozen["value"] == pytest.approx(12 * 8.0 / 120, rel=1e-5)


@pytest.mark.django_db
def test_a_price_of_long_ago_still_stands_where_no_feed_was_bought_since(cast: Cast) -> None:
    line = cast.owner.line("Slate Barrow")
    cage = cast.owner.cage("A1", line=line)
    june = date(2026, 6, 1)
    cast.owner.stock(cage, hens=6, day=date(2024, 1, 1))
    for n in range(1, 31):
        cast.owner.count(cage, 4, day=june + timedelta(days=n))
    for day, paid, currency in ((date(2024, 1, 2), 10.0, "EUR"), (date(2024, 2, 2), 20.0, "EUR")):
        cast.owner.write("feed_bought", day=day, what="", kg=25, paid=paid, currency=currency, note="")
    cast.owner.write("feed_fed", day=date(2026, 6, 30), row=None, brood=None, kg=10.0, days=30, note="")
    reckon(now=lambda: NOON)
    body = FigureTable.objects.get(subject=f"cost/{line}").body
    assert body["months"][0]["figures"][0]["value"] == pytest.approx(12 * 8.0 / 120, rel=1e-5)


@pytest.mark.django_db
def test_where_no_feed_was_bought_the_price_told_for_the_line_stands(cast: Cast) -> None:
    line, june = cast.owner.line("Slate Barrow"), date(2026, 6, 1)
    cage = cast.owner.cage("A1", line=line)
    cast.owner.stock(cage, hens=6, day=june - timedelta(days=1))
    for n in range(1, 31):
        cast.owner.count(cage, 4, day=june + timedelta(days=n))
    prices = {"currency": "EUR", "feed_per_kg": 0.8, "cock_feed_g_a_day": 25.0, "hen_feed_g_a_day": 28.0}
    sale = {"sold_by": "live_kg", "price": 9.0, "labour_a_bird_day": 0.0, "place_a_bird_day": 0.0, "note": ""}
    cast.owner.expect("written", cast.owner.write("prices_told", line=line, **prices, **sale))
    cast.owner.write("feed_fed", day=date(2026, 6, 30), row=None, brood=None, kg=10.0, days=30, note="")
    reckon(now=lambda: NOON)
    body = FigureTable.objects.get(subject=f"cost/{line}").body
    assert body["months"][0]["figures"][0]["value"] == pytest.approx(12 * 8.0 / 120, rel=1e-5)


@pytest.mark.django_db
def test_a_helper_writes_what_was_fed_and_not_what_was_spent(cast: Cast) -> None:
    spent = cast.helper.write("expense", part="laying", what="straw", line=None, amount=2, currency="EUR", note="")
    assert (spent.verdict, spent.code) == ("aside", "owners_only")
    away = cast.owner.write("feed_fed", day=DAY, row=None, brood=new_id(), kg=1.0, days=1, note="")
    assert away.verdict == "waits"
