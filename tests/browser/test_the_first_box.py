"""The first weeks of a book: costs are written down and eggs sent before the house can reckon or promise anything."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta

import uuid6
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.browser.a_barn import OWNER, today
from tests.browser.house import Hand, House, until
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book

THERE = 20
OF_OTHERS = 6
WANTED = 16


def fill(page: Page, label: str, what: object) -> None:
    page.get_by_label(label, exact=True).fill(str(what))


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def described(page: Page) -> None:
    """A first line, by its form."""
    page.get_by_role("link", name="A new line").click()
    fill(page, "Name", "Slate Barrow")
    fill(page, "Eggs from, g", 11)
    fill(page, "to, g", 12.5)
    press(page, "Write it down")
    expect(page.get_by_role("heading", name="Slate Barrow")).to_be_visible()


def test_feed_is_written_down_before_the_house_has_reckoned_anything(house: House, phone: Callable[..., Phone]) -> None:
    hand = Hand(house)
    hand.begin(name=OWNER[0], password=OWNER[1])
    keeper = phone(house)
    page = keeper.sign_in(*OWNER)
    all_in_the_book(page)
    write = page.get_by_role("link", name="Write down feed or an expense")
    keeper.go("/costs")
    expect(page.get_by_text("No line in the book yet.")).to_be_visible()
    expect(write).to_be_visible()

    house.close()  # so nothing is reckoned of the line
    keeper.go("/lines")
    described(page)
    keeper.go("/costs")
    expect(page.get_by_role("heading", name="Costs: Slate Barrow")).to_be_visible()
    expect(page.get_by_text("Nothing is reckoned yet.")).to_be_visible()
    assert Axe().run(page).response["violations"] == []
    write.click()
    page.get_by_role("radio", name="Feed bought").check()
    fill(page, "Kilograms", 25)
    fill(page, "Paid", "18.50")
    fill(page, "Currency", "EUR")
    press(page, "Write it down")
    expect(page.get_by_text("Written down.")).to_be_visible()
    house.open()
    all_in_the_book(page)
    (bought,) = [row["body"] for row in hand.rows("entries") if row["kind"] == "feed_bought"]
    assert (bought["kg"], bought["paid"], bought["currency"]) == (25, 18.5, "EUR")
    assert keeper.faults == []


def test_eggs_that_were_there_before_the_first_round_are_counted_in_packed_and_told_of(
    house: House, phone: Callable[..., Phone]
) -> None:
    hand = Hand(house)
    hand.begin(name=OWNER[0], password=OWNER[1])
    keeper = phone(house)
    page = keeper.sign_in(*OWNER)
    keeper.go("/lines")
    described(page)
    all_in_the_book(page)

    keeper.go("/store")
    press(page, "Count the eggs of Slate Barrow")
    page.get_by_role("dialog").get_by_role("textbox").nth(1).fill(str(THERE))  # of yesterday
    press(page, "Write it down")
    expect(page.get_by_text(f"{THERE} eggs to set or send")).to_be_visible()
    assert Axe().run(page).response["violations"] == []

    # A word given to somebody before: six of these eggs are theirs.
    all_in_the_book(page)
    line = hand.rows("lines")[0]["id"]
    order = {"order": str(uuid6.uuid7()), "code": "old", "customer": None, "line": line, "eggs": OF_OTHERS, "note": ""}
    tomorrow = (today() + timedelta(days=1)).isoformat()
    word = {"order": order["order"], "eggs": OF_OTHERS, "for_day": tomorrow, "sure": 0.9}
    hand.push(
        [
            hand.entry("order_taken", today().isoformat(), **order, wanted_by=tomorrow, oldest_days=None),
            hand.entry("promised", today().isoformat(), **word),
        ]
    )
    keeper.go("/orders")
    expect(page.get_by_role("link", name=re.compile("Set aside for old"))).to_be_visible(timeout=60_000)

    page.get_by_role("link", name="Take an order").click()
    fill(page, "Eggs", WANTED)
    press(page, "Write the order down")
    expect(page.get_by_role("button", name="Not sure enough to promise")).to_be_disabled()
    page.get_by_role("link", name="Pack it").click()
    expect(page.get_by_text("It was not promised")).to_be_visible()
    of_yesterday = page.get_by_role("textbox").first
    expect(of_yesterday).to_have_value(str(THERE - OF_OTHERS))
    expect(page.get_by_text(f"{WANTED - THERE + OF_OTHERS} fewer than {WANTED}")).to_be_visible()
    of_yesterday.fill(str(WANTED))
    expect(page.get_by_text("2 eggs of these are set aside for other orders promised.")).to_be_visible()
    assert Axe().run(page).response["violations"] == []
    of_yesterday.fill(str(THERE - OF_OTHERS))
    press(page, f"Packed: {THERE - OF_OTHERS} eggs")
    fill(page, "How it goes", "post")
    press(page, "Sent today")
    page.get_by_role("link", name="Type in a reply slip").click()
    fill(page, "Set", 14)
    fill(page, "Hatched", 9)
    press(page, "Write it down")
    expect(page.get_by_text(re.compile("^From the reply slip"))).to_be_visible()
    all_in_the_book(page)
    (shipment,) = hand.rows("shipments")
    assert [each["eggs"] for each in shipment["eggs"]] == [THERE - OF_OTHERS]
    until(lambda: hand.rows("egg-store")[0]["left"] == OF_OTHERS, what="what was promised is still there")
    assert keeper.faults == []
