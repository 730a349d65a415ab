"""A phone in the barn: chromium at 360 x 740 on a profile of its own, which can be killed and started again."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Page, Playwright, expect

from tests.browser.house import until

ARGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
CLOCK_AHEAD = """
    const Right = Date, ahead = %d;
    globalThis.Date = class Date extends Right {
        constructor(...given) { if (given.length) super(...given); else super(Right.now() + ahead); }
        static now() { return Right.now() + ahead; }
    };
"""
expect.set_options(timeout=15_000)


class Phone:
    """One phone. `page` is its app."""

    def __init__(self, playwright: Playwright, profile: Path, url: str, **options: Any) -> None:
        self.playwright, self.profile, self.url = playwright, profile, url
        self.args = [*ARGS, *options.pop("args", ())]
        self.options = {"viewport": {"width": 360, "height": 740}, "has_touch": True, **options}
        self.executable = shutil.which("chromium")
        self.context: BrowserContext | None = None
        self.faults: list[str] = []
        self.days_ahead = 0
        """How far its clock is wrong, from the next start on."""
        self.began_at_ms: int | None = None
        """What its clock says at the next start, where that is not the right time."""

    @property
    def page(self) -> Page:
        assert self.context is not None, "the phone is off"
        return self.context.pages[0]

    def switch_on(self) -> BrowserContext:
        """A browser process on this profile, with nothing opened in it."""
        self.context = self.playwright.chromium.launch_persistent_context(
            str(self.profile), executable_path=self.executable, args=self.args, **self.options
        )
        self.context.set_default_timeout(15_000)
        ahead_ms = self.days_ahead * 86_400_000
        if self.began_at_ms is not None:
            ahead_ms = self.began_at_ms - int(time.time() * 1000)
        if ahead_ms:
            self.context.add_init_script(CLOCK_AHEAD % ahead_ms)
        self.page.on("pageerror", lambda error: self.faults.append(str(error)))
        return self.context

    def start(self, path: str = "/") -> Page:
        """Switch it on and open the app at a path."""
        self.switch_on()
        return self.go(path)

    def sign_in(self, name: str, password: str) -> Page:
        """Switch it on, sign in, and wait until the app can be opened without the house."""
        page = self.start()
        page.get_by_label("Name", exact=True).fill(name)
        page.get_by_label("Password", exact=True).fill(password)
        page.get_by_role("button", name="Sign in").click()
        expect(page.get_by_role("heading", name="Today", exact=True)).to_be_visible()
        self.ready_offline()
        return page

    def ready_offline(self) -> None:
        """Wait until the service worker holds the app."""
        kept = "() => navigator.serviceWorker.getRegistration().then((found) => found?.active?.state === 'activated')"
        until(lambda: self.page.evaluate(kept), what="the app is kept on the phone")

    def go(self, path: str) -> Page:
        """Open a page of the app by its address."""
        self.page.goto(f"{self.url}{path}")
        return self.page

    def kill(self) -> None:
        """End the browser without warning, as an empty battery does."""
        assert self.context is not None
        for pid in self.processes():
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        with contextlib.suppress(Exception):
            self.context.close()
        self.context = None
        for lock in self.profile.glob("Singleton*"):
            lock.unlink(missing_ok=True)
        time.sleep(0.2)

    def processes(self) -> list[int]:
        """The browser's own, the first of them first."""
        listed = subprocess.run(["ps", "-eo", "pid,args"], capture_output=True, text=True, check=True).stdout
        own = [line.split(None, 1) for line in listed.splitlines() if str(self.profile) in line]
        first = [pid for pid, command in own if "--type=" not in command and "chrom" in command]
        return [int(pid) for pid in first + [pid for pid, _ in own if pid not in first]]

    def close(self) -> None:
        if self.context is not None:
            with contextlib.suppress(Exception):
                self.context.close()
            self.context = None
