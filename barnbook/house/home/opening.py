"""Opening the house to the phones on its network: papers, name, plain page, QR code."""

from __future__ import annotations

import io
import socket
from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

import segno
from django.conf import settings
from django.utils import timezone

from barnbook.house.home.authority import Papers, as_der, fingerprint, papers
from barnbook.house.home.lead_in import LeadIn
from barnbook.house.home.network import LOOPBACK, NAME, announced, own_addresses
from barnbook.house.phone_address import keep_phone_address, noted
from barnbook.house.serving import AtHome

NAMES = (NAME, "localhost")


@dataclass(frozen=True, slots=True)
class Opened:
    """address: where phones find the book.  lines: what to say beside it.  qr: the plain page's address, as text."""

    home: AtHome
    address: str
    lines: Sequence[tuple[str, str]]
    qr: str


def open_to_phones(listener: socket.socket, plain: socket.socket, beside: ExitStack) -> Opened:
    """Make what is lacking, and announce the house until `beside` is closed. The sockets listen already."""
    port, plain_port = listener.getsockname()[1], plain.getsockname()[1]
    held = _papers()
    addresses = own_addresses()
    named = beside.enter_context(announced(port, addresses)) if addresses else False
    host = str(addresses[0]) if addresses else "localhost"
    address, page = f"https://{host}:{port}", f"http://{host}:{plain_port}"
    lines = [] if addresses else [("Network", "this machine is on no home network: no phone reaches it yet")]
    lines += [("Phones", f"{page}  (first time, on the house's Wi-Fi: or read the code above)")]
    if named:
        lines.append(("By name", f"https://{NAME}:{port}, where a phone finds it"))
    lines.append(("Trust", f"SHA-256 {fingerprint(held.authority)}"))
    before = noted()
    if before is not None and before != address:
        lines.append(("Changed", f"phones know this house at {before}: give it that address again in the router"))
    keep_phone_address(address)
    lead_in = LeadIn(
        certificate=as_der(held.authority),
        fingerprint=fingerprint(held.authority),
        port=port,
        plain_port=plain_port,
        name=NAME if named else None,
    )
    home = AtHome(held.certificate, held.key, renew=_renew, plain=lead_in, plain_listener=plain)
    return Opened(home, address, lines, _as_text(page))


def _papers() -> Papers:
    return papers(
        Path(settings.DATA) / "home", names=NAMES, addresses=[*own_addresses(), *LOOPBACK], now=timezone.now()
    )


def _renew() -> bool:
    certificate = Path(settings.DATA) / "home" / "house.pem"
    before = certificate.read_bytes()
    _papers()
    return certificate.read_bytes() != before


def _as_text(link: str) -> str:
    out = io.StringIO()
    segno.make(link, error="m").terminal(out=out, compact=True)
    return out.getvalue()
