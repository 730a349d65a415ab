"""Hatching eggs sent to a stranger: an order taken, promised, set aside, packed and sent from a phone in the barn; then
reported on by the customer, in a browser of their own and without an account, and seen on the line's page."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import uuid6
from playwright.sync_api import Page, expect

from tests.browser.a_barn import OWNER, today
from tests.browser.house import Hand, House, until
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, more

MORNINGS = 36
HENS = 20
WANTED = 28
IN_DAYS = 6  # by then only eggs laid from yesterday on are within their seven days
PLUMAGE = [
    {"key": "slate", "words": "slate blue", "is_type": True},
    {"key": "fawn", "words": "fawn", "is_type": False},
]


def eggs_on(morning: int) -> int:
    """What the cage gave on that morning, the last being yesterday's: 15 to 17."""
    return 15 + morning % 3


def a_line_in_lay(house: House) -> Hand:
    """One line, one cage of twenty hens, and five weeks of counts: enough to promise by."""
    hand = Hand(house)
    hand.begin(name=OWNER[0], password=OWNER[1])
    line, cage = str(uuid6.uuid7()), str(uuid6.uuid7())
    long_ago = (today() - timedelta(days=MORNINGS + 2)).isoformat()
    described = {
        "line": line,
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
        "cock_cut_g": None,
        "hen_cut_g": None,
        "laying_life_weeks": None,
        "hen_breeding_weeks": None,
        "cock_breeding_weeks": None,
        "storage_limit_days": 7,
        "note": "",
    }
    where = {"cage": cage, "code": "A1", "row": "A", "place": 1, "line": line, "closed": False}
    birds = {"cage": cage, "brood": None, "from_cage": None, "hens": HENS, "cocks": 5, "unsexed": 0}
    entries = [
        {**hand.entry("line", long_ago, **described), "version": 2},
        hand.entry("cage", long_ago, **where),
        hand.entry("birds_placed", long_ago, **birds),
    ]
    for morning in range(MORNINGS):
        day = (today() - timedelta(days=MORNINGS - morning)).isoformat()
        count = {"round": "morning", "eggs": eggs_on(morning), "cracked": 0, "soiled": 0, "thin_shelled": 0}
        entries.append(hand.entry("egg_count", day, cage=cage, **count))
    hand.push(entries)
    until(lambda: "can_promise" in tables(hand), what="the house has said what can be promised")
    return hand


def tables(hand: Hand) -> set[str]:
    """Of which tables the house has rows for a phone."""
    return {row["table"] for row in hand.ask("/api/changes?after=0&limit=2000")["rows"]}


def due(hand: Hand) -> list[dict[str, Any]]:
    rows = hand.ask("/api/changes?after=0&limit=2000")["rows"]
    return [row["row"] for row in rows if row["table"] == "due" and row["row"] is not None]


def fill(page: Page, label: str, what: object) -> None:
    page.get_by_label(label, exact=True).fill(str(what))


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def take_and_promise(keeper: Phone) -> None:
    """At the house: the order is written down for a new customer, and promised where the house is sure enough."""
    page = keeper.go("/orders")
    page.get_by_role("link", name="Take an order").click()
    press(page, "Somebody new")
    fill(page, "Name", "Ilse Garrow")
    press(page, "Keep")
    expect(page.get_by_role("dialog")).to_have_count(0)
    expect(page.get_by_label("Customer", exact=True)).to_contain_text("Ilse Garrow")
    fill(page, "Wanted by", (today() + timedelta(days=IN_DAYS)).isoformat())
    fill(page, "Eggs", 400)
    expect(page.get_by_text(re.compile(r"at 90 % sure the most is \d+ eggs"))).to_be_visible()
    fill(page, "Eggs", WANTED)
    expect(page.get_by_text("Can be promised")).to_be_visible()
    press(page, "Write the order down")
    press(page, f"Promise {WANTED} eggs")
    expect(page.get_by_text(re.compile(f"Promised .*: {WANTED} eggs for"))).to_be_visible()
    all_in_the_book(page)


