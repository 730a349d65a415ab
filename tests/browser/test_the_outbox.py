"""What waits, what the house set aside and why, mending, striking, the file; and being signed out in mid-round."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.a_barn import HELPER, OWNER, set_up, today
from tests.browser.house import House, until
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, count, jump, waiting

DAYS_AHEAD = 3


def to_look_at(page: Page, words: str) -> Locator:
    return page.get_by_role("article").filter(has_text=words)


def saved_file(page: Page, folder: Path) -> dict[str, Any]:
    with page.expect_download() as download:
        page.get_by_role("button", name="Save as a file").click()
    path = folder / download.value.suggested_filename
    download.value.save_as(path)
    return json.loads(path.read_text())  # type: ignore[no-any-return]


def test_a_phone_whose_clock_is_three_days_ahead(house: House, phone: Callable[..., Phone], tmp_path: Path) -> None:
    """The battery was flat and its clock came back wrong: what it wrote has days that have not come."""
    barn = set_up(house, cages=4, mornings=2)
    house.join(name=HELPER[0], password=HELPER[1])
    tams = phone(house)
    tams.sign_in(*HELPER)
    all_in_the_book(tams.page)
    tams.close()

    house.close()
    tams.days_ahead = DAYS_AHEAD
    page = tams.start("/round")
    for code, eggs in (("A1", 4), ("A2", 5), ("A3", 3)):
        count(page, code, eggs)
    waiting(page, 3)
    tams.close()

    # At the house the clock is right again, but the days stand as they were written.
    house.open()
    tams.days_ahead = 0
    page = tams.start()
    expect(page.get_by_text("3 to look at")).to_be_visible(timeout=60_000)
    assert barn.counted() == {}
    house.close()
    tams.go("/round")
    jump(page, "A4")
    count(page, "A4", 2)
    tams.go("/outbox")
    expect(page.get_by_role("heading", level=2)).to_have_text(["To look at", "1 entry on this phone"])
    for words in ("Cage A1: 4 eggs", "Cage A2: 5 eggs", "Cage A3: 3 eggs"):
        expect(to_look_at(page, words)).to_contain_text("has not come yet")
        expect(to_look_at(page, words)).to_contain_text("Check the phone's date and write it again.")
        expect(to_look_at(page, words)).to_contain_text("It counts for nothing until it is mended.")
    expect(page.get_by_role("list", name="Not yet with the house")).to_contain_text("Cage A4: 2 eggs")

    # All of it goes into a file.
    saved = saved_file(page, tmp_path)
    assert (saved["barnbook"], saved["farm_name"]) == ("outbox", "Three Alders")
    in_file = [(each["body"]["eggs"], each["day"], each["state"], each.get("code")) for each in saved["entries"]]
    wrong = (today() + timedelta(days=DAYS_AHEAD)).isoformat()
    assert in_file == [
        (4, wrong, "aside", "day_in_future"),
        (5, wrong, "aside", "day_in_future"),
        (3, wrong, "aside", "day_in_future"),
        (2, today().isoformat(), "waiting", None),
    ]

    # One is mended with its right day, one with its right day and number, one is struck; all without signal.
    to_look_at(page, "Cage A1").get_by_role("button", name="Mend").click()
    mending = page.get_by_role("dialog", name="Mend the entry")
    mending.get_by_label("Day").fill(today().isoformat())
    mending.get_by_role("button", name="Write it again").click()
    expect(to_look_at(page, "Cage A1")).to_have_count(0)
    to_look_at(page, "Cage A3").get_by_role("button", name="Mend").click()
    mending.get_by_label("Day").fill(today().isoformat())
    mending.get_by_label("Eggs").fill("1")
    mending.get_by_role("button", name="Write it again").click()
    expect(to_look_at(page, "Cage A3")).to_have_count(0)
    to_look_at(page, "Cage A2").get_by_role("button", name="Strike it").click()
    expect(page.get_by_role("heading", name="To look at")).to_have_count(0)
    waiting(page, 4)

    house.open()
    page.get_by_role("button", name="Try now").click()
    all_in_the_book(page)
    assert barn.counted() == {"A1": 4, "A3": 1, "A4": 2}
    asides = [
        each["row"] for each in barn.hand.ask("/api/changes?after=0&limit=2000")["rows"] if each["table"] == "aside"
    ]
    mended = {row["entry"] for row in asides if row and row["mended_by"]}
    assert mended >= {saved["entries"][0]["id"], saved["entries"][2]["id"]}
    assert tams.faults == []


@pytest.mark.parametrize("lost", ["the session", "every cookie"])
def test_signed_out_with_entries_waiting(house: House, phone: Callable[..., Phone], lost: str) -> None:
    """Capture goes on; after the next sign-in all are sent, each as the work of who wrote it."""
    barn = set_up(house, cages=3, mornings=2)
    house.join(name=HELPER[0], password=HELPER[1])
    tams = phone(house)
    page = tams.sign_in(*HELPER)
    all_in_the_book(page)
    assert tams.context is not None
    names = {each["name"] for each in tams.context.cookies()}
    assert {"barnbook_session"} < names, "the device has a cookie of its own"
    if lost == "the session":
        tams.context.clear_cookies(name="barnbook_session")
    else:
        tams.context.clear_cookies()

    tams.go("/round")
    count(page, "A1", 4)
    expect(page.get_by_text("sign in again to send")).to_be_visible()
    count(page, "A2", 5)
    waiting(page, 2)
    page.get_by_role("contentinfo").get_by_role("link").click()
    expect(page.get_by_text("Sign in again to send what is on this phone.")).to_be_visible()
    page.get_by_role("link", name="Sign in again to send", exact=True).click()
    expect(page.get_by_text("Each stays the work of the person who wrote it, whoever signs in.")).to_be_visible()

    # With the session alone lost the house still knows the phone, and the owner may sign in on it.
    name, password = OWNER if lost == "the session" else HELPER
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label("Password", exact=True).fill(password)
    page.get_by_role("button", name="Sign in").click()
    all_in_the_book(page)
    assert barn.counted() == {"A1": 4, "A2": 5}
    people = {
        row["row"]["name"]: row["id"]
        for row in barn.hand.ask("/api/changes?after=0")["rows"]
        if row["table"] == "person"
    }
    assert {each["author"] for each in barn.entries("egg_count")} == {people[HELPER[0]]}
    assert tams.faults == []


def test_who_never_signed_in_on_this_phone_is_named(house: House, phone: Callable[..., Phone]) -> None:
    """The house has forgotten the phone, and only the owner signs in on it again: the helper's entry is set aside."""
    barn = set_up(house, cages=2, mornings=2)
    house.join(name=HELPER[0], password=HELPER[1])
    tams = phone(house)
    page = tams.sign_in(*HELPER)
    all_in_the_book(page)
    assert tams.context is not None
    tams.context.clear_cookies()
    tams.go("/round")
    count(page, "A1", 4)
    expect(page.get_by_text("sign in again to send")).to_be_visible()
    tams.go("/sign-in")
    page.get_by_label("Name", exact=True).fill(OWNER[0])
    page.get_by_label("Password", exact=True).fill(OWNER[1])
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_text("1 to look at")).to_be_visible(timeout=60_000)
    tams.go("/outbox")
    expect(to_look_at(page, "Cage A1: 4 eggs")).to_contain_text(
        "The person who wrote this has not signed in on this phone."
    )
    assert barn.counted() == {}
    until(lambda: page.get_by_role("button", name="Mend").is_visible(), what="it can be mended")
