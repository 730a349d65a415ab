"""The phone's figures, in Debian's chromium at 360 x 740 against a real house.

    python -m tests.bench.bench_phone

How each is measured (watch_phone.js is put into the page before its own scripts):
- Tap to durable: from the tap's own time stamp to the `complete` event of the strict IndexedDB transaction that holds
  the entry.
- Tap to next cage painted: from the same time stamp to the first task after the first frame in which it stands.
- Cold opening: a new browser process on the phone's profile, the house closed; from the start of the navigation to the
  first task after the frame with a pad that takes taps.
- A bare tap stands beside the taps: the least transaction that reads and writes, begun by a tap, without the app. After
  a tap Chromium holds back what the database answers until the next frame, so this is most of a frame at least.
- Push: from the first request to the `complete` event of the transaction that marks the last entry. Beside the push of
  ten thousand stands what carries the same bytes without the app or the house (bare_outbox.py).

The slowdown is Chromium's own (Emulation.setCPUThrottlingRate) and is checked by a loop of known work. It works on the
page; the service worker and the browser's own processes are not slowed. On a machine that does other work at the same
time all of this takes longer: run it alone.
"""

from __future__ import annotations

import re
import statistics
import subprocess
import sys
import tempfile
from datetime import timedelta
from pathlib import Path
from typing import Any

import uuid6
from playwright.sync_api import Page, expect, sync_playwright

from tests.bench.bare_outbox import BARE_PUSH, BareHouse
from tests.browser.a_barn import CAGES, MORNING, OWNER, Barn, count, set_up, today
from tests.browser.house import House, until
from tests.browser.phone import Phone
from tests.browser.thumb import PAUSE_MS, all_in_the_book

SLOWDOWN = 4
WALKS = 4  # of thirty taps each
ROUNDS = [MORNING, *({"key": f"round_{n}", "name": f"Round {n}", "after_lay": True} for n in range(2, WALKS + 1))]
ROWS = 10_000
OPENINGS = 9
PUSHED = 1_000
PUSHES = 5

DURABLE_MS = 20
PAINTED_MS = 50
OPENING_MS = 800
PUSH_MS = 600
SEASON = 10_000
SEASON_MS = 4_000
JAVASCRIPT_KIB = 30

WATCH = (Path(__file__).parent / "watch_phone.js").read_text()


