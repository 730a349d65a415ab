"""A phone that trusts the house keeps the book by https, comes in by a code, and counts where there is no signal; one
that does not is led by the plain page, and told so where it went past the warning."""

from __future__ import annotations

import os
import re
import shutil
import ssl
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.browser.a_barn import OWNER, set_up
from tests.browser.house import HouseByHttps
from tests.browser.phone import ARGS, Phone
from tests.browser.test_every_page import findings
from tests.browser.thumb import all_in_the_book, count, waiting
from tests.house_at_work import HouseAtWork, until

BOOK = "https://barnbook.local:{port}"


def trusted_in(home: Path, authority: Path) -> None:
    """A browser's own store of trusted authorities, with the house's in it."""
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    for command in (["-N", "--empty-password"], ["-A", "-t", "C,,", "-n", "barnbook", "-i", str(authority)]):
        subprocess.run(["certutil", "-d", f"sql:{store}", *command], check=True, capture_output=True)


pytestmark = pytest.mark.skipif(shutil.which("certutil") is None, reason="needs certutil (Debian: libnss3-tools)")


def at_home(data: Path, *arguments: str) -> HouseAtWork:
    app = {name: os.environ[name] for name in ("BARNBOOK_APP",) if name in os.environ}
    return HouseAtWork(data, "--home", "--plain-port", "0", *arguments, **app)


def plain_of(house: HouseAtWork) -> str:
    found = re.search(r"Phones +(http://[^:]+:\d+)", house.printed)
    assert found is not None
    return found[1]


def test_trusted_and_untrusted(playwright: Playwright, tmp_path: Path) -> None:
    with at_home(tmp_path / "data") as house:
        port = house.address.rsplit(":", 1)[1]
        book = BOOK.format(port=port)
        trusted_in(tmp_path / "trusting", tmp_path / "data" / "home" / "authority.pem")
        (tmp_path / "strange").mkdir()
        args = [*ARGS, "--host-resolver-rules=MAP barnbook.local 127.0.0.1"]

        def browser(home: str) -> object:
            return playwright.chromium.launch_persistent_context(
                str(tmp_path / f"{home}-profile"),
                executable_path=shutil.which("chromium"),
                args=args,
                env={**os.environ, "HOME": str(tmp_path / home)},
            )

        stranger = browser("strange")
        with pytest.raises(Exception, match="ERR_CERT_AUTHORITY_INVALID"):
            stranger.pages[0].goto(book)  # type: ignore[attr-defined]
        plain = re.search(r"Phones +http://[^:]+:(\d+)", house.printed)
        assert plain is not None
        page = stranger.new_page()  # type: ignore[attr-defined]
        page.goto(f"http://barnbook.local:{plain[1]}/")
        expect(page.get_by_role("link", name="Get the certificate")).to_be_visible()
        expect(page.get_by_role("link", name="Open the book")).to_have_attribute("href", f"{book}/")
        stranger.close()  # type: ignore[attr-defined]

        phone = browser("trusting")
        page = phone.pages[0]  # type: ignore[attr-defined]
        page.goto(f"{book}/begin/{house.token}")
        page.get_by_label("Name of the farm").fill("Low Reed")
        page.get_by_label("Your name").fill("Ilse Marten")
        page.get_by_label("Password").fill("reeds-and-grain")
        page.get_by_role("button", name="Begin").click()
        expect(page.get_by_role("heading", name="Today", exact=True)).to_be_visible()
        kept = "() => navigator.serviceWorker.getRegistration().then((found) => found?.active?.state === 'activated')"
        until(lambda: page.evaluate(kept), what="the app is kept on the phone")
        house.stop()
        page.goto(book)
        expect(page.get_by_role("heading", name="Today", exact=True)).to_be_visible()
        phone.close()  # type: ignore[attr-defined]


