"""The egg round's other ways: more than nine, unsound eggs, the dead, passing over, taking back, jumping, twice."""

from __future__ import annotations

import re
from collections.abc import Callable

from playwright.sync_api import Locator, Page, expect

from tests.browser.a_barn import HELPER, OWNER, set_up
from tests.browser.house import House
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, cage, count, jump, more, pass_over, tap, undo, waiting


def asked_twice(page: Page) -> Locator:
    return page.get_by_role("dialog", name="A1 was counted in this round")


def test_a_round_with_everything_in_it(house: House, phone: Callable[..., Phone]) -> None:
    """Six cages of five hens, without signal from the first tap to the last."""
    barn = set_up(house, cages=6, mornings=3)
    keeper = phone(house)
    keeper.sign_in(*OWNER)
    all_in_the_book(keeper.page)
    keeper.close()
    house.close()
    page = keeper.start("/round")

    # A1: three of the five are not sound; one key each, then the count.
    cage(page, "A1")
    for key in ("Cracked", "Soiled", "Thin shell"):
        page.get_by_role("button", name=key).click()
    count(page, "A1", 5)

    # A2: twelve eggs of five hens is asked about once more, and believed the second time.
    cage(page, "A2")
    more(page, 12)
    question = page.get_by_role("dialog", name="A2: 12 eggs?")
    expect(question).to_contain_text("5 hens in one day hardly lay 12 eggs")
    question.get_by_role("button", name="No, count again").click()
    cage(page, "A2")
    more(page, 12)
    question.get_by_role("button", name="Yes, 12").click()

    # A3: one hen lies dead. The number of hens before the thumb is one less at once.
    here = cage(page, "A3")
    expect(here).to_contain_text("5 hens, 1 cock")
    page.get_by_role("button", name="Found dead").click()
    page.get_by_role("dialog", name="A3: found dead").get_by_role("button", name="Write it down").click()
    expect(here).to_contain_text("4 hens, 1 cock")

    # A slip of the thumb is taken back, and the cage comes up again.
    count(page, "A3", 9)
    page.get_by_role("dialog", name="A3: 9 eggs?").get_by_role("button", name="Yes, 9").click()
    cage(page, "A4")
    undo(page)
    count(page, "A3", 3)

    # A4 is passed over; A5 is jumped over, and the end of the round lists both.
    pass_over(page, "A4")
    cage(page, "A5")
    jump(page, "A6")
    count(page, "A6", 2)
    end = page.get_by_role("region", name="End of the round")
    expect(end.get_by_role("heading", name="1 cage left")).to_be_visible()
    end.get_by_role("button", name="A5").click()
    count(page, "A5", 4)
    expect(end.get_by_role("heading", name="Morning round is done")).to_be_visible()
    expect(end).to_contain_text("26 eggs from 5 cages")
    expect(end).to_contain_text("Passed over")
    end.get_by_role("button", name="A4").click()
    expect(cage(page, "A4")).to_contain_text("Passed over this round. A count still counts.")
    tap(page, 0)
    expect(end).to_contain_text("26 eggs from 6 cages")
    expect(end).not_to_contain_text("Passed over")
    waiting(page, 10)

    house.open()
    keeper.go("/")
    all_in_the_book(page)
    assert barn.counted() == {"A1": 5, "A2": 12, "A3": 3, "A4": 0, "A5": 4, "A6": 2}
    a1 = next(each["body"] for each in barn.entries("egg_count") if each["body"]["cage"] == barn.cages[0])
    assert (a1["cracked"], a1["soiled"], a1["thin_shelled"]) == (1, 1, 1)
    (dead,) = (each["body"] for each in barn.entries("found_dead"))
    assert (dead["cage"], dead["hens"], dead["cocks"]) == (barn.cages[2], 1, 0)
    assert [each["body"]["cage"] for each in barn.entries("cage_passed")] == [barn.cages[3]]
    assert [each["hens"] for each in barn.hand.rows("cages")] == [5, 5, 4, 5, 5, 5]

    # What was taken back stays readable on the cage's page, struck through, and counts for nothing.
    keeper.go(f"/cage/{barn.cages[2]}")
    struck = page.get_by_role("list", name="Entries, newest first").locator("li[data-struck]")
    expect(struck).to_contain_text("9 eggs")
    assert keeper.faults == []


def test_a_death_written_by_mistake_is_taken_back_where_it_was_written(
    house: House, phone: Callable[..., Phone]
) -> None:
    barn = set_up(house, cages=2, mornings=2)
    keeper = phone(house)
    page = keeper.sign_in(*OWNER)
    all_in_the_book(page)
    house.stall()
    keeper.go("/round")
    here = cage(page, "A1")
    page.get_by_role("button", name="Found dead").click()
    page.get_by_role("dialog").get_by_role("button", name="Write it down").click()
    expect(here).to_contain_text("4 hens")
    undo(page)
    expect(here).to_contain_text("5 hens")
    house.go_on()
    keeper.go("/")
    all_in_the_book(page)
    assert barn.entries("found_dead") == []
    assert barn.hand.rows("cages")[0]["hens"] == 5


def test_two_phones_in_one_round(house: House, phone: Callable[..., Phone]) -> None:
    """The helper has counted a cage; the owner comes by with the eggs of another round, then with a better count."""
    barn = set_up(house, cages=3, mornings=3)
    barn.walks_twice_a_day()
    house.join(name=HELPER[0], password=HELPER[1])

    tams = phone(house, "tams")
    page = tams.sign_in(*HELPER)
    all_in_the_book(page)
    tams.go("/round/of/morning")
    count(page, "A1", 4)
    all_in_the_book(page)

    eddas = phone(house, "eddas")
    eddas.sign_in(*OWNER)
    all_in_the_book(eddas.page)
    eddas.close()
    house.stall()
    page = eddas.start("/round/of/morning")
    cage(page, "A2")
    jump(page, "A1")
    expect(cage(page, "A1")).to_contain_text(re.compile(r"this round: 4 by Tam Orrin"))

    tap(page, 2)
    twice = asked_twice(page)
    expect(twice).to_contain_text("4 eggs by Tam Orrin")
    twice.get_by_role("button", name="Another round: evening").click()
    cage(page, "A2")
    jump(page, "A1")
    expect(cage(page, "A1")).to_contain_text("evening: 2 by Edda Quarrie")
    tap(page, 3)
    twice.get_by_role("button", name="In its place: strike 4, write 3").click()
    count(page, "A2", 5)
    waiting(page, 4)
    house.go_on()
    eddas.go("/")
    all_in_the_book(page)
    assert barn.counted("morning") == {"A1": 3, "A2": 5}
    assert barn.counted("evening") == {"A1": 2}

    # The helper sees whose count stands now, and cannot strike it.
    page = tams.go("/round/of/morning")
    expect(page.get_by_text("2 of 3")).to_be_visible()
    jump(page, "A1")
    expect(cage(page, "A1")).to_contain_text("this round: 3 by Edda Quarrie")
    tap(page, 4)
    expect(asked_twice(page)).to_contain_text("Only the owner can strike a count that somebody else wrote.")
    asked_twice(page).get_by_role("button", name="Neither").click()
    assert tams.faults == eddas.faults == []
