"""Two people on one brood at once, both without signal: each bird keeps the number that it had in the hand."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Page, expect

from tests.browser.a_barn import HELPER, OWNER, set_up
from tests.browser.house import House
from tests.browser.phone import Phone
from tests.browser.test_sexing_day import in_hand, tally
from tests.browser.thumb import all_in_the_book, tap

CHICKS = 9


def left(page: Page, number: int) -> None:
    expect(page.locator("dl.tally [data-big] dd")).to_have_text(str(number))


def home(*phones: Phone) -> None:
    """Each sends what it has, and then hears what the others sent."""
    for each in (*phones, *phones):
        each.go("/")
        all_in_the_book(each.page)


def test_no_bird_is_counted_twice_none_is_lost_and_numbers_stay(house: House, phone: Callable[..., Phone]) -> None:
    barn = set_up(house, cages=1, mornings=1)
    brood = barn.hatch(code="26-04", days_ago=45, chicks=CHICKS)
    house.join(name=HELPER[0], password=HELPER[1])
    keeper, helper = phone(house, "keeper"), phone(house, "helper")
    keeper.sign_in(*OWNER)
    helper.sign_in(*HELPER)
    home(keeper, helper)
    house.close()

    # Side by side in the barn, neither phone knows of the other: each begins at bird 1.
    for each, sexes in ((keeper, ["Cock", "Hen", "Not sure"]), (helper, ["Hen", "Hen", "Cock"])):
        page = each.go(f"/sexing/{brood}")
        in_hand(page, "Bird 1")
        for sex in sexes:
            tap(page, sex)
        in_hand(page, "Bird 4")
        left(page, CHICKS - 3)

    house.open()
    home(keeper, helper)
    for each in (keeper, helper):
        page = each.go(f"/sexing/{brood}")
        left(page, CHICKS - 6)
        assert tally(page) == {"Cocks": 2, "Hens": 3, "Not sure": 1, "Left": CHICKS - 6}
        in_hand(page, "Bird 4")
        shared = page.get_by_text(re.compile("^3 numbers were given by .* at the same time without signal"))
        expect(shared).to_contain_text(OWNER[0])
        expect(shared).to_contain_text(HELPER[0])
        # Bird 3 of the keeper was the one not sure, and it still is: on both phones.
        expect(page.get_by_role("button", name=f"Look again at bird 3 {OWNER[0]}’s")).to_be_visible()
        expect(page.get_by_role("button", name=f"Look again at bird 3 {HELPER[0]}’s")).to_be_visible()
    page = helper.go(f"/brood/{brood}")
    expect(page.get_by_role("link", name=f"number {HELPER[0]}’s")).to_have_count(3)

    # The helper takes the brood up where the keeper left it; the keeper begins far off: no number is given twice.
    house.close()
    page = helper.go(f"/sexing/{brood}")
    tap(page, "Hen")  # bird 4
    page.get_by_role("button", name=f"Look again at bird 3 {OWNER[0]}’s").click()
    tap(page, "Hen")
    page = keeper.go(f"/sexing/{brood}")
    page.get_by_role("button", name="Another number").click()
    page.get_by_label("Number", exact=True).fill("101")
    page.get_by_role("button", name="Bird 101 is in the hand").click()
    in_hand(page, "Bird 101")
    tap(page, "Cock")
    in_hand(page, "Bird 102")
    tap(page, "Cock")

    house.open()
    home(keeper, helper)
    birds = [row for row in barn.hand.rows("birds") if row["brood"] == brood]
    people = {row["author"] for row in barn.entries("bird_sexed")}
    (owner,) = [row["author"] for row in barn.entries("brood", of_today=False)]
    (other,) = people - {owner}

    def of(person: str) -> dict[int, Any]:
        return {row["number"]: row["sex"] for row in birds if row["numbered_by"] == person}

    assert of(owner) == {1: "cock", 2: "hen", 3: "hen", 101: "cock", 102: "cock"}
    assert of(other) == {1: "hen", 2: "hen", 3: "cock", 4: "hen"}
    (row,) = barn.hand.rows("broods")
    counted = {key: row[key] for key in ("alive", "hens", "cocks", "unsure", "unlooked")}
    assert counted == {"alive": CHICKS, "hens": 5, "cocks": 4, "unsure": 0, "unlooked": 0}
    assert [each for each in barn.hand.rows("entries") if each["code"] is not None] == []
    for each in (keeper, helper):
        page = each.go(f"/sexing/{brood}")
        expect(page.get_by_role("heading", name="Done", exact=True)).to_be_visible()
        assert each.faults == []
