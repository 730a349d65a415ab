"""The path once: a morning's round tapped without signal, the phone dead in the middle of it, and home again."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from tests.browser.a_barn import CAGES, OWNER, set_up, today
from tests.browser.house import House, until
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, count, waiting


@pytest.mark.parametrize("way", ["the house is down", "the house does not answer"])
def test_thirty_cages_survive_a_dead_phone_and_are_in_the_book_once(
    house: House, phone: Callable[..., Phone], way: str
) -> None:
    barn = set_up(house)
    this_morning = {cage: n % 4 + 2 for n, cage in enumerate(barn.cages)}

    keeper = phone(house)
    keeper.sign_in(*OWNER)
    all_in_the_book(keeper.page)
    keeper.close()

    # A cold start in the barn, without signal.
    leave, come_back = (house.close, house.open) if way == "the house is down" else (house.stall, house.go_on)
    leave()
    page = keeper.start("/round")
    expect(page.get_by_role("heading", name="Morning round")).to_be_visible()
    for n, cage in enumerate(barn.cages):
        count(page, barn.codes[n], this_morning[cage])
    expect(page.get_by_text("30 of 30")).to_be_visible()
    waiting(page, CAGES)

    # The battery dies; the same phone is switched on again, still without signal.
    keeper.kill()
    page = keeper.start()
    waiting(page, CAGES)
    page.goto(f"{house.url}/outbox")
    for code in barn.codes:
        expect(page.get_by_text(f"Cage {code}:")).to_have_count(1)

    # Back at the house.
    come_back()
    page.goto(house.url)
    all_in_the_book(page)

    counted = [
        entry
        for entry in barn.hand.rows("entries")
        if entry["kind"] == "egg_count" and entry["day"] == today().isoformat()
    ]
    assert {entry["body"]["cage"]: entry["body"]["eggs"] for entry in counted} == this_morning
    assert len(counted) == CAGES, "each is in the book once"

    # The lay rate that comes back, against the same sums done here.
    cage = barn.cages[7]
    expected = barn.lay_rate_of_the_last_week(cage, this_morning[cage])

    def reckoned() -> bool:
        rows = barn.hand.rows("figures", subject=f"cage/{cage}")
        return any(
            row["name"] == "lay_rate" and row["span"] == "7d" and row["value"] == pytest.approx(expected, abs=1e-12)
            for row in rows
        )

    until(reckoned, what=f"the lay rate of cage {barn.codes[7]} over 7 days is {expected:.4f}")
    page.goto(f"{house.url}/cage/{cage}")
    figure = page.locator("section.figure", has=page.get_by_role("heading", name="Lay rate, 7 days"))
    expect(figure).to_contain_text(f"{expected * 100:.0f} %")
    assert keeper.faults == []
