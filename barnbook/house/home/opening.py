"""Opening the house to the phones on its network: papers, name, plain page, QR code."""

from __future__ import annotations

import io
import logging
import socket
from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

import segno
from django.conf import settings
from django.utils import timezone

from barnbook.house.home.authority import Address, Papers, as_der, fingerprint, papers
from barnbook.house.home.lead_in import LeadIn
from barnbook.house.home.network import LOOPBACK, NAME, Announcement, own_addresses
from barnbook.house.phone_address import keep_phone_address, noted
from barnbook.house.serving import AtHome

log = logging.getLogger(__name__)

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
    addresses, before = own_addresses(), noted()
    name = Announcement(port)
    beside.callback(name.close)
    held = _papers(addresses)
    lead_in = LeadIn(
        certificate=as_der(held.authority),
        fingerprint=fingerprint(held.authority),
        port=port,
        plain_port=plain_port,
        name=None,
    )

    def look_after() -> bool:
        """A house that is never stopped renews its certificate, and follows where the network puts it."""
        certificate = held.certificate.read_bytes()
        now_at = own_addresses()
        _papers(now_at)
        _see_to_address(now_at, port)
        lead_in.name = NAME if name.keep(now_at) else None
        return held.certificate.read_bytes() != certificate

    look_after()
    host = str(addresses[0]) if addresses else "localhost"
    address, page = f"https://{host}:{port}", f"http://{host}:{plain_port}"
    lines = [] if addresses else [("Network", "this machine is on no home network: no phone reaches it yet")]
    lines += [("Phones", f"{page}  (first time, on the house's Wi-Fi: or read the code above)")]
    if lead_in.name is not None:
        lines.append(("By name", f"https://{NAME}:{port}, where a phone finds it"))
    lines.append(("Trust", f"SHA-256 {fingerprint(held.authority)}"))
    if before.address in noted().former:
        lines.append(
            ("Changed", f"phones know this house at {before.address}: give it that address again in the router")
        )
    home = AtHome(held.certificate, held.key, look_after=look_after, plain=lead_in, plain_listener=plain)
    return Opened(home, address, lines, _as_text(page))


def _see_to_address(addresses: Sequence[Address], port: int) -> None:
    """Note where phones find the house. Off every network (a laptop that was carried out, a Wi-Fi that comes up after
    the house) nothing is known, so what was noted stands; and an address that the machine still has stays the one."""
    if not addresses:
        return
    now_at = {f"https://{each}:{port}" for each in addresses}
    before = noted().address
    if before not in now_at:
        keep_phone_address(f"https://{addresses[0]}:{port}", now=timezone.now())
        if before is not None:
            log.warning("Phones knew this house at %s; it is at %s now.", before, noted().address)


def _papers(addresses: Sequence[Address]) -> Papers:
    return papers(Path(settings.DATA) / "home", names=NAMES, addresses=[*addresses, *LOOPBACK], now=timezone.now())


def _as_text(link: str) -> str:
    out = io.StringIO()
    segno.make(link, error="m").terminal(out=out, compact=True)
    return out.getvalue()