def test_an_order_is_promised_set_aside_packed_and_sent(house: House, phone: Callable[..., Phone]) -> None:
    hand = a_line_in_lay(house)
    keeper = phone(house)
    page = keeper.sign_in(*OWNER)
    take_and_promise(keeper)
    until(lambda: any(row["work"] == "pack" for row in due(hand)), what="what must be packed is due")
    keeper.go("/")
    expect(page.get_by_role("link", name=re.compile(r"in 6 ?days.*Pack order"))).to_contain_text(f"{WANTED} left")
    house.close()  # in the barn there is no signal

    # This morning's eggs are the only ones that will be fresh enough on the day: they are set aside at once.
    keeper.go("/round")
    more(page, 17)
    keeper.go("/")
    aside = page.get_by_role("link", name=re.compile("Set aside for"))
    expect(aside).to_contain_text("17eggs")
    expect(aside).to_contain_text(f"17 of {WANTED} by")

    # Packed today after all: the oldest that are still within their days go first.
    aside.click()
    page.get_by_role("link", name="Pack it").click()
    oldest = eggs_on(MORNINGS - 6)  # the morning six days ago found the eggs of the seventh
    expect(page.get_by_text(f"{oldest} there, 7 days old")).to_be_visible()
    fill(page, "Boxes", 2)
    fill(page, "Eggs a box holds", 18)
    fill(page, "Packing", "foam")
    press(page, f"Packed: {WANTED} eggs")
    expect(page.get_by_text(f"{WANTED} eggs in 2 boxes of 18, foam")).to_be_visible()
    fill(page, "How it goes", "post")
    press(page, "Sent today")
    expect(page.get_by_text(re.compile("^Sent .*, post"))).to_be_visible()

    # The slip: each line and day laid, how to handle them, and, without a public address, a reply to send back.
    page.get_by_role("link", name="The slip to print").click()
    slip = page.get_by_role("article", name="The slip")
    expect(slip.get_by_role("row", name=re.compile(f"Slate Barrow.*{oldest}$"))).to_be_visible()
    expect(slip).to_contain_text("veterinary rules")
    expect(slip).to_contain_text("Chicks, slate blue")
    assert "Ilse Garrow" not in slip.inner_text()

    house.open()
    all_in_the_book(page)
    (shipment,) = hand.rows("shipments")
    (order,) = hand.rows("orders")
    assert (shipment["sent_on"], shipment["sent_by"], shipment["box_holds"]) == (today().isoformat(), "post", 18)
    assert {each["order"] for each in shipment["eggs"]} == {order["id"]}
    assert [each["eggs"] for each in shipment["eggs"]] == [oldest, WANTED - oldest]
    store = {row["laid_on"]: row for row in hand.rows("egg-store")}
    assert store[(today() - timedelta(days=7)).isoformat()]["left"] == 0
    assert store[(today() - timedelta(days=1)).isoformat()]["left"] == 17
    assert not [row for row in hand.rows("entries") if row["code"]]

    # The house gets a public address: the link for the customer, who needs neither account nor app.
    house.close()
    house.settings["BARNBOOK_PUBLIC_ADDRESS"] = house.url
    house.open()
    all_in_the_book(page)
    press(page, "Make the report link")
    link = slip.get_by_text(re.compile(f"^{house.url}/report/")).inner_text().split(",")[0].strip()
    customer = phone(house, "customer")
    the_customer_reports(customer, link)
    line = shipment["eggs"][0]["line"]
    reckoned = f"/api/figures?subject=shipped/{line}"
    until(lambda: any(row["value"] for row in hand.ask(reckoned)["rows"]), what="the house has reckoned the report")
    seen_by_the_owner(keeper, shipment["id"], line)
    reports = [row for row in hand.rows("entries") if row["kind"] == "hatch_reported"]
    changes = hand.ask("/api/changes?after=0&limit=2000")["rows"]
    roles = {each["id"]: each["row"]["role"] for each in changes if each["table"] == "person"}
    assert [roles[report["author"]] for report in reports] == ["customer", "customer"]
    assert "warm" not in str(reports)
    assert "Garrow" not in str(changes)
    assert (keeper.faults, customer.faults) == ([], [])


def the_customer_reports(customer: Phone, link: str) -> None:
    """In two goes, and once too many."""
    context = customer.switch_on()
    page = customer.page
    page.goto(link)
    expect(page.get_by_role("heading", name="How did they hatch?")).to_be_visible()
    expect(page.get_by_role("group", name=f"{WANTED} eggs, Slate Barrow")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
    fill(page, "arrived broken", 2)
    fill(page, "set", WANTED - 1)
    press(page, "Send")
    expect(page.get_by_role("alert")).to_contain_text("cannot be more")
    fill(page, "set", WANTED - 2)
    press(page, "Send")
    expect(page.get_by_role("status")).to_contain_text("Thank you")
    fill(page, "hatched", 19)
    fill(page, "slate blue", 18)
    fill(page, "fawn", 1)
    fill(page, "A remark, if you like", "They came warm, <b>thank you</b>.")
    press(page, "Send")
    expect(page.get_by_role("status")).to_contain_text("Thank you")
    expect(page.get_by_label("hatched", exact=True)).to_have_value("19")
    assert context.cookies() == []
    assert page.evaluate("navigator.serviceWorker.getRegistrations().then((all) => all.length)") == 0


def seen_by_the_owner(keeper: Phone, shipment: str, line: str) -> None:
    """On the shipment's page at once, on the line's once the house has reckoned."""
    page = keeper.go(f"/shipment/{shipment}")
    expect(page.get_by_text(re.compile("^By the customer, "))).to_be_visible()
    expect(page.get_by_text(f"19 chicks, {WANTED - 2} set, 2 arrived broken")).to_be_visible()
    expect(page.get_by_text("18 slate blue, 1 fawn")).to_be_visible()
    expect(page.get_by_text("“They came warm, <b>thank you</b>.”")).to_be_visible()
    keeper.go(f"/line/{line}")
    expect(page.get_by_role("heading", name="Shipped eggs")).to_be_visible()
    expect(page.get_by_text(f"{100 * 19 / WANTED:.0f} %", exact=False).first).to_be_visible()
    expect(page.get_by_text("may not have hatched yet")).to_be_visible()
    keeper.go(f"/sheets/{line}")
    row = page.get_by_role("row", name=re.compile("Hatched of shipped eggs, of eggs sent"))
    expect(row).to_contain_text(f"{100 * 19 / WANTED:.0f} %")
    expect(page.get_by_text("No report was set aside by the farm.")).to_be_visible()
    keeper.go("/")
    expect(page.get_by_role("link", name=re.compile("Pack order"))).to_have_count(0)
