"""The settings of a house that answers https, held against Django's own list of what a served site needs."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from tests.house_at_work import HouseAtWork, Visitor, run


@pytest.mark.parametrize("https", ["1", "home"])
def test_check_deploy_finds_nothing(tmp_path: Path, https: str) -> None:
    """Behind a proxy that answers https, and where the house answers it itself."""
    said = run("check", "--deploy", "--fail-level", "WARNING", "--data", str(tmp_path), BARNBOOK_HTTPS=https)
    assert said.returncode == 0, said.stderr
    assert "no issues" in said.stdout


def test_every_page_carries_a_strict_policy_and_cookies_are_kept_from_scripts(tmp_path: Path) -> None:
    with HouseAtWork(tmp_path) as house:
        visitor = Visitor(house.address)
        visitor.begin(house.token)
        for path in ("/", "/api/house", "/sw.js"):
            with visitor.opener.open(house.address + path) as answer:
                policy = answer.headers["Content-Security-Policy"]
                assert "script-src 'self'" in policy
                assert "unsafe" not in policy
                assert answer.headers["X-Content-Type-Options"] == "nosniff"
        with sqlite3.connect(tmp_path / "book.sqlite3") as book:
            (kept,) = book.execute("SELECT password FROM barn_person").fetchone()
        assert kept.startswith("argon2$argon2id$")
        cookies = {
            cookie.name: cookie for handler in visitor.opener.handlers for cookie in getattr(handler, "cookiejar", ())
        }
        for name in ("barnbook_session", "barnbook_device"):
            assert cookies[name].has_nonstandard_attr("HttpOnly")
            assert cookies[name].get_nonstandard_attr("SameSite") == "Lax"
