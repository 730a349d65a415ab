"""A bird weighed three days early, without signal: held against the cut as it would be on the day, and said so."""

from __future__ import annotations

from collections.abc import Callable

import uuid6
from playwright.sync_api import expect

from barnbook.figures.stated_growth import stated_factors
from tests.browser.a_barn import OWNER, set_up, today
from tests.browser.house import House, until
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, tap, weigh

GRAMS, DAY = 291, 53


def test_weighed_early_and_a_band_that_another_brood_wears(house: House, phone: Callable[..., Phone]) -> None:
    barn = set_up(house, cages=1, mornings=1)
    other = barn.hatch(code="26-03", days_ago=80, chicks=4)
    barn.hatch(code="26-04", days_ago=DAY, chicks=4)
    wearer = {"bird": str(uuid6.uuid7()), "brood": other, "result": "hen", "band": "R 14"}
    barn.hand.push([barn.hand.entry("bird_sexed", today().isoformat(), **wearer)])

    def sent() -> bool:
        rows = barn.hand.ask("/api/changes?after=0&limit=2000")["rows"]
        return any(each["table"] == "figure_table" and each["id"].startswith("weighing/") for each in rows)

    until(sent, what="the house has the line's factors")
    keeper = phone(house)
    keeper.sign_in(*OWNER)
    all_in_the_book(keeper.page)
    keeper.close()
    house.close()

    page = keeper.start("/weigh-birds")
    page.get_by_role("link", name="26-04").click()
    page.get_by_label("Band").fill("r14")
    expect(page.get_by_text("Band R 14 is on bird 1 of brood 26-03 already.")).to_be_visible()
    page.get_by_label("Band").fill("R15")
    page.get_by_role("radio", name="Hen", exact=True).check()
    weigh(page, str(GRAMS), "g")
    verdict = page.get_by_role("region", name="Bird 1 weighed")
    adjusted = GRAMS * stated_factors(56)[DAY]  # no bird of the line was weighed before: the stated growth
    expect(verdict).to_contain_text(f"Weighed on day {DAY}; adjusted to day 56: {adjusted:.0f} g")
    expect(verdict).to_contain_text("by a stated growth, not yet the line’s own")
    tap(page, "Keep")
    house.open()
    keeper.go("/")
    all_in_the_book(page)
    (weight,) = [each["body"] for each in barn.entries("bird_weight")]
    assert (weight["grams"], weight["typed"]) == (GRAMS, {"value": str(GRAMS), "unit": "g"}), "as it was weighed"
    assert keeper.faults == []
