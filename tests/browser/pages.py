"""Every page of the app, and every leaf that can be laid over one: what stands at its head, and how it is come by."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

import uuid6
from playwright.sync_api import Page

from tests.browser.a_barn import today
from tests.browser.house import Hand

PAGES_OF_THE_APP = Path(__file__).parents[2] / "frontend" / "src" / "screens" / "far-pages.tsx"


@dataclass(frozen=True)
class Leaf:
    """pattern: as the app writes it.  path: with the ids of one farm in it.  title: its heading."""

    pattern: str
    path: str
    title: str


def patterns_of_the_app() -> set[str]:
    return set(re.findall(r"page\(\s*'([^']+)'", PAGES_OF_THE_APP.read_text()))


def every_page(hand: Hand) -> list[Leaf]:
    """Pages for somebody signed in, with something of this farm on each."""
    cage = next(row for row in hand.rows("cages") if row["hens"] > 0)
    line = next(row for row in hand.rows("lines") if row["id"] == cage["line"])
    first = min(row["name"] for row in hand.rows("lines"))  # the line that a page of the house opens with
    brood = max((row for row in hand.rows("broods") if row["unlooked"] > 5), key=lambda row: row["hatched_on"])
    bird = next((row for row in hand.rows("birds") if row["brood"] == brood["id"]), None) or a_bird(hand, brood["id"])
    setting = next(iter(hand.rows("settings")), None) or a_setting(hand, cage)
    order = next(iter(hand.rows("orders")), None) or an_order(hand, cage["line"])
    shipment = next(iter(hand.rows("shipments")), None) or a_shipment(hand, order)
    names: dict[str, Any] = {
        "order": order["id"],
        "shipment": shipment["id"],
        "cage": cage["id"],
        "line": line["id"],
        "brood": brood["id"],
        "round": "morning",
        "bird": bird["id"],
        "setting": setting["id"],
        "customer": "new",
    }
    titles = {
        "/": "Today",
        "/round": "Morning round",
        "/round/of/:round": "Morning round",
        "/round/:cage": "Morning round",
        "/outbox": "Outbox",
        "/sexing": "Sexing day",
        "/sexing/:brood": f"Sexing {brood['code']}",
        "/sexing/:brood/move": f"{brood['code']} to their cages",
        "/brood/:brood/guess": f"Early guess {brood['code']}",
        "/bird/:brood/:bird": f"Band {bird['band']}" if bird["band"] else f"Bird {bird['number']}",
        "/broods/bought-in": "Birds bought in",
        "/hatch-room": "Hatch room",
        "/hatch-room/set": "Set eggs",
        "/hatch-room/set/:setting": f"Setting {setting['code']}",
        "/setting/:setting": f"Setting {setting['code']}",
        "/setting/:setting/chicks": f"Chicks of {setting['code']}",
        "/weigh-eggs": "Egg weighing",
        "/weigh-eggs/:cage": f"Eggs of {cage['code']}",
        "/weigh-birds": "Weigh day",
        "/weigh-birds/:brood": f"Weighing {brood['code']}",
        "/cages": "Cages",
        "/cage/:cage": f"Cage {cage['code']}",
        "/broods": "Broods",
        "/brood/:brood": f"Brood {brood['code']}",
        "/laying": "Laying",
        "/laying/:line": f"Laying: {line['name']}",
        "/hatching": f"Hatching: {first}",
        "/hatching/:line": f"Hatching: {line['name']}",
        "/choosing": f"Choosing: {first}",
        "/choosing/:line": f"Choosing: {line['name']}",
        "/sheets": "Line sheets",
        "/sheets/:line": line["name"],
        "/costs": f"Costs: {first}",
        "/costs/:line": f"Costs: {line['name']}",
        "/costs/write": "Feed and expenses",
        "/customers": "Customers",
        "/customer/:customer": "A new customer",
        "/shipment/:shipment/report": "Reply slip",
        "/set-up/people": "People",
        "/set-up/phones": "Phones",
        "/set-up/public-address": "Public address",
        "/set-up/house": "The house",
        "/lines": "Lines",
        "/line/:line": line["name"],
        "/mating": f"Mating: {first}",
        "/mating/:line": f"Mating: {line['name']}",
        "/ahead": f"Ahead: {first}",
        "/ahead/:line": f"Ahead: {line['name']}",
        "/wait-or-process": f"Wait or process: {first}",
        "/wait-or-process/:line": f"Wait or process: {line['name']}",
        "/true-to-type": f"True to type: {first}",
        "/true-to-type/:line": f"True to type: {line['name']}",
        "/store": "Egg store",
        "/orders": "Orders",
        "/orders/new": "An order",
        "/order/:order": f"Order {order['code']}",
        "/order/:order/change": f"Change order {order['code']}",
        "/order/:order/pack": f"Pack {order['code']}",
        "/shipment/:shipment": f"Shipment {shipment['code']}",
        "/shipment/:shipment/slip": f"Slip {shipment['code']}",
        "/set-up": "Set-up",
        "/set-up/farm": "Farm",
        "/set-up/line/:line": f"Line {line['name']}",
        "/set-up/cages": "Cages",
        "/set-up/cards": "Cards for the cages",
        "/set-up/cage/:cage": f"Cage {cage['code']}",
        "/set-up/brood/:brood": f"Brood {brood['code']}",
        "/set-up/notebook": "Bring in a notebook",
        "/set-up/take-out": "Take the book out",
        "/set-up/phone": "This device",
        "/sign-in": "Sign in",
    }
    return [Leaf(p, re.sub(r":(\w+)", lambda m: str(names[m.group(1)]), p), title) for p, title in titles.items()]


def a_bird(hand: Hand, brood: str) -> dict[str, Any]:
    """One bird of the brood, known by its band."""
    bird = str(uuid6.uuid7())
    hand.push([hand.entry("birds_banded", today().isoformat(), brood=brood, birds=[{"bird": bird, "band": "T1"}])])
    return next(row for row in hand.rows("birds") if row["id"] == bird)


def a_setting(hand: Hand, cage: dict[str, Any]) -> dict[str, Any]:
    """Thirty eggs of the cage in an incubator, set nine days ago and not candled yet."""
    day = (today() - timedelta(days=9)).isoformat()
    eggs = [{"laid_on": None, "eggs": 30}]
    tray = {"tray": str(uuid6.uuid7()), "name": "1", "line": cage["line"], "cage": cage["id"], "eggs": eggs}
    body = {"setting": str(uuid6.uuid7()), "code": "T-1", "incubator": "", "set_on": day, "trays": [tray], "note": ""}
    hand.push([hand.entry("eggs_set", day, **body)])
    return hand.rows("settings")[0]


def an_order(hand: Hand, line: str) -> dict[str, Any]:
    """Twelve eggs wanted in a week."""
    wanted = (today() + timedelta(days=7)).isoformat()
    body = {"order": str(uuid6.uuid7()), "code": "T-1", "customer": None, "line": line, "eggs": 12, "note": ""}
    hand.push([hand.entry("order_taken", today().isoformat(), **body, wanted_by=wanted, oldest_days=None)])
    return hand.rows("orders")[0]


def a_shipment(hand: Hand, order: dict[str, Any]) -> dict[str, Any]:
    """Two eggs of it packed, of a day that nobody gave."""
    eggs = [{"order": order["id"], "line": order["line"], "laid_on": None, "eggs": 2}]
    body = {"shipment": str(uuid6.uuid7()), "code": "P-1", "customer": None, "eggs": eggs, "packing": "", "note": ""}
    hand.push([hand.entry("packed", today().isoformat(), **body, boxes=None, box_holds=None)])
    return hand.rows("shipments")[0]


def press(name: str) -> Callable[[Page], None]:
    return lambda page: page.get_by_role("button", name=name).first.click()


def twelve_eggs(page: Page) -> None:
    page.get_by_role("button", name=re.compile("^More")).click()
    page.get_by_role("button", name="9", exact=True).click()
    page.get_by_role("button", name="9", exact=True).click()


def heavy_egg(page: Page) -> None:
    for key in "999":
        page.get_by_role("button", name=key, exact=True).click()
    page.get_by_role("button", name="Write 999 g").click()


SHEETS: list[tuple[str, str, Callable[[Page], None]]] = [
    ("/round", "which round", press("Morning round")),
    ("/round", "found dead", press("Found dead")),
    ("/round", "note", press("Note")),
    ("/round", "an unlikely count", twelve_eggs),
    ("/weigh-eggs/:cage", "an unlikely weight", heavy_egg),
    ("/cage/:cage", "head check", press("Head check")),
    ("/cage/:cage", "place birds", press("Place birds")),
    ("/cage/:cage", "strike", press("Strike: ")),
    ("/brood/:brood", "found dead", press("Found dead")),
    ("/brood/:brood", "bands", press("Bands")),
    ("/brood/:brood", "brooder", press("Brooder")),
    ("/brood/:brood", "processed", press("Processed")),
    ("/brood/:brood", "sold alive", press("Sold alive")),
    ("/brood/:brood", "injured", press("Injured")),
    ("/brood/:brood", "treatment", press("Treatment")),
    ("/weigh-birds/:brood", "several at once", press("Several at once")),
    ("/hatch-room/set", "a tray", press("First tray")),
    ("/setting/:setting", "candle", press("Candle tray")),
    ("/brood/:brood", "place in a cage", press("Place in a cage")),
    ("/store", "take out", press("Take out eggs of")),
    ("/store", "count them", press("Count the eggs of")),
    ("/order/:order", "withdraw", press("Withdraw")),
    ("/set-up/phone", "sign out", press("Sign out")),
]
"""Pattern of the page, what is laid over it, and the tap that does it. Nothing is written by any of them."""
