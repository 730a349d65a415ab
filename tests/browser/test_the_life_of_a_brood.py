"""The life of one brood, from eggs set to the breeder cage, written in the barn without signal and read at the house.

The days of the story stand in what is typed (set on, hatched on); the hand that types has one morning.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import uuid6
from playwright.sync_api import Page, expect

from tests.browser.a_barn import OWNER, Barn, set_up, today
from tests.browser.house import House
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, tap, weigh

HATCHED = today() - timedelta(days=57)
SET_ON = HATCHED - timedelta(days=17)
LAID = SET_ON - timedelta(days=1)
PLUMAGE = [
    {"key": "slate", "words": "slate blue", "is_type": True},
    {"key": "fawn", "words": "fawn", "is_type": False},
]


def a_line_with_its_cuts(barn: Barn) -> None:
    """What the owner set up before: plumage classes, and cut weights for cocks and hens."""
    described = {
        "line": barn.line,
        "name": "Slate Barrow",
        "other_names": [],
        "egg_low_g": 15.0,
        "egg_high_g": 16.0,
        "weighing_age_days": 56,
        "sexing_from_day": 42,
        "sexing_to_day": 56,
        "plumage": PLUMAGE,
        "candle_on_day": 7,
        "lockdown_on_day": 14,
        "hatch_on_day": 17,
        "cock_cut_g": 297.0,
        "hen_cut_g": 325.0,
        "laying_life_weeks": None,
        "hen_breeding_weeks": None,
        "cock_breeding_weeks": None,
        "storage_limit_days": 7,
        "note": "",
    }
    entry = barn.hand.entry("line", today().isoformat(), **described)
    barn.hand.push([{**entry, "version": 2}])


def an_empty_breeder_cage(barn: Barn) -> str:
    cage = str(uuid6.uuid7())
    body = {"cage": cage, "code": "B1", "row": "B", "place": 50, "line": barn.line, "closed": False}
    barn.hand.push([barn.hand.entry("cage", today().isoformat(), **body)])
    return cage


def fill(page: Page, label: str, what: object) -> None:
    page.get_by_label(label, exact=True).fill(str(what))


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def weekday(day: date) -> str:
    """As the phone writes it: Fri, Mar 13."""
    return f"{day:%a, %b} {day.day}"


def on_the_scale(page: Page, band: str, grams: str) -> Any:
    """One bird by its band; what the phone says of it at once."""
    fill(page, "Band", band)
    weigh(page, grams, "g")
    said = page.get_by_role("region", name=re.compile("weighed$"))
    expect(said).to_be_visible()
    return said


def test_from_eggs_set_to_the_breeder_cage(house: House, phone: Callable[..., Phone]) -> None:
    barn = set_up(house, cages=1, mornings=1)
    a_line_with_its_cuts(barn)
    breeder_cage = an_empty_breeder_cage(barn)
    keeper = phone(house)
    page = keeper.sign_in(*OWNER)
    all_in_the_book(page)
    house.close()  # and from here on there is no signal

    # Twenty eggs of cage A1 go into the incubator.
    keeper.go("/hatch-room")
    page.get_by_role("link", name="Set eggs").click()
    fill(page, "Code", "26-50")
    fill(page, "Set on", SET_ON.isoformat())
    press(page, "First tray")
    page.get_by_label("Eggs of").select_option(f"cage/{barn.cages[0]}")
    fill(page, weekday(LAID), 20)
    press(page, "20 eggs in the tray")
    press(page, "Set 20 eggs")

    # Candled: two clear, one dead early. Locked down, and hatched: twelve of the seventeen left.
    press(page, "Candle tray 1")
    fill(page, "Clear", 2)
    fill(page, "Dead early", 1)
    expect(page.get_by_text("17 alive of 20 read; 17 stay in.")).to_be_visible()
    press(page, "Write it down")
    expect(page.get_by_text("18 fertile of 20 read; 17 in it")).to_be_visible()
    press(page, "Lock down")
    press(page, "Hatch tray 1")
    fill(page, "Hatched", 12)
    fill(page, "Pipped and dead", 2)
    fill(page, "Dead in shell", 3)
    expect(page.get_by_text("Every egg of the tray is accounted for.")).to_be_visible()
    press(page, "Write it down")

    # A brood comes of it: ten of the type, two fawn, one tap each.
    page.get_by_role("link", name="Chicks one by one").click()
    fill(page, "Hatched on", HATCHED.isoformat())
    press(page, "Begin the brood")
    press(page, "Several at once")
    fill(page, "Chicks", 10)
    press(page, "10 chicks")
    tap(page, "fawn, 0 so far")
    tap(page, "fawn, 1 so far")
    expect(page.get_by_text("12 of 12 hatched looked at: every chick.")).to_be_visible()

    # In the brooder one dies; the others are banded in one run.
    page.get_by_role("link", name="Brood 26-50").click()
    expect(page.get_by_text("eggs of cage A1")).to_be_visible()
    press(page, "Found dead")
    press(page, "Write it down")
    press(page, "Bands")
    fill(page, "First band", "R01")
    fill(page, "Birds", 11)
    expect(page.get_by_text("Bands R01 to R11.")).to_be_visible()
    press(page, "Band 11 birds")
    brood_page = page.url.removeprefix(house.url)

    # An early guess: no foam is not sure, never a hen.
    page.get_by_role("link", name="Early guess").click()
    page.get_by_role("radio", name="Foam").check()
    expect(page.get_by_text("some cocks show none before the end of week 10")).to_be_visible()
    fill(page, "Band", "R01")
    expect(page.get_by_role("button", name="Hen", exact=True)).to_have_count(0)
    tap(page, "No foam not sure")
    page.get_by_role("radio", name="Feathers").check()
    fill(page, "Band", "R02")
    tap(page, "Cock")

    # Sexing day; the phone dies on the way, and the brood goes on where it was left.
    keeper.go("/sexing")
    page.get_by_role("link", name="26-50").click()
    for sex in ["Hen", "Cock", "Hen", "Cock"]:
        tap(page, sex)
    keeper.kill()
    page = keeper.start("/sexing")
    page.get_by_role("link", name="26-50").click()
    expect(page.get_by_role("heading", name="Bird 5 band R05")).to_be_visible()
    for sex in ["Hen", "Cock", "Hen", "Hen", "Cock", "Hen", "Hen"]:
        tap(page, sex)
    expect(page.get_by_role("link", name="Move them to their cages")).to_be_visible()

    # Weigh day: over or under the cut at once; who is kept is the person's own tap.
    keeper.go(brood_page.replace("/brood/", "/weigh-birds/"))
    said = on_the_scale(page, "R01", "331")
    expect(said).to_contain_text("6 g over the cut of 325 g")
    tap(page, "Keep makes the cut")
    said = on_the_scale(page, "R03", "340.5")
    expect(said).to_contain_text("The heaviest of 2 hens weighed")
    tap(page, "Keep makes the cut")
    said = on_the_scale(page, "R02", "312")
    expect(said).to_contain_text("15 g over the cut of 297 g")
    tap(page, "Keep makes the cut")
    said = on_the_scale(page, "R04", "290")
    expect(said).to_contain_text("7 g under the cut of 297 g")
    expect(said).to_contain_text("Number 2 of 2 cocks weighed")
    tap(page, "Process")

    # The one that did not make it; the caution is said once.
    page.get_by_role("link", name="290 g").click()
    press(page, "Processed")
    expect(page.get_by_text("Barnbook keeps the numbers and gives no method.")).to_be_visible()
    press(page, "I have read it")
    fill(page, "Live, g", 290)
    fill(page, "Dressed, g", 203)
    expect(page.get_by_text("Dressing share 70 %")).to_be_visible()
    page.get_by_role("radio", name="a few pin feathers").check()
    press(page, "Write it down")
    expect(page.get_by_text(re.compile("^Processed [A-Z]"))).to_be_visible()

    # Those to keep go to the breeder cage, in one step.
    keeper.go(brood_page.replace("/brood/", "/sexing/") + "/move")
    page.get_by_role("radio", name="Only those to keep").check()
    page.get_by_label("Hens into").select_option(breeder_cage)
    page.get_by_label("Cocks into").select_option(breeder_cage)
    expect(page.get_by_text("Cage B1: empty now, 2 hens, 1 cock after.")).to_be_visible()
    press(page, "move 3 birds")
    expect(page.get_by_text("12 chicks, 2 gone, 3 placed in cages")).to_be_visible()
    expect(page.get_by_text("Guessed by feathers: 1 of 1 right once sexed.")).to_be_visible()

    # Home: the house has it all, and makes the same of it.
    house.open()
    keeper.go("/")
    all_in_the_book(page)
    (setting,) = barn.hand.rows("settings")
    assert {key: setting[key] for key in ("eggs", "hatched", "chicks_seen")} == {
        "eggs": 20,
        "hatched": 12,
        "chicks_seen": 12,
    }
    (brood,) = barn.hand.rows("broods")
    assert brood["setting"] == setting["id"]
    assert brood["plumage"] == {"slate": 10, "fawn": 2}
    assert {key: brood[key] for key in ("chicks", "alive", "hens", "cocks", "unlooked", "placed")} == {
        "chicks": 12,
        "alive": 10,
        "hens": 7,
        "cocks": 3,
        "unlooked": 0,
        "placed": 3,
    }
    birds = {row["band"]: row for row in barn.hand.rows("birds")}
    assert [band for band, row in birds.items() if row["cage"] == breeder_cage] == ["R01", "R02", "R03"]
    assert [band for band, row in birds.items() if row["gone"]] == ["R04"]
    assert birds["R01"]["guess"] == "unsure"
    (cage,) = [row for row in barn.hand.rows("cages") if row["id"] == breeder_cage]
    assert (cage["hens"], cage["cocks"]) == (2, 1)
    questioned = [row for row in barn.hand.rows("entries") if row["code"] is not None]
    assert questioned == []
    assert keeper.faults == []
