"""The Caddyfile of docs/phones.md, given to Caddy itself before a house that is set up as that page says."""

from __future__ import annotations

import http.client
import json
import os
import re
import shutil
import socket
import ssl
import subprocess
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tests.house_at_work import HouseAtWork, until

PAGE = Path(__file__).parents[2] / "docs" / "phones.md"
NAME = "barn.example"


def caddyfile() -> str:
    """The example, as it stands in the page."""
    found = re.search(r"^    barn\.example \{\n(?:    .*\n)+?    \}\n", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    assert found is not None
    return re.sub(r"^    ", "", found[0], flags=re.MULTILINE)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class AtCaddy(http.client.HTTPSConnection):
    """A connection to Caddy on this machine, asked by the house's public name."""

    def __init__(self, port: int, trust: ssl.SSLContext) -> None:
        super().__init__(NAME, port, context=trust)
        self.trust = trust

    def connect(self) -> None:
        self.sock = self.trust.wrap_socket(socket.create_connection(("127.0.0.1", self.port)), server_hostname=NAME)


@pytest.fixture
def caddy(tmp_path: Path) -> Iterator[tuple[HouseAtWork, int, ssl.SSLContext]]:
    """A house behind Caddy; Caddy's port; and who trusts Caddy's own authority (nobody else signs for an example)."""
    program = shutil.which("caddy")
    if program is None:
        pytest.skip("caddy is not on this machine (Debian: the package 'caddy')")
    plain, secure = free_port(), free_port()
    with HouseAtWork(tmp_path / "data", BARNBOOK_HTTPS="1", BARNBOOK_HOSTS=NAME) as house:
        around = (
            f"{{\n\tadmin off\n\tlocal_certs\n\tskip_install_trust\n\thttp_port {plain}\n\thttps_port {secure}\n}}\n"
        )
        file = tmp_path / "Caddyfile"
        file.write_text(around + caddyfile().replace("127.0.0.1:8000", house.address.removeprefix("http://")))
        kept = tmp_path / "caddy"
        environment = os.environ | {"XDG_DATA_HOME": str(kept), "XDG_CONFIG_HOME": str(kept), "HOME": str(kept)}
        running = subprocess.Popen(
            [program, "run", "--config", str(file), "--adapter", "caddyfile"],
            env=environment,
            stdout=subprocess.DEVNULL,
            stderr=(tmp_path / "said").open("w"),
        )
        try:
            root = kept / "caddy" / "pki" / "authorities" / "local" / "root.crt"
            until(lambda: root.exists() or running.poll() is not None, what="Caddy")
            assert running.poll() is None, (tmp_path / "said").read_text()
            trust = ssl.create_default_context(cafile=str(root))

            def answers() -> bool:
                try:
                    return asked(secure, trust, "/api/house")[0] == 200
                except (OSError, http.client.HTTPException):
                    return False

            until(answers, what="the house behind Caddy")
            yield house, secure, trust
        finally:
            running.terminate()
            running.wait()


def asked(
    port: int, trust: ssl.SSLContext, path: str, body: Any = None, **headers: str
) -> tuple[int, http.client.HTTPResponse, bytes]:
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    with closing(AtCaddy(port, trust)) as connection:
        sent = None if body is None else json.dumps(body)
        connection.request("GET" if body is None else "POST", path, sent, {"Content-Type": "application/json", **named})
        answer = connection.getresponse()
        return answer.status, answer, answer.read()


def test_the_house_behind_it(caddy: tuple[HouseAtWork, int, ssl.SSLContext]) -> None:
    house, port, trust = caddy
    status, answer, body = asked(port, trust, "/api/house")
    assert (status, json.loads(body)["protocol"]) == (200, 1), "taken as https: not sent to itself for ever"
    csrf = json.loads(body)["csrf"]
    cookie = (answer.getheader("Set-Cookie") or "").split(";")[0]
    assert "Secure" in (answer.getheader("Set-Cookie") or "")
    begin = {"token": house.token, "choice": "empty", "farm_name": "Low Reed", "zone": "UTC", "name": "Ilse Marten"}
    begin |= {"password": "reeds-and-grain", "device_name": "laptop"}
    come = {"X_CSRFToken": csrf, "Cookie": cookie}
    elsewhere = asked(port, trust, "/api/begin", begin, Origin="https://elsewhere.example", **come)
    assert elsewhere[0] == 403
    status, answer, body = asked(port, trust, "/api/begin", begin, Origin=f"https://{NAME}:{port}", **come)
    assert status == 201, body
    given = answer.headers.get_all("Set-Cookie") or []
    assert {each.split("=")[0] for each in given} >= {"barnbook_session", "barnbook_device"}
    assert all("Secure" in each for each in given)


def test_what_a_visitor_says_of_where_it_comes_from_is_not_believed(
    caddy: tuple[HouseAtWork, int, ssl.SSLContext],
) -> None:
    _, port, trust = caddy
    tries = [
        asked(port, trust, "/api/join?code=none", X_Forwarded_For=f"203.0.113.{n}", X_Forwarded_Proto="http")[0]
        for n in range(22)
    ]
    assert tries == [403] * 20 + [429] * 2
