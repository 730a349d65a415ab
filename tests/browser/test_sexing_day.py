"""Sexing day without signal: one brood in the hand, left in the middle, taken up again, and home."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import Page, expect

from tests.browser.a_barn import OWNER, set_up
from tests.browser.house import House, until
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, tap, undo, waiting

CHICKS = 8


def tally(page: Page) -> dict[str, int]:
    """What stands in the tally: how many of each, and how many are left."""
    entries = page.locator("dl.tally > div").all()
    return {each.locator("dt").inner_text(): int(each.locator("dd").inner_text()) for each in entries}


def in_hand(page: Page, words: str) -> None:
    expect(page.get_by_role("heading", name=words, exact=True)).to_be_visible()


def test_a_brood_is_sexed_in_the_barn(house: House, phone: Callable[..., Phone]) -> None:
    barn = set_up(house, cages=1, mornings=1)
    brood = barn.hatch(code="26-04", days_ago=45, chicks=CHICKS)

    def due() -> dict[str, object] | None:
        changes = barn.hand.ask("/api/changes?after=0&limit=2000")["rows"]
        rows = (each["row"] for each in changes if each["table"] == "due" and each["row"])
        return next((row for row in rows if row["work"] == "sexing" and row["subject"] == f"brood/{brood}"), None)

    until(due, what="sexing is due for the brood")
    keeper = phone(house)
    keeper.sign_in(*OWNER)
    all_in_the_book(keeper.page)
    expect(keeper.page.get_by_role("link", name="Sexing 26-04")).to_contain_text(f"{CHICKS} left")
    keeper.close()

    # In the barn, from a cold start: the brood of the window stands on Today.
    house.close()
    page = keeper.start()
    page.get_by_role("link", name="Sexing 26-04").click()
    expect(page.get_by_text("to be looked at from day 42 to 56")).to_be_visible()
    in_hand(page, "Bird 1")
    tap(page, "Cock")
    page.get_by_label("Band").fill("R14")
    tap(page, "Hen")
    tap(page, "Not sure")
    tap(page, "Cock")
    in_hand(page, "Bird 5")
    undo(page)
    in_hand(page, "Bird 4")
    assert tally(page) == {"Cocks": 1, "Hens": 1, "Not sure": 1, "Left": CHICKS - 3}
    waiting(page, 5)

    # The phone dies on the way; it goes on where it was left.
    keeper.kill()
    page = keeper.start("/sexing")
    page.get_by_role("link", name="26-04").click()
    in_hand(page, "Bird 4")
    assert tally(page) == {"Cocks": 1, "Hens": 1, "Not sure": 1, "Left": CHICKS - 3}
    tap(page, "Hen")
    page.get_by_role("button", name="Look again at bird 3").click()
    in_hand(page, "Bird 3")
    tap(page, "Hen")

    # A band that the book knows brings up its bird: a hen that crowed after all.
    page.get_by_label("Band").fill("r 14")
    in_hand(page, "Bird 2 band R14")
    tap(page, "Cock")
    assert tally(page) == {"Cocks": 2, "Hens": 2, "Not sure": 0, "Left": CHICKS - 4}

    house.open()
    keeper.go("/")
    all_in_the_book(page)
    birds = [(each["number"], each["sex"], each["band"]) for each in barn.hand.rows("birds")]
    assert birds == [(1, "cock", None), (2, "cock", "R14"), (3, "hen", None), (4, "hen", None)]
    (row,) = barn.hand.rows("broods")
    assert {key: row[key] for key in ("alive", "hens", "cocks", "unsure", "unlooked")} == {
        "alive": CHICKS,
        "hens": 2,
        "cocks": 2,
        "unsure": 0,
        "unlooked": CHICKS - 4,
    }
    until(lambda: (due() or {}).get("left") == CHICKS - 4, what=f"{CHICKS - 4} birds are left to look at")
    expect(page.get_by_role("link", name="Sexing 26-04")).to_contain_text(f"{CHICKS - 4} left", timeout=45_000)
    assert keeper.faults == []
