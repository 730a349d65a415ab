"""A sexing day and a weigh day of 120 birds on a slowed phone, in Debian's chromium at 360 x 740, without signal.

    python -m tests.bench.bench_brood

A step is what a person waits for with a bird in the other hand: from the time stamp of the tap on Cock, Hen or Not
sure to the next bird painted; from the Enter with which a scale ends its weight to the bird's own place painted; from
the tap on Keep, Sell, Process or Hold to the next bird painted. Each holds the strict write: nothing moves on before
the entry is on the disk, so most of a step is the database and the frame (a bare tap that writes stands beside). Tasks
of the page longer than 50 ms within these days are counted. The slowdown is Chromium's own, as in bench_phone.
"""

from __future__ import annotations

import statistics
import tempfile
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from tests.bench.bench_phone import bare_taps, p95, say, say_spread
from tests.browser.a_barn import OWNER, Barn, set_up
from tests.browser.house import House
from tests.browser.phone import Phone
from tests.browser.thumb import PAUSE_MS, all_in_the_book

SLOWDOWN = 4
BIRDS = 120
STEP_MS = 50

WATCH = (Path(__file__).parent / "watch_brood.js").read_text()


def on_the_page(phone: Phone, path: str) -> Page:
    context = phone.switch_on()
    context.add_init_script(WATCH)
    context.new_cdp_session(phone.page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWDOWN})
    return phone.go(path)


def steps(page: Page) -> list[float]:
    """Milliseconds of each step so far."""
    seen = page.evaluate("() => brood.seen")
    return [painted - asked for asked, painted in zip(seen["steps"], seen["painted"], strict=False)]


def busy(page: Page) -> list[float]:
    """Milliseconds of each task longer than 50 ms, once the first step was begun."""
    seen = page.evaluate("() => brood.seen")
    return [took for at, took in seen["busy"] if seen["steps"] and at >= seen["steps"][0]]


def sexing_day(phone: Phone, brood: str) -> bool:
    """A third of them with bands."""
    page = on_the_page(phone, f"/sexing/{brood}")
    page.locator(".in-hand").wait_for()
    page.wait_for_timeout(1500)  # the first look comes after a while with the bird
    for n in range(BIRDS):
        if n % 3 == 0:
            page.get_by_label("Band").fill(f"R{n}")
        page.get_by_role("button", name=("Cock", "Hen", "Not sure")[n % 7 // 3], exact=True).click()
        page.wait_for_timeout(PAUSE_MS)
    return told(phone, page, f"sexing day of {BIRDS}: tap to next bird painted", BIRDS)


def weigh_day(phone: Phone, brood: str) -> bool:
    """Sexed before, all banded; the band typed, the weight by a scale wedged in as a keyboard, then the decision."""
    page = on_the_page(phone, f"/weigh-birds/{brood}")
    page.get_by_label("Band").wait_for()
    page.wait_for_timeout(1500)
    for n in range(BIRDS):
        page.get_by_label("Band").fill(f"W{n}")
        page.locator("h1").click()
        page.keyboard.type(f"{270 + n * 37 % 70}", delay=5)
        page.keyboard.press("Enter")
        page.locator(".verdict").wait_for()
        page.wait_for_timeout(PAUSE_MS)
        page.locator(".decide .key").nth(n % 4).click()
        page.wait_for_timeout(PAUSE_MS)
    return told(phone, page, f"weigh day of {BIRDS}: weight or decision to painted", 2 * BIRDS)


def told(phone: Phone, page: Page, what: str, expected: int) -> bool:
    took, long = steps(page), busy(page)
    assert len(took) == expected, f"{len(took)} steps seen, {expected} made"
    well = say_spread(f"{what}, {SLOWDOWN}x slower", took, STEP_MS)
    say_spread("    the first ten", took[:10])
    say_spread("    the last ten", took[-10:])
    say("    longest of all", max(took), "ms")
    say("    tasks longer than 50 ms", len(long), "", beside=f"   (longest {max(long, default=0):.0f} ms)")
    say("    median", statistics.median(took), "ms")
    phone.close()
    return well


def broods(barn: Barn) -> tuple[str, str]:
    """One of sexing age, and one of weighing age whose birds are sexed and wear bands. And older ones beside."""
    to_sex = barn.hatch(code="26-09", days_ago=45, chicks=BIRDS)
    to_weigh = barn.hatch(code="26-08", days_ago=56, chicks=BIRDS)
    entries = []
    for n in range(BIRDS):
        bird = f"0197c2a0-0000-7000-8000-{n:012x}"
        body = {"bird": bird, "brood": to_weigh, "result": ("cock", "hen")[n % 2], "band": f"W{n}"}
        entries.append(barn.hand.entry("bird_sexed", barn.hand.rows("broods")[0]["hatched_on"], **body))
    barn.hand.push(entries)
    return to_sex, to_weigh


def main() -> int:
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder, sync_playwright() as playwright:
        house = House(Path(folder) / "data")
        phone = Phone(playwright, Path(folder) / "phone", house.url)
        try:
            house.open()
            to_sex, to_weigh = broods(set_up(house))
            phone.sign_in(*OWNER)
            all_in_the_book(phone.page)
            phone.go(f"/weigh-birds/{to_weigh}")
            phone.page.get_by_text("Weighing").first.wait_for()
            phone.close()
            house.close()
            bare = bare_taps(phone, slowdown=SLOWDOWN)
            say_spread(f"(for comparison: a bare tap that writes, {SLOWDOWN}x slower)", bare)
            well = sexing_day(phone, to_sex)
            well &= weigh_day(phone, to_weigh)
        finally:
            phone.close()
            house.close()
    say("(p95 of the bare taps)", p95(bare), "ms")
    return 0 if well else 1


if __name__ == "__main__":
    raise SystemExit(main())
