"""What else a year brings, written without signal: a treatment and its waits, birds bought in, hurt, sold; a scale that
types; a day of hatch put right."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import uuid6
from playwright.sync_api import Page, expect

from tests.browser.a_barn import OWNER, Barn, set_up, today
from tests.browser.house import House, until
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book

EGGS_WAIT, MEAT_WAITS = today() + timedelta(days=10), today() + timedelta(days=21)


def fill(page: Page, label: str, what: object) -> None:
    page.get_by_label(label, exact=True).fill(str(what))


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def short(day: date) -> str:
    """As the phone writes a day: Mar 13."""
    return f"{day:%b} {day.day}"


def the_line(barn: Barn, **changes: Any) -> None:
    described = {
        "line": barn.line,
        "name": "Slate Barrow",
        "other_names": [],
        "egg_low_g": 15.0,
        "egg_high_g": 16.0,
        "weighing_age_days": 56,
        "sexing_from_day": 42,
        "sexing_to_day": 56,
        "plumage": [],
        "candle_on_day": 7,
        "lockdown_on_day": 14,
        "hatch_on_day": 17,
        "cock_cut_g": None,
        "hen_cut_g": None,
        "laying_life_weeks": None,
        "hen_breeding_weeks": None,
        "cock_breeding_weeks": None,
        "storage_limit_days": 7,
        "note": "",
        **changes,
    }
    barn.hand.push([{**barn.hand.entry("line", today().isoformat(), **described), "version": 2}])


def in_the_barn(house: House, phone: Callable[..., Phone]) -> tuple[Phone, Page]:
    """A phone that holds the book, and no signal any more."""
    keeper = phone(house)
    page = keeper.sign_in(*OWNER)
    all_in_the_book(page)
    house.close()
    return keeper, page


def home(house: House, keeper: Phone) -> None:
    house.open()
    keeper.go("/")
    all_in_the_book(keeper.page)
    assert keeper.faults == []


def test_a_treatment_warns_wherever_eggs_or_birds_leave(house: House, phone: Callable[..., Phone]) -> None:
    barn = set_up(house, cages=1, mornings=4)
    brood = barn.hatch(code="26-04", days_ago=60, chicks=6)
    wanted = (today() + timedelta(days=7)).isoformat()
    order = {"order": str(uuid6.uuid7()), "code": "O-1", "customer": None, "line": barn.line, "eggs": 6, "note": ""}
    barn.hand.push([barn.hand.entry("order_taken", today().isoformat(), **order, wanted_by=wanted, oldest_days=None)])
    keeper, page = in_the_barn(house, phone)

    # The owner writes what the veterinarian said; Barnbook proposes no days.
    for where in (f"/cage/{barn.cages[0]}", f"/brood/{brood}"):
        keeper.go(where)
        press(page, "Treatment")
        expect(page.get_by_role("dialog")).to_contain_text("those that your veterinarian and the label give")
        fill(page, "What was given", "against mites")
        fill(page, "To", today().isoformat())
        fill(page, "Eggs wait until", EGGS_WAIT.isoformat())
        fill(page, "Meat waits until", MEAT_WAITS.isoformat())
        press(page, "Write it down")
        expect(page.get_by_role("dialog")).to_have_count(0)
    eggs = re.compile(f"Eggs wait until {short(EGGS_WAIT)}.*against mites")
    meat = re.compile(f"Meat waits until {short(MEAT_WAITS)}.*against mites")

    # Birds sold, and birds processed: of the cage, and of the brood.
    for where in (f"/cage/{barn.cages[0]}", f"/brood/{brood}"):
        keeper.go(where)
        for leaf in ("Sold alive", "Processed"):
            press(page, leaf)
            expect(page.get_by_role("dialog").get_by_text(meat)).to_be_visible()
            page.get_by_role("dialog").get_by_role("button", name="Close").click()

    # Eggs promised, and eggs set aside to eat or sold to eat; thrown away they may be.
    keeper.go(f"/order/{order['order']}")
    expect(page.get_by_text(eggs)).to_be_visible()
    keeper.go("/store")
    page.get_by_role("button", name="Take out eggs of Slate Barrow").click()
    for how in ("Eaten", "Sold to eat"):
        page.get_by_role("radio", name=how).check()
        expect(page.get_by_role("dialog").get_by_text(eggs)).to_be_visible()
    page.get_by_role("radio", name="Thrown away").check()
    expect(page.get_by_role("dialog").get_by_text(eggs)).to_have_count(0)
    home(house, keeper)
    assert len(barn.entries("treated")) == 2

    # Once it is struck nothing waits any more.
    keeper.go(f"/cage/{barn.cages[0]}")
    page.get_by_role("button", name=re.compile("^Strike: .*against mites")).click()
    page.get_by_role("dialog").get_by_role("button", name="Strike it").click()
    expect(page.get_by_text(eggs)).to_have_count(0)


def test_bought_in_hurt_sold_and_the_lights(house: House, phone: Callable[..., Phone]) -> None:
    barn = set_up(house, cages=1, mornings=1)
    keeper, page = in_the_barn(house, phone)
    until_day = today() + timedelta(days=30)

    keeper.go("/broods")
    page.get_by_role("link", name="Birds bought in").click()
    fill(page, "Code", "B-1")
    fill(page, "Hatched on", (today() - timedelta(days=70)).isoformat())
    fill(page, "Hens", 4)
    fill(page, "Cocks", 2)
    press(page, "30 days from today")
    press(page, "Write it down")
    expect(page.get_by_role("heading", name="Brood B-1")).to_be_visible()
    expect(page.get_by_text(f"Kept apart until {short(until_day)}, that day still within.")).to_be_visible()

    press(page, "Injured")
    fill(page, "Birds", 1)
    fill(page, "What is wrong, and what was done", "a torn toe, cleaned")
    expect(page.get_by_role("dialog")).to_contain_text("call a veterinarian")
    press(page, "Write it down")
    expect(page.get_by_text("a torn toe, cleaned")).to_be_visible()

    press(page, "Sold alive")
    expect(page.get_by_role("dialog")).to_contain_text("under local rules")
    press(page, "I have read it")
    fill(page, "Hens", 2)
    press(page, "Write it down")
    expect(page.get_by_text(re.compile("6 (chicks|birds)[^,]*, 2 gone"))).to_be_visible()
    press(page, "Sold alive")
    expect(page.get_by_role("button", name="At least one bird")).to_be_visible()
    expect(page.get_by_text("under local rules")).to_have_count(0)  # the caution is said once

    keeper.go(f"/cage/{barn.cages[0]}")
    press(page, "Lights and heat")
    fill(page, "Hours of light a day", "14.5")
    press(page, "Write it down")
    press(page, "Lights and heat")
    page.get_by_role("radio", name="The whole barn").check()
    fill(page, "Warmth, °C", "17")
    press(page, "Write it down")
    expect(page.get_by_role("dialog")).to_have_count(0)
    told = page.get_by_role("list", name="Light and warmth, newest first")
    expect(told.get_by_role("listitem").nth(0)).to_contain_text("17 °Cthe whole barn")
    expect(told.get_by_role("listitem").nth(1)).to_contain_text("14.5 h of light a dayrow A")
    home(house, keeper)
    keeper.go(f"/cage/{barn.cages[0]}")
    expect(told.get_by_role("listitem")).to_have_count(2)

    lights = [(each["body"]["row"], each["body"]["light_hours"]) for each in barn.entries("lights_and_heat")]
    assert sorted(lights, key=str) == [("A", 14.5), (None, None)]
    (bought,) = [row for row in barn.hand.rows("broods") if row["code"] == "B-1"]
    assert (bought["alive"], bought["quarantine_until"]) == (4, until_day.isoformat())

    def quarantine() -> bool:
        rows = barn.hand.ask("/api/changes?after=0&limit=2000")["rows"]
        return any(each["table"] == "due" and each["row"] and each["row"]["work"] == "quarantine" for each in rows)

    until(quarantine, what="the end of the quarantine is a due")
    keeper.go(f"/brood/{bought['id']}")
    expect(page.get_by_text(re.compile("Quarantine: "))).to_be_visible(timeout=45_000)


def test_a_scale_that_types_and_a_batch(house: House, phone: Callable[..., Phone]) -> None:
    barn = set_up(house, cages=1, mornings=1)
    brood = barn.hatch(code="26-04", days_ago=56, chicks=6)
    keeper, page = in_the_barn(house, phone)

    keeper.go(f"/weigh-birds/{brood}")
    expect(page.get_by_text("Bird 1", exact=True)).to_be_visible()
    page.keyboard.type("312.5")
    page.keyboard.press("Enter")
    expect(page.get_by_role("region", name="Bird 1 weighed")).to_contain_text("313 g")
    page.wait_for_timeout(400)
    page.keyboard.type("1999")  # the next weight puts the question away; no quail weighs so much
    page.keyboard.press("Enter")
    asked = page.get_by_role("dialog", name="1999 g?")
    expect(asked).to_contain_text("1999 g for one bird")
    asked.get_by_role("button", name="No, weigh again").click()
    page.wait_for_timeout(400)

    press(page, "Several at once")
    fill(page, "Not sexed", 3)
    fill(page, "All of them together, g", "90")
    expect(page.get_by_text("30 g a bird.")).to_be_visible()
    fill(page, "All of them together, g", "909")
    expect(page.get_by_text("303 g a bird.")).to_be_visible()
    page.get_by_role("dialog").get_by_role("button", name="Write it down").click()
    expect(page.get_by_role("dialog")).to_have_count(0)
    home(house, keeper)
    (alone,) = [each["body"] for each in barn.entries("bird_weight")]
    assert (alone["grams"], alone["typed"], alone["number"]) == (312.5, {"value": "312.5", "unit": "g"}, 1)
    (batch,) = [each["body"] for each in barn.entries("birds_weighed")]
    assert (batch["unsexed"], batch["grams"]) == (3, 909)


def test_a_day_of_hatch_put_right_moves_its_dues_at_once(house: House, phone: Callable[..., Phone]) -> None:
    barn = set_up(house, cages=1, mornings=1)
    brood = barn.hatch(code="26-04", days_ago=57, chicks=6)  # a day late, as it was first written

    def drawn() -> bool:
        rows = barn.hand.ask("/api/changes?after=0&limit=2000")["rows"]
        return any(each["table"] == "due" and each["row"]["subject"] == f"brood/{brood}" for each in rows)

    until(drawn, what="the dues of the brood are drawn")
    keeper, page = in_the_barn(house, phone)
    expect(page.get_by_role("link", name="Sexing 26-04")).to_contain_text("late")
    keeper.go(f"/set-up/brood/{brood}")
    fill(page, "Hatched on", (today() - timedelta(days=47)).isoformat())
    press(page, "Write it down")
    expect(page.get_by_role("heading", name="Brood 26-04")).to_be_visible()
    expect(page.get_by_text(re.compile("^Sexing: .* 9 days left$"))).to_be_visible()
    keeper.go("/")
    expect(page.get_by_role("link", name="Sexing 26-04")).to_contain_text("9days left")
    home(house, keeper)
    # The house says the same.
    (due,) = [
        each["row"]
        for each in barn.hand.ask("/api/changes?after=0&limit=2000")["rows"]
        if each["table"] == "due" and each["row"]["subject"] == f"brood/{brood}" and each["row"]["work"] == "sexing"
    ]
    until(lambda: due, what="the due is there")
    expect(page.get_by_role("link", name="Sexing 26-04")).to_contain_text("9days left")


def test_lives_of_hens_and_cocks_make_their_dues(house: House, phone: Callable[..., Phone]) -> None:
    barn = set_up(house, cages=1, mornings=1)
    the_line(barn, laying_life_weeks=48, hen_breeding_weeks=41, cock_breeding_weeks=40)
    brood = barn.hatch(code="25-01", days_ago=40 * 7, chicks=9)
    cage = str(uuid6.uuid7())
    body = {"cage": cage, "code": "B1", "row": "B", "place": 50, "line": barn.line, "closed": False}
    put = {"cage": cage, "brood": brood, "from_cage": None, "hens": 3, "cocks": 1, "unsexed": 0}
    barn.hand.push(
        [
            barn.hand.entry("cage", today().isoformat(), **body),
            barn.hand.entry("birds_placed", today().isoformat(), **put),
        ]
    )

    def drawn() -> bool:
        rows = barn.hand.ask("/api/changes?after=0&limit=2000")["rows"]
        works = {
            each["row"]["work"] for each in rows if each["table"] == "due" and each["row"]["subject"] == f"cage/{cage}"
        }
        return {"hens_breeding", "cocks_breeding", "replace_hens"} <= works

    until(drawn, what="the lives make their dues")
    keeper, page = in_the_barn(house, phone)
    keeper.go(f"/cage/{cage}")
    expect(
        page.get_by_text(re.compile("^Cocks grow old for breeding: .*last day$|^Cocks grow old for breeding: .*today"))
    ).to_be_visible()
    expect(page.get_by_text(re.compile("^Hens grow old for breeding: .* 7 days left"))).to_be_visible()
    expect(page.get_by_text(re.compile("^Hens grow old for laying: "))).to_be_visible()
    keeper.go("/")
    expect(page.get_by_role("link", name="Cocks old for breeding: B1")).to_be_visible()
    assert keeper.faults == []