def p95(values: list[float]) -> float:
    """The value that 95 of 100 do not exceed (nearest rank)."""
    return sorted(values)[-(-95 * len(values) // 100) - 1]


def say(what: str, value: float, unit: str, most: float | None = None, *, beside: str = "") -> bool:
    wanted = "" if most is None else f"   to reach: {most:g} {unit}{'' if value <= most else '   MISSED'}"
    print(f"{what:<58}{value:8.1f} {unit:<3}{wanted}{beside}", flush=True)
    return most is None or value <= most


def say_spread(what: str, values: list[float], most: float | None = None) -> bool:
    """The p95 is held against what is to be reached."""
    beside = f"   (p95 of {len(values)}; shortest {min(values):.1f}, median {statistics.median(values):.1f})"
    return say(what, p95(values), "ms", most, beside=beside)


def watched(phone: Phone, path: str, *, slowdown: int = 1) -> Page:
    """A new browser process on the phone's profile, watched and slowed from the first script on, at that page."""
    context = phone.switch_on()
    context.add_init_script(WATCH)
    rate = {"rate": slowdown}
    context.new_cdp_session(phone.page).send("Emulation.setCPUThrottlingRate", rate)
    return phone.go(path)


def loop_ms(phone: Phone, *, slowdown: int) -> float:
    shortest: float = watched(phone, "/", slowdown=slowdown).evaluate("() => bench.loop()")
    phone.close()
    return shortest


# Taps ----------------------------------------------------------------------------------------------------------

FORGET = (
    "() => { for (const list of ['taps', 'heard', 'began', 'durable', 'changed', 'painted']) bench.seen[list] = []; }"
)
Parts = dict[str, list[float]]


def taps(phone: Phone, *, slowdown: int, walks: list[dict[str, Any]]) -> Parts:
    """Milliseconds of each tap: `durable` and `painted`, and the parts that they are made of."""
    parts: Parts = {}
    for round_ in walks:
        page = watched(phone, f"/round/of/{round_['key']}", slowdown=slowdown)
        page.wait_for_function("() => bench.seen.pad > 0", timeout=60_000)
        page.wait_for_timeout(1500)  # the first tap comes after a look at the cage
        for _ in range(CAGES):
            page.evaluate(FORGET)
            page.get_by_role("button", name="1", exact=True).click()  # a likely count in each of the walks
            page.wait_for_timeout(PAUSE_MS)
            seen = page.evaluate("() => bench.seen")
            at = {name: seen[name][0] for name in ("taps", "heard", "began", "durable", "changed", "painted")}
            for name, start, end in (
                ("durable", "taps", "durable"),
                ("painted", "taps", "painted"),
                ("until the page is told", "taps", "heard"),
                ("until the transaction begins", "heard", "began"),
                ("until it is on the disk", "began", "durable"),
                ("until the page has the next cage", "durable", "changed"),
                ("until that is painted", "changed", "painted"),
            ):
                parts.setdefault(name, []).append(at[end] - at[start])
        phone.close()
    return parts


def say_taps(parts: Parts, how: str, *, slowed: bool) -> bool:
    """Durable is a matter of the disk, held against its target unslowed; painted one of the processor, slowed."""
    durable = say_spread(f"tap to durable, {how}", parts.pop("durable"), None if slowed else DURABLE_MS)
    painted = say_spread(f"tap to next cage painted, {how}", parts.pop("painted"), PAINTED_MS if slowed else None)
    for name, values in parts.items():
        say_spread(f"    {name}", values)
    return durable and painted


def bare_taps(phone: Phone, *, slowdown: int) -> list[float]:
    """Milliseconds from a tap to the end of the least transaction that reads and writes, without the app."""
    page = watched(phone, "/set-up/phone", slowdown=slowdown)
    took = page.evaluate_handle("() => bench.bareTaps()")
    for _ in range(2 * CAGES):
        page.get_by_role("button", name="Bare tap").click()
        page.wait_for_timeout(PAUSE_MS / 2)
    found: list[float] = took.json_value()
    phone.close()
    return found


# Cold opening --------------------------------------------------------------------------------------------------


def fill(barn: Barn) -> None:
    """What a season leaves on a phone: eighty more days of three rounds, and broods whose birds were sexed."""
    farm = {"name": "Three Alders", "zone": "UTC", "weight_unit": "g", "rounds": ROUNDS}
    entries = [barn.hand.entry("farm", today().isoformat(), **farm)]
    for day in range(11, 89):
        on = (today() - timedelta(days=day)).isoformat()
        for cage in barn.cages:
            for each in ROUNDS[:3]:
                entries.append(barn.hand.entry("egg_count", on, **{**count(cage, day % 2 + 1), "round": each["key"]}))
    broods = [barn.hatch(code=f"26-{n + 1:02}", days_ago=60 + n, chicks=100) for n in range(12)]
    looked_on = (today() - timedelta(days=5)).isoformat()
    for brood in broods:
        for _ in range(100):
            bird = {"bird": str(uuid6.uuid7()), "brood": brood, "result": "hen", "band": None}
            entries.append(barn.hand.entry("bird_sexed", looked_on, **bird))
    barn.hand.push(entries)


def openings(phone: Phone) -> Parts:
    """Milliseconds to a pad that takes taps, each in a new browser process, and the parts that they are made of."""
    parts: Parts = {}
    for _ in range(OPENINGS):
        page = watched(phone, f"/round/of/{ROUNDS[-1]['key']}", slowdown=SLOWDOWN)
        page.wait_for_function("() => bench.seen.pad > 0", timeout=60_000)
        at = {"start": 0, **page.evaluate("() => bench.parts()")}
        for name, start, end in (
            ("pad", "start", "pad"),
            ("until the worker gives the page", "start", "page"),
            ("until it gives the app", "page", "app"),
            ("until the app's scripts have run", "app", "opened"),
            ("until the book is read and drawn", "opened", "padIn"),
            ("until it is painted", "padIn", "pad"),
        ):
            parts.setdefault(name, []).append(at[end] - at[start])
        phone.close()
    return parts


# Push ----------------------------------------------------------------------------------------------------------


def notes(barn: Barn, n: int, many: int) -> list[Any]:
    """So many notes of one cage, as [kind, day, body]."""
    cage, day = barn.cages[n], today().isoformat()
    return [["cage_note", day, {"cage": cage, "text": f"Drinker {i} dripped, mended."}] for i in range(many)]


def counts(barn: Barn, many: int) -> list[Any]:
    """Egg counts of all cages, three rounds a day, on the days before the barn's first morning: a season away."""
    made: list[Any] = []
    for days_ago in range(11, 11 + many // (3 * CAGES) + 1):
        day = (today() - timedelta(days=days_ago)).isoformat()
        for each in ROUNDS[:3]:
            made += [["egg_count", day, {**count(cage, 3), "round": each["key"]}] for cage in barn.cages]
    return made[:many]


def pushed(phone: Phone, barn: Barn, house: House, entries: list[Any]) -> dict[str, float]:
    """These entries written without signal, and then sent. took: milliseconds until the last is marked.  house: how
    much of it was waiting for the house.  batches: how many there were."""
    house.close()
    page = watched(phone, "/outbox")
    page.evaluate("(asked) => bench.write(asked)", {"author": barn.hand.me["person"], "entries": entries})
    page.reload()
    expect(page.get_by_text(f"{len(entries)} entries on this phone")).to_be_visible()
    expect(page.get_by_text("cannot reach the house", exact=True)).to_be_visible()
    house.open()
    page.evaluate("() => { bench.seen.outbox = []; performance.clearResourceTimings(); }")
    page.get_by_role("button", name="Try now").click()
    page.evaluate("() => bench.untilMarked()")
    told: dict[str, float] = page.evaluate("() => bench.pushed()")
    all_in_the_book(page)
    phone.close()
    return told


def say_pushed(told: list[dict[str, float]], many: int, most: float) -> bool:
    took = [each["took"] for each in told]
    house = statistics.median(each["house"] for each in told)
    beside = f"   (median of {', '.join(f'{each:.0f}' for each in took)}; {house:.0f} waiting for the house)"
    return say(f"push of {many} entries, marked on the phone", statistics.median(took), "ms", most, beside=beside)


def pushes(phone: Phone, barn: Barn, house: House) -> bool:
    some = [pushed(phone, barn, house, notes(barn, n, PUSHED)) for n in range(PUSHES)]
    return say_pushed(some, PUSHED, PUSH_MS)


def season_away(phone: Phone, house: House, folder: Path) -> bool:
    """Ten thousand counts at once, beside the least that could carry them: a bare outbox and a bare database."""
    house.open()
    barn = set_up(house)
    farm = {"name": "Three Alders", "zone": "UTC", "weight_unit": "g", "rounds": ROUNDS}
    barn.hand.push([barn.hand.entry("farm", today().isoformat(), **farm)])
    phone.sign_in(*OWNER)
    all_in_the_book(phone.page)
    phone.close()
    entries = counts(barn, SEASON)
    with BareHouse(folder / "bare.sqlite3") as bare:
        page = phone.switch_on().pages[0]
        page.goto(bare.url)
        bare_ms = page.evaluate(BARE_PUSH, entries)
        assert bare.held() == SEASON
        phone.close()
    told = pushed(phone, barn, house, entries)
    say(f"(for comparison: {SEASON} entries, bare IndexedDB to bare SQLite)", bare_ms, "ms")
    return say_pushed([told], SEASON, SEASON_MS)


def javascript() -> bool:
    """What `npm run size` says of the built app."""
    frontend = Path(__file__).parents[2] / "frontend"
    asked = subprocess.run(
        ["npm", "run", "--silent", "size"], cwd=frontend, capture_output=True, text=True, check=False
    )
    total = re.search(r"(\d+)\s+bytes of JavaScript", asked.stdout)
    assert total is not None, asked
    return say("JavaScript of the egg round, gzipped", int(total.group(1)) / 1024, "KiB", JAVASCRIPT_KIB)


def measure(phone: Phone, house: House) -> bool:
    house.open()
    barn = set_up(house)
    fill(barn)
    phone.sign_in(*OWNER)
    expect(phone.page.get_by_text("All in the book")).to_be_visible(timeout=120_000)
    phone.close()
    page = watched(phone, "/")
    ask = "() => bench.rows()"
    rows = until(lambda: (n := page.evaluate(ask)) >= ROWS and n, what=f"{ROWS} rows on the phone", seconds=120)
    say("rows on the phone", rows, "")
    phone.close()
    slowed = loop_ms(phone, slowdown=SLOWDOWN) / loop_ms(phone, slowdown=1)
    say("slowdown, by a loop of known work", slowed, "x", beside=f"   (asked for: {SLOWDOWN})")

    house.close()
    parts = openings(phone)
    well = say_spread(f"cold offline opening to a tappable pad, {SLOWDOWN}x slower", parts.pop("pad"), OPENING_MS)
    for name, values in parts.items():
        say_spread(f"    {name}", values)
    for slowdown, how, walks in ((SLOWDOWN, f"{SLOWDOWN}x slower", ROUNDS[2:]), (1, "not slowed", ROUNDS[:2])):
        say_spread(f"(for comparison: a bare tap that writes, {how})", bare_taps(phone, slowdown=slowdown))
        well &= say_taps(taps(phone, slowdown=slowdown, walks=walks), how, slowed=slowdown > 1)

    house.open()
    phone.start()
    all_in_the_book(phone.page)
    phone.close()
    return pushes(phone, barn, house) and well


def main(chosen: list[str]) -> int:
    """All of it, or `season` alone: the ten thousand."""
    well = True if chosen else javascript()
    for part in ("season",) if chosen else ("barn", "season"):
        with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder, sync_playwright() as playwright:
            house = House(Path(folder) / "data")
            phone = Phone(playwright, Path(folder) / "phone", house.url)
            try:
                well &= season_away(phone, house, Path(folder)) if part == "season" else measure(phone, house)
            finally:
                phone.close()
                house.close()
    return 0 if well else 1


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
