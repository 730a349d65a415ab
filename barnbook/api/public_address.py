"""The house's public address: links for strangers exist only where the owner has set one and it answers (ruling 9).

It is set on Set-up, or by BARNBOOK_PUBLIC_ADDRESS, which wins. Of what an owner types, a host and a port are kept; and
all that the house ever fetches is https://<host>/api/house, over a connection whose certificate is the host's, to see
whether the answer is its own. So nobody makes the house ask anything of a machine that does not hold a certificate of
that name, and what was answered is shown to nobody.
"""

from __future__ import annotations

import http.client
import ipaddress
import json
import re
import socket
import ssl
import threading
import time
from contextlib import suppress
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings

from barnbook.barn.models import House

CHECKED_FOR_SECONDS = 3600
PATIENCE_SECONDS = 5
MOST_BYTES = 64 * 1024
LONGEST = 253  # of a host name (RFC 1035, section 3.1)
HTTPS = 443
# A label of a host name: letters, digits and hyphens within (RFC 1123, section 2.1); xn-- carries the others.
LABEL = re.compile(r"(?!-)[a-z0-9-]{1,63}(?<!-)")
# Names that lead nowhere but at home (RFC 6761, 6762, 7686, 8375; .internal by ICANN's resolution of 29 July 2024).
AT_HOME = ("localhost", "local", "test", "invalid", "example", "onion", "home.arpa", "internal")

_lock = threading.Lock()
_checked: dict[str, float] = {}
_checking = threading.Lock()


class NoPublicAddressError(Exception):
    """There is none, or it does not lead here; the text is a sentence for the owner."""


def kept_address() -> tuple[str, str]:
    """The address without a slash at its end, and who says so: "environment", "owner", or "" where nobody did."""
    if settings.PUBLIC_ADDRESS:
        return settings.PUBLIC_ADDRESS.rstrip("/"), "environment"
    kept = House.here().public_address
    return kept, "owner" if kept else ""


def public_address() -> str:
    """The address without a slash at its end, checked within the last hour. Raises NoPublicAddressError."""
    address, _ = kept_address()
    if not address:
        raise NoPublicAddressError(
            "This house has no public address, so no link can be given to somebody outside: the owner sets one on "
            "Set-up. Without it, print the reply slip and type in what comes back."
        )
    where = urlsplit(address)
    on_this_machine = where.hostname in ("127.0.0.1", "localhost", "::1")
    if where.scheme != "https" and not on_this_machine:
        raise NoPublicAddressError(
            f"The public address {address} is not https. What a customer reports must not travel in the open: set "
            "BARNBOOK_PUBLIC_ADDRESS to an address that begins with https://."
        )
    with _lock:
        known = time.monotonic() - _checked.get(address, -CHECKED_FOR_SECONDS) < CHECKED_FOR_SECONDS
    if not known:
        check(address)
    return address


def check(address: str) -> None:
    """Does it lead to this very house? Remembered for an hour where it does. Raises NoPublicAddressError."""
    _check(address)
    with _lock:
        _checked[address] = time.monotonic()


def typed_address(text: str) -> str:
    """What an owner typed, as an address without a slash at its end. Raises NoPublicAddressError."""
    text = text.strip()
    if "://" not in text:
        text = f"https://{text}"
    try:
        where = urlsplit(text)
        host, port = (where.hostname or "").rstrip(".").encode("idna").decode("ascii").lower(), where.port
    except (ValueError, UnicodeError):
        raise NoPublicAddressError("That is no address: it looks like https://eggs.example.org.") from None
    if where.scheme != "https":
        raise NoPublicAddressError(
            "It must begin with https://: what a customer reports must not travel in the open for anybody to read."
        )
    if where.username is not None or where.password is not None:
        raise NoPublicAddressError("Leave out the name and password: strangers are given this address.")
    if where.path not in ("", "/") or where.query or where.fragment:
        raise NoPublicAddressError(f"Only the first part is wanted, without what comes after it: https://{host}.")
    if _is_number(host):
        raise NoPublicAddressError("It must be a name, such as eggs.example.org: a certificate is made out to a name.")
    labels = host.split(".")
    if len(host) > LONGEST or len(labels) < 2 or not all(LABEL.fullmatch(each) for each in labels):
        raise NoPublicAddressError("That is no name that is known outside: it looks like https://eggs.example.org.")
    if any(host == end or host.endswith(f".{end}") for end in AT_HOME):
        raise NoPublicAddressError(f"{host} leads nowhere from outside your own network: a public name is needed.")
    return f"https://{host}" if port in (None, HTTPS) else f"https://{host}:{port}"


def _is_number(host: str) -> bool:
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return host.rpartition(".")[2].isdigit()  # 127.1 and the like, which resolvers take for numbers
    return True


def _check(address: str) -> None:
    where = urlsplit(address)
    if not _checking.acquire(timeout=2 * PATIENCE_SECONDS):
        raise NoPublicAddressError("An address is being checked already: try again in a moment.")
    try:
        said = house_at(where.hostname or "", where.port, https=where.scheme == "https")
    except ssl.SSLCertVerificationError:
        raise NoPublicAddressError(
            f"What answers at {address} has no certificate that a stranger's browser would trust. A reverse proxy or a "
            "tunnel brings one; the house's own certificate is for its own phones alone."
        ) from None
    except (OSError, ValueError, http.client.HTTPException):
        raise NoPublicAddressError(
            f"Nothing of this house answers at the public address {address}. Look at it from a phone that is not on "
            "the house's own network; meanwhile print the reply slip."
        ) from None
    finally:
        _checking.release()
    if not isinstance(said, dict) or said.get("house") != str(House.here().house):
        raise NoPublicAddressError(f"The public address {address} leads to something else than this house. Correct it.")


def house_at(host: str, port: int | None, *, https: bool = True, context: ssl.SSLContext | None = None) -> Any:
    """What that host answers at /api/house, as JSON. Raises OSError, ValueError, http.client.HTTPException.

    No redirect is followed, no proxy asked, no more than 64 KiB read; after five seconds in all the line is cut.
    """
    line: socket.socket = socket.create_connection((host, port or (HTTPS if https else 80)), PATIENCE_SECONDS)
    if https:
        context = context or ssl.create_default_context()
        line = context.wrap_socket(line, server_hostname=host, do_handshake_on_connect=False)
    # Each read has its own patience: whoever answers a byte at a time is cut off by the clock.
    clock = threading.Timer(PATIENCE_SECONDS, _cut, [line])
    clock.daemon = True
    clock.start()
    try:
        if isinstance(line, ssl.SSLSocket):
            line.do_handshake()
        connection = http.client.HTTPConnection(host, port, timeout=PATIENCE_SECONDS)
        connection.sock = line
        connection.request("GET", "/api/house", headers={"Accept": "application/json", "Connection": "close"})
        answer = connection.getresponse()
        if answer.status != http.client.OK:
            raise ValueError("no answer of ours")
        return json.loads(answer.read(MOST_BYTES))
    finally:
        clock.cancel()
        line.close()


def _cut(line: socket.socket) -> None:
    with suppress(OSError):  # it may be closed already
        socket.socket.shutdown(line, socket.SHUT_RDWR)
