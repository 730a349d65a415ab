"""Ahead on the example farm: what is promised stands there as the house has it, and whether eggs are left to set."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from typing import Any

from playwright.sync_api import expect

from tests.browser.a_barn import today
from tests.browser.house import Hand, House, until
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book


def rows_of(hand: Hand, table: str) -> dict[str, dict[str, Any]]:
    """By id, from the changes."""
    found: dict[str, dict[str, Any]] = {}
    after, more = 0, True
    while more:
        said = hand.ask(f"/api/changes?after={after}&limit=2000")
        found |= {each["id"]: each["row"] for each in said["rows"] if each["table"] == table and each["row"]}
        after, more = said["next"], said["more"]
    return found


def test_orders_promised_and_the_eggs_left_to_set(example_house: House, phone: Callable[..., Phone]) -> None:
    hand = Hand(example_house)
    hand.sign_in(*example_house.example_owner)
    lines = {row["id"]: row["name"] for row in hand.rows("lines")}
    until(lambda: len(rows_of(hand, "can_promise")) == len(lines), what="what can be promised", seconds=180)
    can = rows_of(hand, "can_promise")
    packed = {each["order"] for row in hand.rows("shipments") for each in row["eggs"]}
    promised = [row for row in hand.rows("orders") if row["promised_for"] and not row["withdrawn_on"]]
    promised = [row for row in promised if row["id"] not in packed]
    assert len(promised) >= 2

    keeper = phone(example_house)
    page = keeper.sign_in(*example_house.example_owner)
    all_in_the_book(page)
    for order in promised:
        keeper.go(f"/ahead/{order['line']}")
        row = page.get_by_role("list", name="Eggs promised, by day").get_by_role("listitem")
        row = row.filter(has_text=f"Order {order['code']}")
        expect(row).to_contain_text(f"{order['promised_eggs']} eggs on")
        sure = next(each["sure"] for each in can[order["line"]]["orders"] if each["order"] == order["id"])
        expect(row).to_contain_text(re.compile(rf"\b{sure * 100:.0f} % sure now"))

    # The eggs that one more brood wants, beside the most that can be taken that day with all promises kept.
    said = set()
    for id_ in sorted(lines):
        keeper.go(f"/ahead/{id_}")
        other = page.locator(".not-printed").filter(has=page.get_by_role("heading", name="keepers by another day"))
        expect(other).to_be_visible()
        most = can[id_]["most"][(today() - date.fromisoformat(can[id_]["from_day"])).days] if can[id_]["most"] else None
        for hens in ("1", "30"):
            other.get_by_label("Hens to keep").select_option(hens)
            found = re.search(r"Set (\d+) eggs? by", other.inner_text())
            if found is None or most is None:  # of a line whose eggs or lay nobody can tell yet, nothing is said
                expect(other).not_to_contain_text("90 % sure to be there")
                continue
            enough = most >= int(found.group(1))
            words = "So many fresh eggs are at least 90 % sure" if enough else f"Only {most} fresh egg"
            expect(other).to_contain_text(words)
            said.add(enough)
    assert said
    assert keeper.faults == []
