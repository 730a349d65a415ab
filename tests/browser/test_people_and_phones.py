"""Somebody is asked in by a code, writes, and is seen among the phones; their phone is unpaired, and loses nothing."""

from __future__ import annotations

import re
from collections.abc import Callable

from playwright.sync_api import expect

from tests.browser.a_barn import OWNER, set_up
from tests.browser.house import House, until
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, count, waiting


def test_a_phone_comes_in_by_a_code_and_goes(house: House, phone: Callable[..., Phone]) -> None:
    barn = set_up(house, cages=3, mornings=1)
    owner = phone(house, "owner", viewport={"width": 1280, "height": 800})
    desk = owner.sign_in(*OWNER)
    all_in_the_book(desk)
    desk.goto(f"{house.url}/set-up/people")
    desk.get_by_role("button", name="Ask somebody in").click()
    desk.get_by_label("Their name").fill("Wren Aldous")
    desk.get_by_role("button", name="Ask them in").click()
    desk.get_by_role("button", name="Show the code").click()
    expect(desk.get_by_role("img", name=re.compile("QR code"))).to_be_visible()
    link = desk.get_by_text(f"{house.url}/join/").inner_text()
    desk.get_by_role("button", name="Close").click()

    wren = phone(house, "wren")
    page = wren.start(link.removeprefix(house.url))
    expect(
        page.get_by_text("This device will write in the book of Three Alders as Wren Aldous, helper.")
    ).to_be_visible()
    page.get_by_label("Choose a password").fill("12345678")
    page.get_by_role("button", name="Come in").click()
    expect(page.get_by_text("Choose another password")).to_be_visible()
    page.get_by_label("Choose a password").fill("oats-before-noon")
    page.get_by_role("button", name="Come in").click()
    expect(page.get_by_role("heading", name="Today")).to_be_visible()
    wren.ready_offline()
    wren.go("/round")
    count(page, "A1", 4)
    until(lambda: barn.counted() == {"A1": 4}, what="the count of the new phone is in the book")

    desk.goto(f"{house.url}/set-up/phones")
    row = desk.get_by_role("listitem").filter(has_text="Wren Aldous")
    expect(row).to_contain_text("nothing waited then")
    row.get_by_role("button", name="Unpair").click()
    desk.get_by_role("dialog").get_by_role("button", name="Unpair").click()
    expect(desk.get_by_role("listitem").filter(has_text="Wren Aldous")).to_contain_text("Off")

    # The phone keeps what is tapped, and says what to do; signed in again it is all sent.
    count(page, "A2", 5)
    waiting(page, 1)
    page.goto(f"{house.url}/")
    expect(page.get_by_text(re.compile("sign in", re.IGNORECASE)).first).to_be_visible()
    page.goto(f"{house.url}/sign-in")
    page.get_by_label("Name", exact=True).fill("Wren Aldous")
    page.get_by_label("Password", exact=True).fill("oats-before-noon")
    page.get_by_role("button", name="Sign in").click()
    until(lambda: barn.counted() == {"A1": 4, "A2": 5}, what="what waited is in the book")
    assert (owner.faults, wren.faults) == ([], [])
