"""Row 16: the house has been updated while somebody walks. The walk goes on with the app that it began with."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.a_barn import OWNER, set_up
from tests.browser.house import House, until
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, cage, count

BUILT = Path(os.environ.get("BARNBOOK_APP") or Path(__file__).parents[2] / "frontend" / "dist")
NEXT = "next-year-"
WAITS = "() => navigator.serviceWorker.getRegistration().then(async (r) => { await r.update(); return !!r.waiting; })"


def another_build(at: Path) -> None:
    """The app again, every file of its code under another name: the name of the first is in all that build on it."""
    shutil.copytree(BUILT, at, ignore=shutil.ignore_patterns("*.br", "*.gz"))
    old = [file.name for file in (at / "assets").glob("*.js")]
    for name in old:
        (at / "assets" / name).rename(at / "assets" / f"{NEXT}{name}")
    for file in [at / "index.html", at / "sw.js", *(at / "assets").glob("*.js")]:
        words = file.read_text()
        for name in old:
            words = words.replace(name, f"{NEXT}{name}")
        file.write_text(words)
    # The worker's list names the page by its content, which has changed.
    worker = at / "sw.js"
    listed = "{url:`/`,revision:`"
    assert listed in worker.read_text()
    worker.write_text(worker.read_text().replace(listed, f"{listed}next"))


def test_the_service_worker_is_replaced_in_mid_round(
    house: House, phone: Callable[..., Phone], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    barn = set_up(house, cages=3, mornings=1)
    keeper = phone(house)
    page = keeper.sign_in(*OWNER)
    all_in_the_book(page)
    keeper.go("/round")
    count(page, "A1", 4)
    page.evaluate("() => { globalThis.theSameWalk = true; }")

    another_build(tmp_path / "next")
    house.close()
    monkeypatch.setenv("BARNBOOK_APP", str(tmp_path / "next"))
    house.open()
    until(lambda: page.evaluate(WAITS), what="the new version waits")
    cage(page, "A2")
    page.get_by_role("button", name="Note", exact=True).click()
    expect(page.get_by_role("dialog")).to_be_visible()
    page.keyboard.press("Escape")
    count(page, "A2", 5)
    count(page, "A3", 3)
    assert page.evaluate("() => globalThis.theSameWalk") is True, "the page was loaded anew under the walk"

    page.get_by_role("link", name="Back to Today").first.click()
    page.get_by_role("button", name="Open the newer one").click()
    expect(page.locator(f"script[src*='{NEXT}']")).to_have_count(1)
    all_in_the_book(page)
    assert barn.counted() == {"A1": 4, "A2": 5, "A3": 3}
    assert keeper.faults == []
