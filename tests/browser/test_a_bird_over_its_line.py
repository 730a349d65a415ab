"""A bird's page without signal: its weights drawn over the growth of its line, and the same in tables behind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.a_barn import today
from tests.browser.house import Hand, House
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book

PRUNED_DAYS = (88, 91)  # a phone keeps entries for 90 days: what lies about there may be on it, or not


def tables(hand: Hand) -> dict[str, dict[str, Any]]:
    """Of each line that grows by its own weights, what the house sends of it."""
    found: dict[str, dict[str, Any]] = {}
    after, more = 0, True
    while more:
        said = hand.ask(f"/api/changes?after={after}&limit=2000")
        for each in said["rows"]:
            if each["table"] == "figure_table" and each["id"].startswith("weighing/") and each["row"]:
                found[each["id"].removeprefix("weighing/")] = each["row"]["body"]
        after, more = said["next"], said["more"]
    return found


def curves_of(hand: Hand) -> dict[tuple[str, str], list[list[float]]]:
    """The curve of each line and sex that has one."""
    return {
        (line, sex): body["sexes"][sex]["curve"]
        for line, body in tables(hand).items()
        for sex in ("cock", "hen")
        if body["sexes"][sex]["curve"]
    }


def a_bird_with_a_curve(hand: Hand) -> tuple[dict[str, Any], list[list[float]], int]:
    """The living bird weighed most often of late whose line has a curve for its sex; the curve; how often it was."""
    curves = curves_of(hand)
    lines = {row["id"]: row["line"] for row in hand.rows("broods")}
    kept, gone = ((today() - timedelta(days=days)).isoformat() for days in PRUNED_DAYS)
    weighings = hand.rows("weighings")
    times = Counter(row["bird"] for row in weighings if row["day"] > kept)
    about_there = {row["bird"] for row in weighings if gone <= row["day"] <= kept}
    birds = [row for row in hand.rows("birds") if (lines[row["brood"]], row["sex"]) in curves and row["gone"] is None]
    birds = [row for row in birds if row["id"] not in about_there]
    bird = max(birds, key=lambda row: times[row["id"]])
    return bird, curves[lines[bird["brood"]], bird["sex"]], times[bird["id"]]


def cells(page: Page, table: str) -> list[list[str]]:
    """The rows of a table that stands behind the drawing."""
    details = page.locator("details").filter(has=page.locator("summary", has_text=table))
    details.locator("summary").click()
    return [row.locator("td").all_inner_texts() for row in details.locator("tbody tr").all()]


def test_weights_over_the_growth_of_the_line(example_house: House, phone: Callable[..., Phone]) -> None:
    hand = Hand(example_house)
    hand.sign_in(*example_house.example_owner)
    example_house.until_reckoned(seconds=180)
    bird, curve, weighed = a_bird_with_a_curve(hand)
    assert weighed >= 2, "the example holds a bird that was weighed more than once"
    keeper = phone(example_house)
    keeper.sign_in(*example_house.example_owner)
    all_in_the_book(keeper.page)
    keeper.close()
    example_house.close()

    page = keeper.start(f"/bird/{bird['brood']}/{bird['id']}")
    drawing = page.locator(".growth svg")
    expect(drawing).to_be_visible()
    expect(page.get_by_text(f"The broken line is the mean of the line’s {bird['sex']}s")).to_be_visible()
    weights = cells(page, "Weights as a table")
    ages = [int(age) for _, age, _ in weights]
    assert len(weights) == weighed == drawing.locator("circle").count()

    # The table behind holds the house's own numbers, as far as the drawing reaches.
    mean = {int(age): (grams, between) for age, grams, between in cells(page, "The mean of the line’s")}
    assert mean
    for age, grams, low, high in curve:
        if age in mean:
            said, between = mean[age]
            assert float(said.split()[0]) == pytest.approx(grams, abs=0.51)
            assert [float(each.split()[0]) for each in between.split(" to ")] == pytest.approx([low, high], abs=0.51)

    # Drawn on one scale: two weights of the bird and the same grams of the curve stand at the same height.
    heights = drawing.evaluate(
        """(svg) => ({
            circles: [...svg.querySelectorAll('circle')].map((c) => [+c.getAttribute('cx'), +c.getAttribute('cy')]),
            mean: svg.querySelector('path.mean').getAttribute('d').replace('M', '').split(' L')
                .map((p) => p.split(' ').map(Number)),
            band: svg.querySelector('path.band') !== null,
        })"""
    )
    assert heights["band"]
    grams_of = [float(said.split()[0]) for _, _, said in weights]
    (x0, y0), (x1, y1) = heights["circles"][0], heights["circles"][-1]
    up, along = (y1 - y0) / (grams_of[-1] - grams_of[0]), (x1 - x0) / (ages[-1] - ages[0])
    shown = [point for point in curve if point[0] in mean]
    assert len(shown) == len(heights["mean"])
    for (age, grams, _, _), (x, y) in zip(shown, heights["mean"], strict=True):
        assert abs(x - (x0 + (age - ages[0]) * along)) < 1.5
        assert abs(y - (y0 + (grams - grams_of[0]) * up)) < 1.5
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert keeper.faults == []
