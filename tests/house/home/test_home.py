"""A house opened to phones: https that who trusts it verifies, the plain page beside it, the name on the network."""

from __future__ import annotations

import asyncio
import hashlib
import ipaddress
import json
import re
import socket
import ssl
import urllib.error
import urllib.request
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from http.cookiejar import CookieJar
from pathlib import Path
from typing import Any

import pytest
from zeroconf import Zeroconf

from barnbook.house.home.lead_in import NAME_OF_FILE, LeadIn
from barnbook.house.home.network import NAME, Announcement, own_addresses
from tests.house_at_work import HouseAtWork


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[HouseAtWork]:
    data = tmp_path_factory.mktemp("home") / "data"
    with HouseAtWork(data, "--home", "--plain-port", "0") as house:
        yield house


def port_of(house: HouseAtWork, word: str) -> int:
    found = re.search(rf"{word} +https?://[^\s/]+:(\d+)", house.printed)
    assert found is not None, house.printed
    return int(found[1])


def trusting(house: HouseAtWork) -> ssl.SSLContext:
    return ssl.create_default_context(cafile=str(house.data / "home" / "authority.pem"))


def test_who_trusts_the_house_is_answered_by_https(house: HouseAtWork) -> None:
    port = port_of(house, "Open")
    for name in ("localhost", "127.0.0.1"):
        with urllib.request.urlopen(f"https://{name}:{port}/api/house", context=trusting(house)) as answer:
            assert answer.status == 200
    with (
        socket.create_connection(("127.0.0.1", port)) as raw,
        trusting(house).wrap_socket(raw, server_hostname=NAME) as told,
    ):
        assert told.version() == "TLSv1.3"
    with pytest.raises(urllib.error.URLError, match="CERTIFICATE_VERIFY_FAILED"):
        urllib.request.urlopen(f"https://localhost:{port}/api/house")


def test_its_cookies_go_over_https_alone(house: HouseAtWork) -> None:
    at, kept = f"https://localhost:{port_of(house, 'Open')}", CookieJar()
    opener = urllib.request.build_opener(
        urllib.request.HTTPSHandler(context=trusting(house)), urllib.request.HTTPCookieProcessor(kept)
    )
    with opener.open(f"{at}/api/house") as answer:
        csrf = json.load(answer)["csrf"]
    body = {
        "token": house.token,
        "choice": "empty",
        "farm_name": "Low Reed",
        "zone": "UTC",
        "name": "Ilse Marten",
        "password": "reeds-and-grain",
    }
    headers = {"Content-Type": "application/json", "X-CSRFToken": csrf, "Origin": at}
    with opener.open(urllib.request.Request(f"{at}/api/begin", json.dumps(body).encode(), headers)) as answer:
        assert answer.status == 201
    assert {cookie.name for cookie in kept} == {"barnbook_session", "barnbook_device", "barnbook_csrf"}
    assert all(cookie.secure for cookie in kept)
    headers["Origin"] = "https://elsewhere.example"
    with pytest.raises(urllib.error.HTTPError) as refused:
        opener.open(urllib.request.Request(f"{at}/api/sign-out", b"{}", headers))
    assert refused.value.code == 403


def test_what_a_visitor_says_of_where_it_comes_from_is_not_believed(house: HouseAtWork) -> None:
    port = port_of(house, "Open")
    statuses = []
    for n in range(12):
        asked = urllib.request.Request(
            f"https://localhost:{port}/api/join?code=x", headers={"X-Forwarded-For": f"192.168.7.{n}"}
        )
        try:
            urllib.request.urlopen(asked, context=trusting(house))
        except urllib.error.HTTPError as error:
            statuses.append(error.code)
    assert statuses == [403] * 12
    for n in range(10):
        asked = urllib.request.Request(
            f"https://localhost:{port}/api/join?code=x", headers={"X-Forwarded-For": f"192.168.8.{n}"}
        )
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(asked, context=trusting(house))
    assert refused.value.code == 429


def test_the_plain_page_gives_the_certificate_and_leads_to_the_book(house: HouseAtWork) -> None:
    plain, port = port_of(house, "Phones"), port_of(house, "Open")
    with urllib.request.urlopen(f"http://127.0.0.1:{plain}/join/abcde-fghij") as answer:
        page = answer.read().decode()
        assert "script-src 'self'" in answer.headers["Content-Security-Policy"]
    assert f'href="https://127.0.0.1:{port}/join/abcde-fghij"' in page
    for words in ("Certificate Trust Settings", "CA certificate", "Add to Home Screen"):
        assert words in page
    with urllib.request.urlopen(f"http://127.0.0.1:{plain}{NAME_OF_FILE}") as answer:
        assert answer.headers["Content-Type"] == "application/x-x509-ca-cert"
        der = answer.read()
    shown = hashlib.sha256(der).digest().hex(":").upper()
    assert shown in page
    assert f"SHA-256 {shown}" in house.printed
    for path in ("/api/house", "/sign-in", "/../secret-key"):
        with pytest.raises(urllib.error.HTTPError, match="404"):
            urllib.request.urlopen(f"http://127.0.0.1:{plain}{path}")


def test_it_stops_with_0_and_keeps_its_papers(tmp_path: Path) -> None:
    with HouseAtWork(tmp_path, "--home", "--plain-port", "0") as house:
        authority = (tmp_path / "home" / "authority.pem").read_bytes()
        assert house.stop() == 0
        assert "Traceback" not in house.printed
    assert (tmp_path / "home" / "authority.pem").read_bytes() == authority


@pytest.mark.parametrize("told", ['evil"><script>', "a b", "barn.local\r\nX: y"])
def test_the_page_repeats_no_host_that_is_none(told: str) -> None:
    said: list[dict[str, Any]] = []

    async def send(message: dict[str, Any]) -> None:
        said.append(message)

    page = LeadIn(certificate=b"", fingerprint="", port=1, plain_port=2, name=None)
    scope = {"type": "http", "method": "GET", "path": "/", "headers": [(b"host", told.encode())]}
    # In a thread of its own: a browser test of the same run keeps a loop running in this one.
    with ThreadPoolExecutor(max_workers=1) as alone:
        alone.submit(asyncio.run, page(scope, None, send)).result()
    assert b'href="https://localhost:1/"' in said[1]["body"]


def test_its_addresses_are_those_that_the_authority_may_sign_for() -> None:
    for address in own_addresses():
        assert (address.is_private, address.is_loopback) == (True, False)


def test_its_name_answers_on_the_network_and_follows_the_address() -> None:
    here, elsewhere = ipaddress.ip_address("127.0.0.1"), ipaddress.ip_address("192.168.4.23")
    name = Announcement(8443)
    with ExitStack() as beside:
        beside.callback(name.close)
        if not name.keep([here]):
            pytest.skip("this machine has no network on which a name can be announced")
        asker = Zeroconf()
        beside.callback(asker.close)
        found = asker.get_service_info("_https._tcp.local.", "Barnbook._https._tcp.local.", timeout=5000)
        assert found is not None
        assert (found.server, found.parsed_addresses(), found.port) == (f"{NAME}.", ["127.0.0.1"], 8443)
        assert name.keep([elsewhere])
        fresh = Zeroconf()
        beside.callback(fresh.close)
        found = fresh.get_service_info("_https._tcp.local.", "Barnbook._https._tcp.local.", timeout=5000)
        assert found is not None
        assert found.parsed_addresses() == ["192.168.4.23"]
        assert name.keep([]) is False, "off every network there is nobody to tell"
