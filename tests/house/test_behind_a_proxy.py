"""Behind a reverse proxy on the same machine that answers https, as docs/phones.md sets one up."""

from __future__ import annotations

import json
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.house_at_work import HouseAtWork


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[HouseAtWork]:
    with HouseAtWork(tmp_path_factory.mktemp("data"), BARNBOOK_HTTPS="1") as house:
        yield house


class StraightOn(urllib.request.HTTPRedirectHandler):
    """Leaves redirections to whoever asked."""

    def redirect_request(self, *_: Any) -> None:
        return None


def ask(house: HouseAtWork, path: str, **headers: str) -> tuple[int, Any, bytes]:
    """As the proxy passes it on."""
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    opener = urllib.request.build_opener(StraightOn)
    try:
        with opener.open(urllib.request.Request(house.address + path, headers=named)) as answer:
            return answer.status, answer.headers, answer.read()
    except urllib.error.HTTPError as error:
        return error.code, error.headers, error.read()


def test_what_came_by_https_is_answered_and_what_did_not_is_sent_there(house: HouseAtWork) -> None:
    status, _, body = ask(house, "/api/house", Host="barn.example", X_Forwarded_Proto="https")
    assert (status, json.loads(body)["protocol"]) == (200, 1)
    status, headers, _ = ask(house, "/api/house", Host="barn.example", X_Forwarded_Proto="http")
    assert (status, headers["Location"]) == (301, "https://barn.example/api/house")


def test_each_visitor_is_told_apart_by_the_address_that_the_proxy_names(house: HouseAtWork) -> None:
    def tries(address: str, n: int) -> list[int]:
        asked = {"Host": "barn.example", "X_Forwarded_Proto": "https", "X_Forwarded_For": address}
        return [ask(house, "/api/join?code=none", **asked)[0] for _ in range(n)]

    assert tries("203.0.113.7", 22) == [403] * 20 + [429] * 2
    assert tries("203.0.113.8", 1) == [403]
    # What a visitor writes in front of it himself is not what the proxy saw: Caddy, nginx append or replace.
    assert tries("198.51.100.1, 203.0.113.7", 1) == [429]


def test_a_form_from_elsewhere_is_refused(house: HouseAtWork) -> None:
    headers = {
        "Host": "barn.example",
        "X-Forwarded-Proto": "https",
        "Origin": "https://elsewhere.example",
        "Content-Type": "application/json",
    }
    asked = urllib.request.Request(f"{house.address}/api/sign-in", b'{"name": "x", "password": "y"}', headers)
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(asked)
    assert json.load(refused.value)["code"] == "csrf"


def test_papers_of_the_house_s_own_are_not_made_here(house: HouseAtWork) -> None:
    assert not (Path(house.data) / "home").exists()
