"""Numbers that contradict one another: both entries are shown together, and one is struck, without signal."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import uuid6
from playwright.sync_api import Locator, Page, expect

from tests.browser.a_barn import OWNER, Barn, set_up, today
from tests.browser.house import House
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book

NOW = today().isoformat()


def new_id() -> str:
    return str(uuid6.uuid7())


def contradict(barn: Barn) -> dict[str, tuple[str, str]]:
    """The five of them. Of each what the question says, and the words of the entry that is wrong."""
    hand = barn.hand

    def write(kind: str, *, version: int = 1, day: str = NOW, **body: Any) -> None:
        hand.push([{**hand.entry(kind, day, **body), "version": version}])

    def look(bird: str, brood: str, result: str = "hen", band: str | None = None) -> None:
        write("bird_sexed", bird=bird, brood=brood, result=result, band=band)

    setting, tray = new_id(), new_id()
    eggs = {"tray": tray, "name": "1", "line": barn.line, "cage": None, "eggs": [{"laid_on": None, "eggs": 10}]}
    set_on = (today() - timedelta(days=17)).isoformat()
    write("eggs_set", setting=setting, code="S-1", incubator="", set_on=set_on, trays=[eggs], note="", day=set_on)
    write("hatched", setting=setting, tray=tray, hatched=14, pipped_dead=0, dead_in_shell=0, note="")

    few = barn.hatch(code="26-01", days_ago=45, chicks=2)
    for _ in range(3):
        look(new_id(), few, "cock")

    write("birds_sold", cage=barn.cages[0], brood=None, hens=6, cocks=0, unsexed=0, birds=[], note="")

    many, others = barn.hatch(code="26-02", days_ago=50, chicks=9), barn.hatch(code="26-03", days_ago=50, chicks=9)
    bird = new_id()
    look(bird, many)
    for cage in barn.cages[1:3]:
        heads = {"hens": 1, "cocks": 0, "unsexed": 0, "birds": [{"bird": bird, "brood": many}]}
        write("birds_placed", version=2, cage=cage, brood=many, from_cage=None, **heads)
    look(new_id(), many, band="B-7")
    look(new_id(), others, band="B-7")
    return {
        "chicks": ("14 came out of tray 1, but 10 eggs", "14 hatched"),
        "looked": ("3 birds have been looked at", "cock"),
        "zero": ("-1 hens", "sold"),
        "cages": ("into one cage", "Cage A3"),
        "band": ("Band B-7 is on", "Brood 26-03"),
    }


def question(page: Page, words: str) -> Locator:
    return page.locator("article.asked").filter(has=page.locator("> p", has_text=words))


def test_both_entries_are_shown_and_one_is_struck(house: House, phone: Callable[..., Phone]) -> None:
    barn = set_up(house, cages=3, mornings=0)
    asked = contradict(barn)
    keeper = phone(house)
    keeper.sign_in(*OWNER)
    all_in_the_book(keeper.page)
    house.close()

    page = keeper.go("/")
    page.get_by_role("button", name=f"{len(asked)} questions below").click()
    page.get_by_role("button", name=f"Show all {len(asked)} questions").click()
    expect(page.locator("article.asked")).to_have_count(len(asked))
    for words, wrong in asked.values():
        this = question(page, words)
        expect(this).to_have_count(1)
        expect(this.locator(".entry")).to_have_count(2)
        this.locator(".entry").filter(has_text=wrong).first.get_by_role("button", name="Strike: ").click()
        page.get_by_role("dialog").get_by_role("button", name="Strike it").click()
        expect(question(page, words).locator(".entry")).to_have_count(1)
        expect(question(page, words)).to_contain_text("One entry is struck on this phone.")

    house.open()
    for _ in range(2):
        keeper.go("/")
        all_in_the_book(page)
    expect(page.locator("article.asked")).to_have_count(0)
    assert [row for row in barn.hand.rows("entries") if row["code"] and not row["struck_by"]] == []
    cages = {row["code"]: row["hens"] for row in barn.hand.rows("cages")}
    assert cages == {"A1": 5, "A2": 6, "A3": 5}
    assert keeper.faults == []
