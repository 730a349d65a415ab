"""A house that is never stopped: its certificate is renewed under way, and its name goes where the network puts it."""

from __future__ import annotations

import contextlib
import http.client
import ipaddress
import re
import socket
import ssl
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from cryptography import x509

from barnbook.house import phone_address
from barnbook.house.home import network, opening
from barnbook.house.home.authority import LASTS, days_left, papers
from tests.house_at_work import HouseAtWork, until

# As `barnbook`, but the house looks after its certificate five times a second.
OFTEN = """
import os, sys
from barnbook.house import data_folder
os.environ["DJANGO_SETTINGS_MODULE"] = "barnbook.site.settings"
data_folder.choose(sys.argv[1:])
import django
django.setup()
from barnbook.house import serving
serving.LOOK_AFTER_HOME_EVERY_SECONDS = 0.2
from barnbook.__main__ import main
main()
"""


def shown(port: int, trust: ssl.SSLContext) -> x509.Certificate:
    """What a new connection is shown."""
    with (
        socket.create_connection(("127.0.0.1", port)) as raw,
        trust.wrap_socket(raw, server_hostname="localhost") as told,
    ):
        der = told.getpeercert(binary_form=True)
    assert der is not None
    return x509.load_der_x509_certificate(der)


def test_it_is_renewed_while_the_house_serves(tmp_path: Path) -> None:
    home = tmp_path / "home"
    with HouseAtWork(tmp_path, "--home", "--plain-port", "0", program=(sys.executable, "-c", OFTEN)) as house:
        found = re.search(r"Open +https://[^\s/]+:(\d+)", house.printed)
        assert found is not None
        port, trust = int(found[1]), ssl.create_default_context(cafile=str(home / "authority.pem"))
        open_all_along = http.client.HTTPSConnection("localhost", port, context=trust)
        open_all_along.request("GET", "/api/house")
        open_all_along.getresponse().read()
        kept = open_all_along.sock
        first = shown(port, trust)

        # As it will stand there in 300 days: made by the same authority, with 97 days left and an hour less.
        names = first.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
        (home / "house.pem").unlink()
        then = datetime.now(UTC) - LASTS + timedelta(days=97) - timedelta(hours=1)
        papers(
            home,
            names=names.get_values_for_type(x509.DNSName),
            addresses=names.get_values_for_type(x509.IPAddress),
            now=then,
        )
        until(lambda: days_left(home / "house.pem", datetime.now(UTC)) > 390, what="a new certificate")
        until(lambda: shown(port, trust).serial_number != first.serial_number, what="the new one to be shown")
        assert shown(port, trust) == x509.load_pem_x509_certificate((home / "house.pem").read_bytes())

        open_all_along.request("GET", "/api/house")
        assert open_all_along.getresponse().status == 200
        assert open_all_along.sock is kept, "who was connected stays so"
        assert "Traceback" not in house.printed
        assert house.stop() == 0


def test_a_laptop_that_wakes_elsewhere_is_found_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    settings.DATA = tmp_path
    at = [ipaddress.ip_address("192.168.4.17")]
    announced: list[list[str]] = []
    monkeypatch.setattr(opening, "own_addresses", lambda: list(at))
    monkeypatch.setattr(
        network, "_announce", lambda port, addresses: announced.append([str(each) for each in addresses])
    )
    with (
        contextlib.ExitStack() as beside,
        socket.create_server(("127.0.0.1", 0)) as listener,
        socket.create_server(("127.0.0.1", 0)) as plain,
    ):
        port = listener.getsockname()[1]
        house = opening.open_to_phones(listener, plain, beside).home
        assert phone_address.noted().address == f"https://192.168.4.17:{port}"
        assert house.look_after() is False
        at.clear()  # asleep, or out of the Wi-Fi
        assert house.look_after() is False
        assert phone_address.noted().address == f"https://192.168.4.17:{port}", "nothing is known, so it stands"
        at.append(ipaddress.ip_address("192.168.4.23"))
        assert house.look_after() is True, "a certificate for the new address, too"
        assert phone_address.noted().address == f"https://192.168.4.23:{port}"
        assert list(phone_address.noted().former) == [f"https://192.168.4.17:{port}"]
        assert announced == [["192.168.4.17"], ["192.168.4.23"]]
        again = opening.open_to_phones(listener, plain, beside)
        assert "Changed" not in dict(again.lines), "said when it changed, and by the check until all were heard"
        at[:] = [ipaddress.ip_address("192.168.4.99")]
        changed = dict(opening.open_to_phones(listener, plain, beside).lines)["Changed"]
        assert f"phones know this house at https://192.168.4.23:{port}" in changed
