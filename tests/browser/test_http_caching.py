"""What a browser may keep of the app, by the rules of HTTP: RFC 9111 (caching), RFC 8246 (immutable), RFC 9110, section
13 (conditional requests). What it may keep of the wire: nothing, see tests/api/test_standards.py."""

from __future__ import annotations

import re
import urllib.error
import urllib.request
from http.client import HTTPMessage

import pytest

from tests.browser.house import House


def got(house: House, path: str, **headers: str) -> tuple[int, HTTPMessage]:
    try:
        with urllib.request.urlopen(urllib.request.Request(house.url + path, headers=headers)) as answer:
            answer.read()
            return answer.status, answer.headers
    except urllib.error.HTTPError as error:
        return error.code, error.headers


@pytest.mark.parametrize("path", ["/", "/round", "/sw.js", "/barnbook.webmanifest"])
def test_what_keeps_its_name_is_asked_about_each_time(house: House, path: str) -> None:
    """RFC 9111, section 5.2.2.4: no-cache. A new app would else be found a day late."""
    status, headers = got(house, path)
    assert (status, headers["Cache-Control"]) == (200, "no-cache")
    if path == "/sw.js":
        same = {"If-Modified-Since": headers["Last-Modified"]}
        assert got(house, path, **same)[0] == 304


def test_what_has_its_content_in_its_name_is_kept_for_good(house: House) -> None:
    """RFC 8246: immutable, with a long max-age; every file that the page asks for by a name that changes with it."""
    with urllib.request.urlopen(house.url) as answer:
        named = re.findall(r'(?:src|href)="(/assets/[^"]+)"', answer.read().decode())
    assert any(name.endswith(".js") for name in named)
    for name in named:
        status, headers = got(house, name)
        assert status == 200
        said = dict(part.strip().partition("=")[::2] for part in headers["Cache-Control"].split(","))
        assert "immutable" in said
        assert int(said["max-age"]) >= 365 * 24 * 3600
        assert "no-cache" not in said