def test_somebody_comes_in_by_a_code_and_counts_without_signal(tmp_path: Path, phone: Callable[..., Phone]) -> None:
    """By the address that the house prints, as a phone does that finds no name."""
    data = tmp_path / "data"
    with at_home(data) as house:
        trust = ssl.create_default_context(cafile=str(data / "home" / "authority.pem"))
        home = HouseByHttps(house.address, f"/begin/{house.token}", trust)
        barn = set_up(home, cages=3, mornings=1)
        trusted_in(tmp_path / "trusting", data / "home" / "authority.pem")
        env = {**os.environ, "HOME": str(tmp_path / "trusting")}
        owner = phone(home, "owner", viewport={"width": 1280, "height": 800}, env=env)
        desk = owner.sign_in(*OWNER)
        owner.go("/set-up/people")
        desk.get_by_role("button", name="Ask somebody in").click()
        desk.get_by_label("Their name").fill("Wren Aldous")
        desk.get_by_role("button", name="Ask them in").click()
        desk.get_by_role("button", name="Show the code").click()
        link = desk.get_by_text(f"{home.url}/join/").inner_text()

        wren = phone(home, "wren", env=env)
        page = wren.start(link.removeprefix(home.url))
        page.get_by_label("Choose a password").fill("oats-before-noon")
        page.get_by_role("button", name="Come in").click()
        expect(page.get_by_role("heading", name="Today", exact=True)).to_be_visible()
        wren.ready_offline()
        all_in_the_book(page)
        assert can_be_installed(page) == ([], [])
        again = phone(home, "again", env=env)
        late = again.start(link.removeprefix(home.url))
        expect(late.get_by_text("This code has been used")).to_be_visible()
        again.close()

        owner.go("/set-up/house")
        desk.get_by_role("button", name="Back up now").click()
        expect(desk.get_by_role("list", name="Back-ups")).to_contain_text("asked for")
        expect(desk.get_by_text(re.compile("^Looked at"))).to_be_visible()
        assert house.stop() == 0
        owner.go("/set-up/house")
        expect(desk.get_by_text("Below is what it said last.")).to_be_visible()
        expect(desk.get_by_role("list", name="What the house found")).to_contain_text("phones trust")
        wren.close()
        page = wren.start("/round")
        for code, eggs in (("A1", 4), ("A2", 0), ("A3", 5)):
            count(page, code, eggs)
        waiting(page, 3)
    with at_home(data, "--port", home.url.rsplit(":", 1)[1]) as house:
        assert house.address == home.url
        wren.go("/")
        all_in_the_book(page)
        assert barn.counted() == {"A1": 4, "A2": 0, "A3": 5}
        expect(page.get_by_text("Without signal Barnbook will not open here.")).to_have_count(0)
        owner.go("/set-up/phones")
        expect(desk.get_by_role("listitem").filter(has_text="Wren Aldous")).to_contain_text("nothing waited then")
        assert (owner.faults, wren.faults) == ([], [])


def can_be_installed(page: Page) -> tuple[list[Any], list[Any]]:
    """What the browser finds wrong in the manifest, and what keeps it from putting the app on the home screen."""
    browser = page.context.new_cdp_session(page)
    manifest = browser.send("Page.getAppManifest")
    assert manifest["url"].endswith("/barnbook.webmanifest")
    assert '"display": "standalone"' in manifest["data"]
    return manifest["errors"], browser.send("Page.getInstallabilityErrors")["installabilityErrors"]


AGENTS = {
    "Android": "Mozilla/5.0 (Linux; Android 14; Pixel 7) AppleWebKit/537.36 Chrome/120.0 Mobile Safari/537.36",
    "iPhone, iPad": "Mozilla/5.0 (iPhone; CPU iPhone OS 17_2 like Mac OS X) AppleWebKit/605.1.15 Version/17.2 Mobile",
    "A computer": "Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15 Version/17.2 Safari/605.1.15",
}


def test_the_plain_page_helps_each_kind_of_device(tmp_path: Path, playwright: Playwright) -> None:
    with at_home(tmp_path / "data") as house:
        at = plain_of(house)
        authority = ssl.PEM_cert_to_DER_cert((tmp_path / "data" / "home" / "authority.pem").read_text())
        chromium = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=ARGS)
        for kind, agent in AGENTS.items():
            for light in ("light", "dark"):
                size = {"width": 1280, "height": 800} if kind == "A computer" else {"width": 360, "height": 740}
                context = chromium.new_context(user_agent=agent, viewport=size, color_scheme=light)
                page = context.new_page()
                said: list[str] = []
                page.on("console", lambda message, said=said: said.append(message.text))
                page.goto(f"{at}/join/abcde-fghij")
                expect(page.locator("details[open]")).to_have_count(1)
                expect(page.locator("details[open] summary")).to_have_text(kind)
                expect(page.locator("#book")).to_have_attribute("href", re.compile("^https://.+/join/abcde-fghij$"))
                assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
                assert findings(page) == []
                assert [text for text in said if "Content Security Policy" in text] == []
                if kind == "Android":
                    with page.expect_download() as taken:
                        page.get_by_role("link", name="Get the certificate").click()
                    assert Path(taken.value.path()).read_bytes() == authority
                context.close()
        chromium.close()


def test_who_goes_past_the_warning_is_told_that_the_app_is_not_kept(
    tmp_path: Path, phone: Callable[..., Phone]
) -> None:
    with at_home(tmp_path / "data") as house:
        trust = ssl.create_default_context(cafile=str(tmp_path / "data" / "home" / "authority.pem"))
        home = HouseByHttps(house.address, f"/begin/{house.token}", trust)
        set_up(home, cages=1, mornings=0)
        past = phone(home, "past", ignore_https_errors=True)
        page = past.start("/sign-in")
        expect(page.get_by_text("Without signal Barnbook will not open here.")).to_be_visible()
        page.get_by_label("Name", exact=True).fill(OWNER[0])
        page.get_by_label("Password", exact=True).fill(OWNER[1])
        page.get_by_role("button", name="Sign in").click()
        expect(page.get_by_role("heading", name="Today", exact=True)).to_be_visible()
        expect(page.get_by_text("Without signal Barnbook will not open here.")).to_be_visible()
