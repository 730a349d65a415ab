"""Every page: from a cold start without signal, and for eyes and ears that are not everybody's."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.browser.house import Hand, House
from tests.browser.pages import SHEETS, Leaf, every_page, patterns_of_the_app
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book

SIZES = {"phone": {"width": 360, "height": 740}, "laptop": {"width": 1280, "height": 800}}


@pytest.fixture(scope="module")
def pages(example_house: House) -> list[Leaf]:
    hand = Hand(example_house)
    hand.sign_in(*example_house.example_owner)
    return every_page(hand)


def test_no_page_is_left_out_here(pages: list[Leaf]) -> None:
    # What a link that works once opens is gone through where such links are: nobody is signed in there.
    assert patterns_of_the_app() - {page.pattern for page in pages} == {"/begin/:token", "/join/:code"}


def test_every_page_opens_from_a_cold_start_without_signal(
    example_house: House, pages: list[Leaf], phone: Callable[..., Phone]
) -> None:
    example_house.until_reckoned(seconds=180)
    keeper = phone(example_house)
    keeper.sign_in(*example_house.example_owner)
    all_in_the_book(keeper.page)
    for leaf in pages:  # brought home while there is signal
        if leaf.pattern in ("/sheets/:line", "/laying/:line"):
            keeper.go(leaf.path)
            expect(keeper.page.get_by_role("heading", name=leaf.title, level=1)).to_be_visible(timeout=60_000)
    keeper.close()
    example_house.close()
    try:
        page = keeper.start()
        for leaf in pages:
            keeper.go(leaf.path)  # each is a load of the whole app
            expect(page.get_by_role("heading", name=leaf.title, level=1)).to_be_visible()
            if leaf.pattern != "/sign-in":
                expect(page.get_by_text("as of ").first).to_be_visible()
        assert keeper.faults == []
    finally:
        example_house.open()


def findings(page: Page) -> list[str]:
    """What axe finds serious or critical, with the element it is about."""
    found: list[dict[str, Any]] = Axe().run(page).response["violations"]
    return [
        f"{each['impact']} {each['id']}: {node['html'][:160]} ({node['failureSummary'][:200]})"
        for each in found
        if each["impact"] in ("serious", "critical")
        for node in each["nodes"]
    ]


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize("size", SIZES)
def test_axe_finds_nothing_serious(
    example_house: House, pages: list[Leaf], phone: Callable[..., Phone], size: str, light: str
) -> None:
    keeper = phone(example_house, viewport=SIZES[size], has_touch=size == "phone", color_scheme=light)
    page = keeper.sign_in(*example_house.example_owner)
    all_in_the_book(page)
    found: dict[str, list[str]] = {}
    paths = {leaf.pattern: leaf.path for leaf in pages}
    for leaf in pages:
        keeper.go(leaf.path)
        expect(page.get_by_role("heading", name=leaf.title, level=1)).to_be_visible()
        found[leaf.pattern] = findings(page)
    for pattern, what, lay in SHEETS:
        keeper.go(paths[pattern])
        lay(page)
        expect(page.get_by_role("dialog")).to_be_visible()
        page.evaluate("() => Promise.all(document.getAnimations().map((each) => each.finished))")  # it fades in
        found[f"{what} on {pattern}"] = findings(page)
    assert {where: what for where, what in found.items() if what} == {}
    assert keeper.faults == []


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize("size", SIZES)
def test_axe_finds_nothing_serious_at_the_door(
    house: House, phone: Callable[..., Phone], size: str, light: str
) -> None:
    """A house that nobody has begun, the one-time link, and the sign-in."""
    visitor = phone(house, viewport=SIZES[size], has_touch=size == "phone", color_scheme=light)
    page = visitor.start()
    expect(page.get_by_role("heading", name="A new book")).to_be_visible()
    found = {"unclaimed": findings(page)}
    visitor.go(house.begin_path)
    expect(page.get_by_role("heading", name="Begin the book")).to_be_visible()
    found["begin"] = findings(page)
    Hand(house).begin()
    visitor.go("/")
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    found["sign in"] = findings(page)
    assert {where: what for where, what in found.items() if what} == {}
