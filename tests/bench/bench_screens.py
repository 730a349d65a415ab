"""The screens at the house on the example farm: all figures reckoned, each screen opened, the cut dragged.

    python -m tests.bench.bench_screens

- All figures: `barnbook reckon` over the example farm as it was made, in a process of its own: its wall time from start
  to end, NumPy and SciPy loaded in it, and beside it the processor time that it took.
- Opening: in Debian's chromium at 1280 x 800 and at 360 x 740, four times slowed; a load of the whole app at the
  screen's address, the book already on the device, as at every cold start; from the start of the navigation to the
  first task after the frame in which the screen's own figures stand (watch_screens.js). The longest of three counts.
- By a tap: the same screens from the contents beside the page at 1280 x 800, from the tap's own time stamp.
- Dragging: the cut of the whole line's hens drawn from end to end; from the pointer's own time stamp to the first task
  after the frame with the new number.

The slowdown is Chromium's own, as in bench_phone: run this alone.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import Page, Playwright, expect, sync_playwright

from tests.bench.bench_phone import p95, say, say_spread
from tests.browser.house import Hand, House, bare_environment, until
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book

SLOWDOWN = 4
OPENINGS = 3
FIGURES_S, OPENING_MS, DRAG_MS = 10, 1_000, 50
SIZES = {"laptop": {"width": 1280, "height": 800}, "phone": {"width": 360, "height": 740}}
# address, and what stands in it once its figures do
SCREENS = {
    "/lines": "main a[href^='/line/']",
    "/laying": ".all-cages li",
    "/laying/{line}": ".chart svg",
    "/choosing/{line}": ".cut-chart svg",
    "/mating/{line}": ".mating-card",
    "/hatching/{line}": ".figure-line",
    "/true-to-type/{line}": ".figure-line",
    "/wait-or-process/{line}": ".chart svg",
    "/ahead/{line}": ".a-cage, .figure-line",
    "/sheets/{line}": ".sheet-figures",
}
TAPS = {
    "Lines": "main a[href^='/line/']",
    "Laying": ".all-cages li",
    "Hatching": ".figure-line",
    "Choosing": ".cut-chart svg",
    "Mating": ".mating-card",
    "Ahead": ".a-cage, .figure-line",
    "Wait or process": ".figure-line",
    "True to type": ".figure-line",
}
WATCH = (Path(__file__).parent / "watch_screens.js").read_text()


def reckoned(data: Path) -> bool:
    """Make the example farm in that folder and reckon all of it, in two processes."""
    command = [sys.executable, "-m", "barnbook"]
    env = {**bare_environment(), "OPENBLAS_NUM_THREADS": "1"}
    subprocess.run(
        [*command, "example", "--quiet", "--data", str(data)], check=True, env=env, stdout=subprocess.DEVNULL
    )
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run([*command, "reckon", "--data", str(data)], check=True, env=env, stdout=subprocess.DEVNULL)
    took, after = time.perf_counter() - began, resource.getrusage(resource.RUSAGE_CHILDREN)
    well = say("all figures of the example farm", took, "s", FIGURES_S)
    say("    processor time of that", after.ru_utime - before.ru_utime, "s")
    return well


def opened(phone: Phone, path: str, wanted: str) -> Page:
    """A new browser process on the profile, watched and slowed from the first script on."""
    context = phone.switch_on()
    context.add_init_script(f"globalThis.SCREEN = {wanted!r};{WATCH}")
    context.new_cdp_session(phone.page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWDOWN})
    page = phone.go(path)
    page.wait_for_function("() => screens.seen.opened !== null", timeout=60_000)
    return page


def openings(phone: Phone, size: str, line: str) -> bool:
    well = True
    for path, wanted in SCREENS.items():
        took = []
        for _ in range(OPENINGS):
            took.append(opened(phone, path.format(line=line), wanted).evaluate("() => screens.seen.opened"))
            phone.close()
        longest = max(took)
        well &= say(f"{path.split('/')[1]} opens, {size}, {SLOWDOWN}x slower", longest, "ms", OPENING_MS)
    return well


def by_taps(phone: Phone) -> bool:
    """Each screen from the contents, the others' parts of the app not loaded yet."""
    well = True
    for name, wanted in TAPS.items():
        took = []
        for _ in range(OPENINGS):
            page = opened(phone, "/cages", "main a[href^='/cage/']")
            page.evaluate("(wanted) => { globalThis.SCREEN = wanted; }", wanted)
            page.get_by_role("navigation").get_by_role("link", name=name, exact=True).click()
            page.wait_for_function("() => screens.seen.opened !== null", timeout=60_000)
            took.append(page.evaluate("() => screens.seen.opened - screens.seen.tapped"))
            phone.close()
        well &= say(f"{name}, tapped, {SLOWDOWN}x slower", max(took), "ms", OPENING_MS)
    return well


def dragged(phone: Phone, size: str, line: str) -> bool:
    page = opened(phone, f"/choosing/{line}", SCREENS["/choosing/{line}"])
    expect(page.locator(".cut-chart .hold").first).to_be_visible()
    page.locator("input[type=radio][value=line]").check(force=True)  # all living birds: the longest table
    hold = page.locator(".cut-chart .hold").last
    hold.scroll_into_view_if_needed()
    box = hold.bounding_box()
    assert box is not None
    y = box["y"] + box["height"] / 2
    page.mouse.move(box["x"] + 6, y)
    page.mouse.down()
    for n in range(60):
        page.mouse.move(box["x"] + 6 + (box["width"] - 12) * n / 59, y)
        page.wait_for_timeout(60)
    page.mouse.up()
    moves = page.evaluate("() => screens.seen.moves")
    phone.close()
    assert len(moves) > 15, f"{len(moves)} answers"
    took = [painted - at for at, painted in moves]
    well = say_spread(f"the cut dragged, answer painted, {size}, {SLOWDOWN}x slower", took, DRAG_MS)
    say("    longest of all", max(took), "ms")
    return well and p95(took) <= DRAG_MS


def device(playwright: Playwright, folder: Path, house: House, size: str) -> Phone:
    found = Phone(playwright, folder / size, house.url, viewport=SIZES[size], has_touch=size == "phone")
    found.sign_in(*house.example_owner)
    all_in_the_book(found.page)
    return found


def main() -> int:
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder, sync_playwright() as playwright:
        data = Path(folder) / "data"
        well = reckoned(data)
        house = House(data, example=True)
        house.open()
        try:
            hand = Hand(house)
            hand.sign_in(*house.example_owner)
            line = next(row["id"] for row in hand.rows("lines") if row["name"] == "Dunmarrow Heavy")
            for size in SIZES:
                phone = device(playwright, Path(folder), house, size)
                phone.go(f"/sheets/{line}")
                until(lambda phone=phone: phone.page.locator(".sheet-figures").count(), what="the pages are on it")
                phone.close()
                if size == "laptop":
                    well &= by_taps(phone)
                well &= openings(phone, size, line)
                well &= dragged(phone, size, line)
        finally:
            house.close()
    return 0 if well else 1


if __name__ == "__main__":
    raise SystemExit(main())
