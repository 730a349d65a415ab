"""A browser killed at seeded moments of a tap, again and again, and what its store holds after each."""

from __future__ import annotations

import contextlib
import os
import random
import signal
from dataclasses import dataclass, field
from typing import Any

from tests.browser.a_barn import OWNER, Barn
from tests.browser.house import House
from tests.browser.kept import outbox
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book

LONGEST_MS = 120
"""From the tap on; the next cage is up well before."""

SAYS_WHAT_IS_SAVED = """(digit) => {
    const cage = () => document.querySelector('.at-cage')?.getAttribute('aria-label');
    const said = new MutationObserver(() => {
        const solid = document.querySelector('.last .written[data-durable=true]');
        if (solid) console.log(`saved ${solid.parentElement.textContent}`);
    });
    const all = { subtree: true, childList: true, attributes: true, characterData: true };
    said.observe(document.querySelector('.egg-round'), all);
    console.log(`tapped ${cage()}`);
    [...document.querySelectorAll('.number-pad .key')].find((key) => key.textContent === String(digit)).click();
}"""


@dataclass
class Told:
    """How often a tap was seen as saved before the kill, and how often the entry was there after it."""

    kept: int = 0
    saved: list[bool] = field(default_factory=list)
    delays_ms: list[float] = field(default_factory=list)


def killed_in_taps(house: House, keeper: Phone, barn: Barn, *, moments: int, seed: int) -> Told:
    """Walk the round without signal, the browser killed during every tap; then bring it all home.

    After each kill: what the screen had called saved is in the store, and nothing is there twice. A tap that left
    nothing is made again, as a person would who sees the cage still open.
    """
    draw = random.Random(seed)
    keeper.sign_in(*OWNER)
    all_in_the_book(keeper.page)
    keeper.close()
    house.close()
    told, before = Told(), 0
    for _ in range(moments):
        page = keeper.start("/round")
        page.locator(".number-pad").wait_for()
        before = _weigh(outbox(page), before, told)
        said: list[str] = []
        page.on("console", lambda message, said=said: said.append(message.text))
        processes, delay_ms = keeper.processes(), draw.uniform(0, LONGEST_MS)
        with contextlib.suppress(Exception):
            page.evaluate(SAYS_WHAT_IS_SAVED, draw.randint(1, 5))
            page.wait_for_timeout(delay_ms)
        for pid in processes:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        told.saved.append(any(line.startswith("saved") for line in said))
        told.delays_ms.append(delay_ms)
        keeper.kill()
    page = keeper.start("/outbox")
    kept = outbox(page)
    _weigh(kept, before, told)
    house.open()
    keeper.go("/")
    all_in_the_book(page)
    counts = {barn.code(each["entry"]["body"]["cage"]): each["entry"]["body"]["eggs"] for each in kept}
    assert barn.counted() == counts, "the book has what the phone kept, each once"
    keeper.close()
    told.kept = len(kept)
    return told


def _weigh(kept: list[dict[str, Any]], before: int, told: Told) -> int:
    """What the store holds after the last kill, against what the screen had said. Returns how many there are now."""
    if told.saved:
        assert len(kept) - before in (0, 1), "one tap is one entry, or none"
        said = f"called saved, and gone, {told.delays_ms[-1]:.0f} ms after the tap"
        assert len(kept) > before or not told.saved[-1], said
    cages = [each["entry"]["body"]["cage"] for each in kept]
    assert len(set(cages)) == len(cages), "a cage is counted twice"
    places = [each["device_seq"] for each in kept]
    assert places == sorted(set(places)), "a place was drawn twice"
    return len(kept)
