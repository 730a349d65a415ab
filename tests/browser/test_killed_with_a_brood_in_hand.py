"""The phone dies on sexing day and on weigh day, in the middle of a tap: what the page had called written is there."""

from __future__ import annotations

import contextlib
import os
import random
import signal
from collections.abc import Callable
from dataclasses import dataclass, field

from playwright.sync_api import Page

from tests.browser.a_barn import OWNER, set_up
from tests.browser.house import House
from tests.browser.kept import outbox
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book

BIRDS = 120
SEED = 20260726
MOMENTS = 4  # of each of the two days
LONGEST_MS = 250

SAYS = """() => {
    const said = new MutationObserver(() => {
        if (document.querySelector('.last .written[data-durable=true]')) console.log('written');
    });
    said.observe(document.body, { subtree: true, childList: true, attributes: true, characterData: true });
}"""
LOOKS = "() => [...document.querySelectorAll('.look .key')].find((key) => key.textContent === 'Hen').click()"
WEIGHS = """async () => {
    for (const key of ['2', '8', '0', 'Enter']) {
        document.body.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true }));
        await new Promise((typed) => setTimeout(typed, key === 'Enter' ? 0 : 20));
    }
}"""


@dataclass
class Told:
    """Of each kill: whether the page had called the entry written."""

    written: list[bool] = field(default_factory=list)


def killed(keeper: Phone, path: str, deed: str, ready: str, draw: random.Random, told: Told) -> None:
    """Open the page, do it, and take the battery out at some moment of the next sixth of a second."""
    page = keeper.start(path)
    page.locator(ready).first.wait_for()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    processes, delay_ms = keeper.processes(), draw.uniform(0, LONGEST_MS)
    with contextlib.suppress(Exception):
        page.evaluate(SAYS)
        page.evaluate(deed)
        page.wait_for_timeout(delay_ms)
    for pid in processes:
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)
    told.written.append("written" in said)
    keeper.kill()


def entries(page: Page, kind: str) -> list[str]:
    """The birds of the entries of that kind on the phone, in the order in which they were made."""
    return [each["entry"]["body"]["bird"] for each in outbox(page) if each["entry"]["kind"] == kind]


def test_no_bird_is_lost_and_none_is_there_twice(house: House, phone: Callable[..., Phone]) -> None:
    barn = set_up(house, cages=1, mornings=1)
    to_sex = barn.hatch(code="26-09", days_ago=45, chicks=BIRDS)
    to_weigh = barn.hatch(code="26-08", days_ago=56, chicks=BIRDS)
    keeper = phone(house)
    keeper.sign_in(*OWNER)
    all_in_the_book(keeper.page)
    keeper.close()
    house.close()
    draw = random.Random(SEED)
    days = (
        ("bird_sexed", f"/sexing/{to_sex}", LOOKS, ".look .key"),
        ("bird_weight", f"/weigh-birds/{to_weigh}", WEIGHS, ".weight-pad"),
    )
    for kind, path, deed, ready in days:
        told = Told()
        for _ in range(MOMENTS):
            killed(keeper, path, deed, ready, draw, told)
        page = keeper.start("/outbox")
        birds = entries(page, kind)
        keeper.close()
        assert len(birds) == len(set(birds)), "one tap is one bird"
        assert sum(told.written) <= len(birds) <= MOMENTS, f"{sum(told.written)} were called written, {len(birds)} are"
        assert birds, f"no kill of {kind} was late enough: they tell nothing"
    house.open()
    page = keeper.start("/")
    all_in_the_book(page)
    kept = [each["entry"] for each in outbox(page)]
    for kind in ("bird_sexed", "bird_weight"):
        in_book = {each["id"] for each in barn.entries(kind)}
        assert in_book == {each["id"] for each in kept if each["kind"] == kind}, "the book has each of them once"
    (row,) = [each for each in barn.hand.rows("broods") if each["code"] == "26-09"]
    assert row["unlooked"] == BIRDS - len([each for each in kept if each["kind"] == "bird_sexed"])
    assert keeper.faults == []
