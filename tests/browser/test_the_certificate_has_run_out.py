"""A certificate that has run out: the house cannot be reached, everything stays, and gets in once when it is renewed.

A phone cannot be talked past it: the browser refuses before anything is sent. The house makes its own certificate and
renews it by itself, so a house that did not is made here: its papers alone are dated more than a year back.
"""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from cryptography import x509
from playwright.sync_api import Page, expect

from barnbook.house.home.authority import LASTS
from tests.browser.a_barn import OWNER, set_up
from tests.browser.house import House, free_port, until
from tests.browser.kept import outbox
from tests.browser.phone import Phone
from tests.browser.test_a_phone_trusts_the_house import trusted_in
from tests.browser.thumb import all_in_the_book, cage, count, waiting
from tests.house_at_work import HouseAtWork

DID_NOT_RENEW = f"""
from datetime import timedelta
from barnbook.house.home import authority
made = authority.papers
authority.papers = lambda folder, now, **more: made(folder, now=now - timedelta(days={LASTS.days + 3}), **more)
from barnbook.__main__ import main
main()
"""


@pytest.mark.skipif(shutil.which("certutil") is None, reason="needs certutil (Debian: libnss3-tools)")
def test_the_certificate_has_run_out(house: House, phone: Callable[..., Phone], tmp_path: Path) -> None:
    """Row 38; before it, a network that knows no such name. The phone is switched off and on between: it must find its
    app and its outbox without the house."""
    barn = set_up(house, cages=3, mornings=1)
    house.close()
    port = free_port()
    app = {name: os.environ[name] for name in ("BARNBOOK_APP",) if name in os.environ}

    def at_home(*program: str) -> HouseAtWork:
        how = {"program": program} if program else {}
        return HouseAtWork(house.data, "--home", "--plain-port", "0", "--port", str(port), **how, **app)  # type: ignore[arg-type]

    def runs_out() -> datetime:
        shown = (house.data / "home" / "house.pem").read_bytes()
        return x509.load_pem_x509_certificate(shown).not_valid_after_utc

    with at_home() as good:
        trusted_in(tmp_path / "trusting", house.data / "home" / "authority.pem")
        keeper = phone(
            house,
            args=["--host-resolver-rules=MAP barnbook.local 127.0.0.1"],
            env={**os.environ, "HOME": str(tmp_path / "trusting")},
        )
        keeper.url = f"https://barnbook.local:{port}"
        page = keeper.sign_in(*OWNER)
        all_in_the_book(page)
        good.stop()
    refused: list[str | None] = []

    def switched_on_again(names: str, path: str) -> Page:
        keeper.close()
        keeper.args[-1] = f"--host-resolver-rules=MAP barnbook.local {names}"
        page = keeper.switch_on().pages[0]
        page.on("requestfailed", lambda request: refused.append(request.failure))
        return keeper.go(path)

    def cannot_reach(why: str) -> None:
        keeper.go("/outbox")
        keeper.page.get_by_role("button", name="Try now").click()
        until(lambda: keeper.page.wait_for_timeout(50) or why in refused, what=f"the phone has met {why}")
        expect(keeper.page.get_by_text("The house cannot be reached.").first).to_be_visible()

    page = switched_on_again("~NOTFOUND", "/round")
    count(page, "A1", 4)
    cannot_reach("net::ERR_NAME_NOT_RESOLVED")
    waiting(page, 1)

    with at_home(sys.executable, "-c", DID_NOT_RENEW) as late:
        assert runs_out() < datetime.now(UTC)
        page = switched_on_again("127.0.0.1", "/round")
        cage(page, "A2")
        count(page, "A2", 5)
        cannot_reach("net::ERR_CERT_DATE_INVALID")
        waiting(page, 2)
        assert [each["state"] for each in outbox(page)] == ["waiting", "waiting"]
        late.stop()
    with at_home() as renewed:  # as any start does, and every hour of a house that is never stopped
        assert runs_out() > datetime.now(UTC)
        page.get_by_role("button", name="Try now").click()
        all_in_the_book(page)
        assert keeper.faults == []
        keeper.close()
        renewed.stop()
    house.open()
    assert barn.counted() == {"A1": 4, "A2": 5}
    ids = [each["id"] for each in barn.hand.rows("entries")]
    assert len(ids) == len(set(ids))
