"""The address by which phones reach this house: what a QR code leads to, and what it was before.

A phone that came in by a number knows the house by that number, and by no other (a browser keeps the book for each
address apart). So a number that has changed is not forgotten until all phones have been heard again.
"""

from __future__ import annotations

import json
import os
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest

LOOPBACK = ("localhost", "127.", "[::1]")
MOST_FORMER = 8


@dataclass(frozen=True, slots=True)
class Noted:
    """address: https://192.168.4.17:8443, None where the house is this machine's alone.  former: those it had, each
    with the moment at which it was found to have gone."""

    address: str | None = None
    former: dict[str, datetime] = field(default_factory=dict)


def keep_phone_address(address: str | None, *, now: datetime) -> None:
    """Note where phones reach the house that is being served; None where it is this machine's alone."""
    before = noted()
    former = dict(before.former)
    if address is not None:
        if before.address is not None and before.address != address:
            former[before.address] = now
        former.pop(address, None)
    elif before.address is not None:
        # Served to this machine alone for a while: its phones know it by the address that it had.
        former.setdefault(before.address, now)
    latest = sorted(former.items(), key=lambda each: each[1])[-MOST_FORMER:]
    told = {"address": address, "former": {each: at.isoformat(timespec="seconds") for each, at in latest}}
    new = _file().with_suffix(f".{os.getpid()}")
    with suppress(OSError):  # a full disk: said by `barnbook check`, and no reason not to open
        new.write_text(json.dumps(told), encoding="utf-8")
        os.replace(new, _file())


def phone_address(request: HttpRequest) -> str:
    """The address at which the asker sees the house; asked on the house's own machine, the one noted for phones."""
    seen = f"{request.scheme}://{request.get_host()}"
    if request.get_host().startswith(LOOPBACK):
        return noted().address or seen
    return seen


def noted() -> Noted:
    try:
        told = json.loads(_file().read_text(encoding="utf-8"))
        former = {str(each): datetime.fromisoformat(at) for each, at in told.get("former", {}).items()}
        return Noted(str(told["address"]) if told["address"] else None, former)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return Noted()


def _file() -> Path:
    return Path(settings.DATA) / "phone-address.json"
