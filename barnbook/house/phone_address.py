"""The address by which phones reach this house: what a QR code leads to."""

from __future__ import annotations

import json
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest

LOOPBACK = ("localhost", "127.", "[::1]")


def keep_phone_address(address: str | None) -> None:
    """Note where phones reach the house that is being served; None where it is this machine's alone."""
    _file().write_text(json.dumps({"address": address}), encoding="utf-8")


def phone_address(request: HttpRequest) -> str:
    """The address at which the asker sees the house; asked on the house's own machine, the one noted for phones."""
    seen = f"{request.scheme}://{request.get_host()}"
    if request.get_host().startswith(LOOPBACK):
        return noted() or seen
    return seen


def noted() -> str | None:
    try:
        address = json.loads(_file().read_text(encoding="utf-8"))["address"]
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return str(address) if address else None


def _file() -> Path:
    return Path(settings.DATA) / "phone-address.json"
