"""Every page of the app, and every leaf that can be laid over one: what stands at its head, and how it is come by."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

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
    brood = max((row for row in hand.rows("broods") if row["unlooked"] > 5), key=lambda row: row["hatched_on"])
    names: dict[str, Any] = {"cage": cage["id"], "line": line["id"], "brood": brood["id"], "round": "morning"}
    titles = {
        "/": "Today",
        "/round": "Morning round",
        "/round/of/:round": "Morning round",
        "/round/:cage": "Morning round",
        "/outbox": "Outbox",
        "/sexing": "Sexing day",
        "/sexing/:brood": f"Sexing {brood['code']}",
        "/weigh-eggs": "Egg weighing",
        "/weigh-eggs/:cage": f"Eggs of {cage['code']}",
        "/weigh-birds": "Weigh day",
        "/weigh-birds/:brood": f"Weighing {brood['code']}",
        "/cages": "Cages",
        "/cage/:cage": f"Cage {cage['code']}",
        "/broods": "Broods",
        "/brood/:brood": f"Brood {brood['code']}",
        "/lines": "Lines",
        "/line/:line": line["name"],
        "/set-up": "Set-up",
        "/set-up/farm": "Farm",
        "/set-up/line/:line": f"Line {line['name']}",
        "/set-up/cages": "Cages",
        "/set-up/cage/:cage": f"Cage {cage['code']}",
        "/set-up/brood/:brood": f"Brood {brood['code']}",
        "/set-up/phone": "This device",
        "/sign-in": "Sign in",
    }
    return [Leaf(p, re.sub(r":(\w+)", lambda m: str(names[m.group(1)]), p), title) for p, title in titles.items()]


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
    ("/brood/:brood", "place in a cage", press("Place in a cage")),
    ("/set-up/phone", "sign out", press("Sign out")),
]
"""Pattern of the page, what is laid over it, and the tap that does it. Nothing is written by any of them."""
