"""What a thumb does on the phone's screen, by the words that stand on it."""

from __future__ import annotations

import re

from playwright.sync_api import Locator, Page, expect

from tests.browser.house import until
from tests.browser.kept import still_to_send

PAUSE_MS = 400  # a pad takes nothing for 350 ms after a count


def tap(page: Page, name: int | str) -> None:
    """One key of a pad, and the wait after which it takes the next."""
    page.get_by_role("button", name=str(name), exact=True).click()
    page.wait_for_timeout(PAUSE_MS)


def more(page: Page, number: int) -> None:
    """Ten and up: `More`, then digit by digit."""
    page.get_by_role("button", name=re.compile("^More")).click()
    for digit in str(number):
        page.get_by_role("button", name=digit, exact=True).click()
    page.wait_for_timeout(PAUSE_MS)


def cage(page: Page, code: str) -> Locator:
    """The cage before the thumb; the test fails when it is another."""
    here = page.get_by_role("region", name=f"Cage {code}", exact=True)
    expect(here).to_be_visible()
    return here


def count(page: Page, code: str, eggs: int) -> None:
    cage(page, code)
    tap(page, eggs)


def pass_over(page: Page, code: str) -> None:
    cage(page, code)
    tap(page, "Pass over not counted")


def jump(page: Page, code: str) -> None:
    """Any cage of the walk, by the strip."""
    page.get_by_role("button", name=re.compile(f"^Cage {code}, ")).click()


def undo(page: Page) -> None:
    page.get_by_role("button", name="Undo").click()


def weigh(page: Page, typed: str, unit: str) -> None:
    for key in typed:
        page.get_by_role("button", name="Point" if key == "." else key, exact=True).click()
    tap(page, f"Write {typed} {unit}")


def waiting(page: Page, number: int) -> None:
    """The foot says how many entries are on this phone only, be they waiting or on their way."""
    expect(page.get_by_text(re.compile(f"^({number} on this phone|Sending {number})$"))).to_be_visible()


def all_in_the_book(page: Page) -> None:
    """The store is asked as well: for a moment after a tap the foot may still say so of what went before."""
    until(lambda: still_to_send(page) == 0, what="the outbox is empty", seconds=60)
    expect(page.get_by_text("All in the book")).to_be_visible(timeout=60_000)
