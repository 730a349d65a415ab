"""This machine on the house's network: its addresses, and the name that it announces there."""

from __future__ import annotations

import ipaddress
import logging
import socket
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress

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


@contextmanager
def announced(port: int, addresses: Sequence[Address]) -> Iterator[bool]:
    """The name barnbook.local answers on this network meanwhile (mDNS). False where that could not be done: phones
    then use the address, which the QR code holds in any case."""
    try:
        told = Zeroconf()
    except OSError as error:
        log.warning("The name %s could not be announced (%s): use the address.", NAME, error)
        yield False
        return
    info = ServiceInfo(
        "_https._tcp.local.",
        "Barnbook._https._tcp.local.",
        port=port,
        server=f"{NAME}.",
        addresses=[each.packed for each in addresses],
    )
    try:
        try:
            told.register_service(info, allow_name_change=True)
        except Exception as error:  # a network without multicast
            log.warning("The name %s could not be announced (%s): use the address.", NAME, error)
            yield False
        else:
            yield True
    finally:
        told.close()
