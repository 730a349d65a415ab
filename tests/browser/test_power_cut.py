"""The battery of a phone is taken out the moment it has said "saved": the entry is on its disk, synced."""

from __future__ import annotations

import shlex
import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.browser.a_barn import OWNER, set_up
from tests.browser.house import House, until
from tests.browser.kept import outbox
from tests.browser.phone import Phone
from tests.browser.thumb import all_in_the_book, cage, count
from tests.power_cut import Disk, needs_strace, watched

SAYS_SAVED = """([code, mark]) => {
    const saved = () => document.querySelector('.last .written[data-durable=true]')?.parentElement.textContent ?? '';
    const all = { subtree: true, childList: true, attributes: true, characterData: true };
    new MutationObserver((_, seen) => {
        if (!saved().includes(code)) return;
        seen.disconnect();
        console.log(mark);
    }).observe(document.querySelector('.egg-round'), all);
}"""
WRITES_RELAXED = """async (mark) => {
    const db = await new Promise((resolve, reject) => {
        const asked = indexedDB.open('relaxed');
        asked.onupgradeneeded = () => asked.result.createObjectStore('kept');
        asked.onsuccess = () => resolve(asked.result);
        asked.onerror = () => reject(asked.error);
    });
    await new Promise((resolve, reject) => {
        const writing = db.transaction('kept', 'readwrite', { durability: 'relaxed' });
        writing.objectStore('kept').put(1, 1);
        writing.oncomplete = () => { console.log(mark); resolve(); };
        writing.onabort = () => reject(writing.error);
    });
    db.close();
}"""
KEPT_RELAXED = """async () => {
    if (!(await indexedDB.databases()).some(({ name }) => name === 'relaxed')) return 0;
    const db = await new Promise((resolve, reject) => {
        const asked = indexedDB.open('relaxed');
        asked.onsuccess = () => resolve(asked.result);
        asked.onerror = () => reject(asked.error);
    });
    const found = await new Promise((resolve, reject) => {
        const asked = db.transaction('kept').objectStore('kept').count();
        asked.onsuccess = () => resolve(asked.result);
        asked.onerror = () => reject(asked.error);
    });
    db.close();
    return found;
}"""


@pytest.mark.skipif(sys.platform != "linux", reason="strace is Linux's")
def test_the_power_of_the_phone_is_cut(house: House, phone: Callable[..., Phone], tmp_path: Path) -> None:
    """Row 6: everything that no sync had covered is gone, and what the screen had called saved is there. What was
    written beside it without asking for that (`relaxed`) is not: the disk of this test does forget."""
    needs_strace()
    barn = set_up(house, cages=4, mornings=1)
    keeper = phone(house)
    all_in_the_book(keeper.sign_in(*OWNER))
    keeper.close()
    house.close()
    kept_in, before, log = keeper.profile / "Default" / "IndexedDB", tmp_path / "before", tmp_path / "calls"
    shutil.copytree(kept_in, before)
    watching = tmp_path / "chromium"
    assert keeper.executable is not None
    watching.write_text(f'#!/bin/sh\nexec {shlex.join([*watched(log), keeper.executable])} "$@"\n')
    watching.chmod(0o755)
    keeper.executable = str(watching)
    page = keeper.start("/round")
    saved(page, "A1", 4, "power-cut-one")
    page.evaluate(WRITES_RELAXED, "power-cut-two")
    saved(page, "A2", 5, "power-cut-three")
    keeper.close()

    for mark, eggs, relaxed in (("one", [4], 0), ("two", [4], 0), ("three", [4, 5], 1)):
        disk = Disk(before, kept_in, names_with_files=True).play(log, until=f"power-cut-{mark}".encode())
        again = phone(house, f"after-{mark}")
        shutil.copytree(keeper.profile, again.profile, ignore=shutil.ignore_patterns("Singleton*", "IndexedDB"))
        disk.lay_down(again.profile / "Default" / "IndexedDB")
        page = again.start("/outbox")
        assert [each["entry"]["body"]["eggs"] for each in outbox(page) if each["state"] == "waiting"] == eggs
        assert page.evaluate(KEPT_RELAXED) == relaxed
        if mark != "three":
            again.close()
    house.open()
    again.go("/")
    all_in_the_book(page)
    assert barn.counted() == {"A1": 4, "A2": 5}


def saved(page: Page, code: str, eggs: int, mark: str) -> None:
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    cage(page, code)
    page.evaluate(SAYS_SAVED, [code, mark])
    count(page, code, eggs)
    until(lambda: page.wait_for_timeout(50) or mark in said, what="the screen says that it is saved")
