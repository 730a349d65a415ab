"""From the one-time link to the first count, on the screens of a phone alone."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta

from playwright.sync_api import Page, expect

from tests.browser.a_barn import OWNER, today
from tests.browser.house import Hand, House, until
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, count

HATCHED = today() - timedelta(days=60)


def write_down(page: Page) -> None:
    page.get_by_role("button", name="Write it down").click()


def chapter(page: Page, name: str) -> None:
    """Back to Today, and from its contents to a chapter."""
    page.get_by_role("link", name="Today", exact=True).click()
    page.get_by_role("navigation", name="Contents").get_by_role("link", name=name).click()


def test_an_owner_begins_a_book_and_walks_the_first_round(house: House, phone: Callable[..., Phone]) -> None:
    keeper = phone(house)
    page = keeper.start(house.begin_path)
    page.get_by_label("Name of the farm").fill("Three Alders")
    page.get_by_label("Time zone").fill("UTC")
    page.get_by_label("Your name").fill(OWNER[0])
    page.get_by_label("Password").fill(OWNER[1])
    page.get_by_role("button", name="Begin", exact=True).click()
    expect(page.get_by_role("heading", name="Today")).to_be_visible()
    expect(page.get_by_text("No cages in the book yet.")).to_be_visible()

    # A line.
    page.get_by_role("link", name="Set-up", exact=True).click()
    page.get_by_role("link", name=re.compile("^Lines")).click()
    page.get_by_role("link", name="A new line").click()
    page.get_by_label("Name", exact=True).fill("Slate Barrow")
    page.get_by_label("Other names it is sold under").fill("Blue Barrow, Barrow")
    page.get_by_label("Eggs from, g").fill("11")
    page.get_by_label("to, g").fill("12.5")
    write_down(page)
    expect(page.get_by_role("heading", name="Slate Barrow")).to_be_visible()

    # A row of cages.
    page.get_by_role("link", name="Lines").click()
    chapter(page, "Set-up")
    page.get_by_role("link", name=re.compile("^Cages")).click()
    page.get_by_label("Row", exact=True).fill("A")
    page.get_by_label("To", exact=True).fill("3")
    page.get_by_label("Line", exact=True).select_option(label="Slate Barrow")
    page.get_by_role("button", name="Add 3 cages").click()
    expect(page.get_by_text("3 cages written: A1 to A3.")).to_be_visible()

    # A brood, and birds of it into the first cage.
    page.get_by_role("link", name="Set-up").click()
    page.get_by_role("link", name=re.compile("^Broods")).click()
    page.get_by_role("link", name="Write down a hatched brood").click()
    page.get_by_label("Code").fill("26-01")
    page.get_by_label("Hatched on").fill(HATCHED.isoformat())
    page.get_by_label("Chicks", exact=True).fill("30")
    write_down(page)
    expect(page.get_by_role("heading", name="Brood 26-01")).to_be_visible()
    page.get_by_role("button", name="Place in a cage").click()
    sheet = page.get_by_role("dialog", name="Birds of 26-01")
    sheet.get_by_label("Into").select_option(label="A1: empty")
    for _ in range(4):
        sheet.get_by_role("button", name="Hens: one more").click()
    sheet.get_by_role("button", name="Cocks: one more").click()
    sheet.get_by_role("button", name="Place them").click()
    expect(sheet).to_be_hidden()

    # The first round: only the cage with hens is walked.
    page.get_by_role("link", name="Broods").click()
    page.get_by_role("link", name="Today", exact=True).click()
    page.get_by_role("link", name=re.compile("^Morning round")).click()
    expect(page.get_by_text("4 hens, 1 cock")).to_be_visible()
    count(page, "A1", 3)
    expect(page.get_by_role("heading", name="Morning round is done")).to_be_visible()
    expect(page.get_by_text("not in the walk: A2, A3")).to_be_visible()
    all_in_the_book(page)

    # All of it is in the book, as entries by the owner.
    hand = Hand(house)
    hand.sign_in(*OWNER)
    entries = hand.rows("entries")
    kinds = [each["kind"] for each in entries]
    assert {kind: kinds.count(kind) for kind in set(kinds) - {"farm"}} == {
        "line": 1,
        "cage": 3,
        "brood": 1,
        "birds_placed": 1,
        "egg_count": 1,
    }
    assert {each["author"] for each in entries} == {hand.me["person"]}
    (line,) = hand.rows("lines")
    assert (line["name"], line["other_names"]) == ("Slate Barrow", ["Blue Barrow", "Barrow"])
    assert (line["egg_low_g"], line["egg_high_g"]) == (11, 12.5)
    cages = hand.rows("cages")
    assert [(each["code"], each["row"], each["place"]) for each in cages] == [
        ("A1", "A", 1),
        ("A2", "A", 2),
        ("A3", "A", 3),
    ]
    assert {each["line"] for each in cages} == {line["id"]}
    assert (cages[0]["hens"], cages[0]["cocks"], cages[0]["stocked_on"]) == (4, 1, today().isoformat())
    (brood,) = hand.rows("broods")
    assert (brood["code"], brood["hatched_on"], brood["chicks"]) == ("26-01", HATCHED.isoformat(), 30)
    assert brood["placed"] == 5
    counted = next(each["body"] for each in entries if each["kind"] == "egg_count")
    assert (counted["cage"], counted["round"], counted["eggs"]) == (cages[0]["id"], "morning", 3)

    # A first count gives no rate yet: the page says what is missing instead.
    def reckoned() -> bool:
        return any(row["missing"] for row in hand.rows("figures", subject=f"cage/{cages[0]['id']}"))

    until(reckoned, what="the house says why it gives no lay rate yet")
    keeper.go(f"/cage/{cages[0]['id']}")
    expect(page.locator("section.figure .missing").first).to_be_visible(timeout=30_000)
    assert keeper.faults == []


def test_the_link_works_once(house: House, phone: Callable[..., Phone]) -> None:
    Hand(house).begin()
    page = phone(house).start(house.begin_path)
    expect(page.get_by_role("heading", name="Begin the book")).to_be_visible()
    expect(page.get_by_text("This link has been used")).to_be_visible()
    expect(page.get_by_label("Password")).to_have_count(0)
    page.get_by_role("link", name="Sign in").click()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    assert not any(each["name"] == "me" for each in page.context.cookies())
