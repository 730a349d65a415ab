"""The owner sets the address by which strangers reach the house, and is told in a sentence why one will not do."""

from __future__ import annotations

import re
from collections.abc import Callable

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.browser.a_barn import OWNER, set_up
from tests.browser.house import House
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book


def test_the_owner_is_told_why_an_address_will_not_do(house: House, phone: Callable[..., Phone]) -> None:
    set_up(house, cages=1, mornings=1)
    owner = phone(house)
    page = owner.sign_in(*OWNER)
    all_in_the_book(page)
    owner.go("/set-up")
    page.get_by_role("link", name=re.compile("Public address")).click()
    expect(page.get_by_text("None is set: no link is given to anybody outside.")).to_be_visible()
    typed = page.get_by_label("Public address", exact=True)
    keep = page.get_by_role("button", name="Check and keep it")
    for wrong, sentence in (
        ("http://eggs.example.org", "It must begin with https://"),
        ("https://192.168.1.20", "It must be a name"),
        ("https://barn.local", "leads nowhere from outside"),
        ("https://barn.invalid.example.org:1", "Nothing of this house answers"),
    ):
        typed.fill(wrong)
        keep.click()
        expect(page.get_by_role("alert")).to_contain_text(sentence, timeout=30_000)
        expect(typed).to_have_value(wrong)  # what was typed is there to be corrected
    assert Axe().run(page).response["violations"] == []

    house.close()
    house.settings["BARNBOOK_PUBLIC_ADDRESS"] = house.url
    house.open()
    owner.go("/set-up/public-address")
    expect(page.get_by_text(f"{house.url} leads to this house: links can be given.")).to_be_visible()
    expect(page.get_by_text("changed only there")).to_be_visible()
    expect(typed).to_have_count(0)
    assert owner.faults == []
