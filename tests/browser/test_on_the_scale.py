"""Eggs and birds on the scale without signal, in grams and in ounces: what was typed is kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.a_barn import OWNER, Barn, set_up
from tests.browser.house import House
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, tap, undo, waiting, weigh

GRAMS_PER_OUNCE = 28.349523125  # exact: NIST Handbook 44, appendix C


def kept(barn: Barn, kind: str) -> list[dict[str, Any]]:
    """Bodies of that kind in the book, oldest first."""
    return [each["body"] for each in sorted(barn.entries(kind), key=lambda each: each["stamp"])]


def running(page: Page) -> list[str]:
    return page.locator("dl.running dd").all_inner_texts()


def test_weights_are_taken_in_the_barn(house: House, phone: Callable[..., Phone]) -> None:
    barn = set_up(house, cages=2, mornings=1)
    brood = barn.hatch(code="26-04", days_ago=56, chicks=5)
    keeper = phone(house)
    keeper.sign_in(*OWNER)
    all_in_the_book(keeper.page)
    keeper.close()
    house.close()

    # Eggs of A1, in grams: two by themselves, one of them in the line's band of 15 to 16 g, then four together.
    page = keeper.start("/weigh-eggs")
    page.get_by_role("link", name="A1", exact=True).click()
    weigh(page, "15.2", "g")
    weigh(page, "14.6", "g")
    page.get_by_role("radio", name="Several together").check()
    page.get_by_role("button", name="Eggs together: one less").click()
    weigh(page, "62.2", "g")
    assert running(page) == ["15.3 g", "6", "1 of 2"]

    # 146 g is no egg: asked once more, and weighed again.
    page.get_by_role("radio", name="One egg").check()
    weigh(page, "146", "g")
    question = page.get_by_role("dialog", name="146 g?")
    expect(question).to_contain_text("146.0 g an egg")
    question.get_by_role("button", name="No, weigh again").click()

    # Birds of the brood, one with a band.
    keeper.go("/weigh-birds")
    page.get_by_role("link", name="26-04").click()
    page.get_by_label("Band").fill("R7")
    weigh(page, "243.5", "g")
    tap(page, "Decide later: next bird")
    weigh(page, "198", "g")
    undo(page)
    weigh(page, "189", "g")

    # The owner turns to ounces, still without signal; the same screens now take them.
    keeper.go("/set-up/farm")
    page.get_by_role("radio", name="Ounces").check()
    page.get_by_role("button", name="Write it down").click()
    expect(page.get_by_text("weights in ounces")).to_be_visible()
    keeper.kill()
    page = keeper.start(f"/weigh-eggs/{barn.cages[0]}")
    expect(page.get_by_text("0.53–0.56 oz")).to_be_visible()
    weigh(page, ".55", "oz")
    keeper.go(f"/weigh-birds/{brood}")
    expect(page.get_by_text("8.6 oz")).to_be_visible()  # 243.5 g
    weigh(page, "7.25", "oz")
    waiting(page, 10)

    house.open()
    keeper.go("/")
    all_in_the_book(page)
    eggs = kept(barn, "egg_weight")
    assert [(each["eggs"], each["typed"]["value"], each["typed"]["unit"]) for each in eggs] == [
        (1, "15.2", "g"),
        (1, "14.6", "g"),
        (4, "62.2", "g"),
        (1, ".55", "oz"),
    ]
    grams = [15.2, 14.6, 62.2, 0.55 * GRAMS_PER_OUNCE]
    assert [each["grams"] for each in eggs] == pytest.approx(grams, abs=0.0005)
    birds = kept(barn, "bird_weight")
    assert [(each["typed"]["value"], each["band"]) for each in birds] == [
        ("243.5", "R7"),
        ("189", None),
        ("7.25", None),
    ]
    assert len({each["bird"] for each in birds}) == 3
    last = [each["last_weight_g"] for each in barn.hand.rows("birds")]
    assert last == pytest.approx([243.5, 189, 7.25 * GRAMS_PER_OUNCE], abs=0.0005)
    assert keeper.faults == []
