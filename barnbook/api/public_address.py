"""The house's public address: links for strangers exist only where the owner has set one and it answers (ruling 9)."""

from __future__ import annotations

import json
import threading
import time
import urllib.error
import urllib.request
from urllib.parse import urlsplit

from django.conf import settings

from barnbook.barn.models import House

CHECKED_FOR_SECONDS = 3600
PATIENCE_SECONDS = 5
MOST_BYTES = 64 * 1024

_lock = threading.Lock()
_checked: dict[str, float] = {}


class NoPublicAddressError(Exception):
    """There is none, or it does not lead here; the text is a sentence for the owner."""


def public_address() -> str:
    """The address without a slash at its end. Raises NoPublicAddressError."""
    address = settings.PUBLIC_ADDRESS.rstrip("/")
    if not address:
        raise NoPublicAddressError(
            "This house has no public address, so no link can be given to somebody outside. Print the reply slip, and "
            "type in what comes back."
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
        _check(address)
        with _lock:
            _checked[address] = time.monotonic()
    return address


def _check(address: str) -> None:
    """Does it lead to this very house?"""
    try:
        with urllib.request.urlopen(f"{address}/api/house", timeout=PATIENCE_SECONDS) as answer:
            said = json.loads(answer.read(MOST_BYTES))
    except (OSError, ValueError, urllib.error.URLError):
        raise NoPublicAddressError(
            f"Nothing answers at the public address {address}. Look at it from a phone that is not on the house's own "
            "network; meanwhile print the reply slip."
        ) from None
    if not isinstance(said, dict) or said.get("house") != str(House.here().house):
        raise NoPublicAddressError(
            f"The public address {address} leads to something else than this house. Correct BARNBOOK_PUBLIC_ADDRESS."
        )
