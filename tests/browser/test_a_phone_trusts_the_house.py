"""A phone that trusts the house keeps the book by https; one that does not is led by the plain page."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import Playwright, expect

from tests.browser.phone import ARGS
from tests.house_at_work import HouseAtWork, until

BOOK = "https://barnbook.local:{port}"


def trusted_in(home: Path, authority: Path) -> None:
    """A browser's own store of trusted authorities, with the house's in it."""
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    for command in (["-N", "--empty-password"], ["-A", "-t", "C,,", "-n", "barnbook", "-i", str(authority)]):
        subprocess.run(["certutil", "-d", f"sql:{store}", *command], check=True, capture_output=True)


@pytest.mark.skipif(shutil.which("certutil") is None, reason="needs certutil (Debian: libnss3-tools)")
def test_trusted_and_untrusted(playwright: Playwright, tmp_path: Path) -> None:
    app = {name: os.environ[name] for name in ("BARNBOOK_APP",) if name in os.environ}
    with HouseAtWork(tmp_path / "data", "--home", "--plain-port", "0", **app) as house:
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
