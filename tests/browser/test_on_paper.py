"""What is printed of the example farm: how many sides of paper it takes, and that nothing on it can only be tapped."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.house import Hand, House
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book

PAPERS = ("A4", "Letter")
TAPPED = "nav, .foot-line, .page-back, button.button, a.button, .choice, select"


@pytest.fixture(scope="module")
def hand(example_house: House) -> Hand:
    hand = Hand(example_house)
    hand.sign_in(*example_house.example_owner)
    return hand


@pytest.fixture(scope="module")
def desk(example_house: House, playwright: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    laptop = Phone(
        playwright,
        tmp_path_factory.mktemp("paper") / "profile",
        example_house.url,
        viewport={"width": 1280, "height": 800},
        has_touch=False,
    )
    page = laptop.sign_in(*example_house.example_owner)
    all_in_the_book(page)
    laptop.go("/sheets")
    expect(page.get_by_role("list", name="Line sheets").get_by_role("listitem")).to_have_count(4, timeout=180_000)
    yield page
    laptop.close()


def sides(page: Page, paper: str) -> int:
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", page.pdf(format=paper)))


def left_to_tap(page: Page) -> list[str]:
    """What can only be tapped and is on the paper all the same."""
    page.emulate_media(media="print")
    found = [each.inner_text() for each in page.locator(TAPPED).all() if each.is_visible()]
    page.emulate_media(media="null")
    return found


def test_each_line_sheet_is_one_side_of_a4_and_of_letter(desk: Page, hand: Hand) -> None:
    lines = hand.rows("lines")
    assert len(lines) == 4
    for line in lines:
        desk.goto(f"{hand.house.url}/sheets/{line['id']}")
        expect(desk.locator(".sheet-figures, .left-off").first).to_be_visible(timeout=180_000)
        assert left_to_tap(desk) == []
        assert {paper: sides(desk, paper) for paper in PAPERS} == {"A4": 1, "Letter": 1}, line["name"]


def test_a_sheet_saved_as_a_page_is_one_side_too(desk: Page, hand: Hand) -> None:
    for line in hand.rows("lines"):
        desk.goto(f"{hand.house.url}/sheets/{line['id']}")
        asked = "(line) => fetch(`/api/lines/${line}/sheet.html`).then((answer) => answer.text())"
        saved = desk.evaluate(asked, line["id"])
        desk.goto("about:blank")
        desk.set_content(saved)
        expect(desk.get_by_role("heading", level=1)).to_have_text(line["name"])
        assert {paper: sides(desk, paper) for paper in PAPERS} == {"A4": 1, "Letter": 1}, line["name"]


def test_two_lines_side_by_side_are_one_side(desk: Page, hand: Hand) -> None:
    ids = {row["name"]: row["id"] for row in hand.rows("lines")}
    desk.goto(f"{hand.house.url}/sheets/{ids['Candlewick']}")
    desk.get_by_label("Side by side with").select_option(ids["Dunmarrow Heavy"])
    expect(desk.get_by_role("columnheader", name="Dunmarrow Heavy")).to_be_visible()
    expect(desk.get_by_role("row", name=re.compile("^Chicks: cream"))).to_contain_text("not of this line")
    assert {paper: sides(desk, paper) for paper in PAPERS} == {"A4": 1, "Letter": 1}


def test_a_card_for_each_cage_and_none_torn_over_two_sides(desk: Page, hand: Hand) -> None:
    line = next(row["id"] for row in hand.rows("lines") if row["name"] == "Dunmarrow Heavy")
    desk.goto(f"{hand.house.url}/mating/{line}")
    cards = desk.locator(".mating-card")
    expect(cards.first).to_be_visible(timeout=180_000)
    assert left_to_tap(desk) == []
    desk.emulate_media(media="print")
    desk.set_viewport_size({"width": 690, "height": 1000})  # A4 less its margins, at 96 dots an inch
    assert cards.count() == 10
    assert all(card.evaluate("(e) => getComputedStyle(e).display") == "inline-grid" for card in cards.all())
    assert max(box["height"] for card in cards.all() if (box := card.bounding_box())) < 900
    desk.emulate_media(media="null")
    desk.set_viewport_size({"width": 1280, "height": 800})
    assert {paper: sides(desk, paper) <= 4 for paper in PAPERS} == {"A4": True, "Letter": True}


def test_a_slip_is_one_side(desk: Page, hand: Hand) -> None:
    shipment = hand.rows("shipments")[0]["id"]
    desk.goto(f"{hand.house.url}/shipment/{shipment}/slip")
    expect(desk.locator(".slip")).to_be_visible()
    assert {paper: sides(desk, paper) for paper in PAPERS} == {"A4": 1, "Letter": 1}


@pytest.mark.parametrize("path", ["/laying", "/laying/{line}", "/hatching/{line}", "/wait-or-process/{line}"])
def test_charts_are_on_paper_and_what_is_tapped_is_not(desk: Page, hand: Hand, path: str) -> None:
    line = next(row["id"] for row in hand.rows("lines") if row["name"] == "Dunmarrow Heavy")
    desk.goto(f"{hand.house.url}{path.format(line=line)}")
    expect(desk.locator(".chart svg, .interval-bar").first).to_be_visible(timeout=180_000)
    assert left_to_tap(desk) == []
    desk.emulate_media(media="print")
    expect(desk.locator(".chart svg, .interval-bar").first).to_be_visible()
    desk.emulate_media(media="null")
