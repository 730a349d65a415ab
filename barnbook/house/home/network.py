"""This machine on the house's network: its addresses, and the name that it announces there."""

from __future__ import annotations

import ipaddress
import logging
import socket
from collections.abc import Sequence
from contextlib import suppress

import ifaddr
from zeroconf import ServiceInfo, Zeroconf

from barnbook.house.home.authority import NETWORKS, Address

log = logging.getLogger(__name__)

NAME = "barnbook.local"
LOOPBACK: tuple[Address, ...] = (ipaddress.ip_address("127.0.0.1"), ipaddress.ip_address("::1"))


def own_addresses() -> list[Address]:
    """This machine's IPv4 addresses on home networks, the one that leads outward first. Others (a public address) are
    left out: the authority may not sign for them, and a certificate that names one would be refused whole."""
    found = {
        ipaddress.ip_address(ip.ip)
        for adapter in ifaddr.get_adapters()
        for ip in adapter.ips
        if ip.is_IPv4 and isinstance(ip.ip, str)
    }
    home = sorted((each for each in found if _of_a_home(each)), key=int)
    outward = _outward()
    return sorted(home, key=lambda each: str(each) != outward)


def _of_a_home(address: Address) -> bool:
    networks = [ipaddress.ip_network(each) for each in NETWORKS]
    return not address.is_loopback and any(address in network for network in networks)


def _outward() -> str:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe, suppress(OSError):
        probe.connect(("192.0.2.1", 9))  # RFC 5737's example network: nothing is sent, a route is only chosen
        return str(probe.getsockname()[0])
    return ""


class Announcement:
    """The name barnbook.local, which answers on this network while it is kept (mDNS)."""

    def __init__(self, port: int) -> None:
        self._port = port
        self._at: list[Address] = []
        self._told: Zeroconf | None = None

    def keep(self, addresses: Sequence[Address]) -> bool:
        """See to it that the name leads to these addresses, anew where they have changed. Not within a running event
        loop: it may take two seconds.

        False where that could not be done: phones then use the address, which the QR code holds in any case.
        """
        if list(addresses) != self._at:
            self.close()
            self._at = list(addresses)
            self._told = _announce(self._port, addresses) if addresses else None
        return self._told is not None

    def close(self) -> None:
        """The name answers no more."""
        if self._told is not None:
            self._told.close()
        self._at, self._told = [], None


def _announce(port: int, addresses: Sequence[Address]) -> Zeroconf | None:
    info = ServiceInfo(
        "_https._tcp.local.",
        "Barnbook._https._tcp.local.",
        port=port,
        server=f"{NAME}.",
        addresses=[each.packed for each in addresses],
    )
    told: Zeroconf | None = None
    try:
        told = Zeroconf()
        told.register_service(info, allow_name_change=True)
    except Exception as error:  # a network without multicast
        log.warning("The name %s could not be announced (%s): use the address.", NAME, error)
        if told is not None:
            told.close()
        return None
    return told
