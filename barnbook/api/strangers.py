"""Strangers at the door: whoever has no account and opens a page that needs none. They must not slow the house.

How often each address may come, and all together; how many may be served at one time, so that most of the house's
threads are always the barn's. It is all in memory: a house that starts again forgets who knocked. Turning somebody away
costs neither a query nor the reading of what they sent.

An IPv6 address is known by its first 64 bits: the rest is the interface's own (RFC 4291, section 2.5.4), and whoever is
given a network of 64 bits, which is the least that a household gets (RFC 6177), may come from 2^64 addresses of it.
"""

from __future__ import annotations

import ipaddress
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager

MOST_ADDRESSES = 4096
IPV6_PREFIX = 64


def household(address: str) -> str:
    """Who knocks, as far as an address tells: an IPv4 address as it is, of an IPv6 address its first 64 bits.

    An IPv4 address written as an IPv6 one (::ffff:192.0.2.1, RFC 4291 section 2.5.5.2) is the IPv4 address. What is no
    address is itself.
    """
    try:
        found = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return address
    if isinstance(found, ipaddress.IPv4Address):
        return str(found)
    if found.ipv4_mapped is not None:
        return str(found.ipv4_mapped)
    return str(ipaddress.ip_network((found, IPV6_PREFIX), strict=False))


class Knocks:
    """So many from one address in a span of time, and so many from all of them together.

    Windows begin with the first knock. Of more addresses than can be remembered the longest known are forgotten; the
    bound on all together holds then.
    """

    def __init__(
        self,
        *,
        most: int,
        of_all: int,
        seconds: float,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.most, self.of_all, self.seconds, self.clock = most, of_all, seconds, clock
        self._lock = threading.Lock()
        self.forget()

    def forget(self) -> None:
        self._by_address: OrderedDict[str, tuple[float, int]] = OrderedDict()
        self._all = (0.0, 0)

    def wait_s(self, address: str, *, knocks: bool = True) -> int:
        """Seconds to wait before this address may come in; 0 when it may now. knocks: this is counted as a knock."""
        now, address = self.clock(), household(address)
        with self._lock:
            mine, everybody = self._window(self._by_address.get(address), now), self._window(self._all, now)
            for (begun, count), most in ((mine, self.most), (everybody, self.of_all)):
                if count >= most:
                    return max(1, int(begun + self.seconds - now) + 1)
            if knocks:
                self._by_address[address] = (mine[0], mine[1] + 1)
                self._by_address.move_to_end(address)
                self._all = (everybody[0], everybody[1] + 1)
                if len(self._by_address) > MOST_ADDRESSES:
                    self._by_address.popitem(last=False)
        return 0

    def _window(self, window: tuple[float, int] | None, now: float) -> tuple[float, int]:
        return (now, 0) if window is None or now - window[0] >= self.seconds else window


class Door:
    """At most so many are let in at one time."""

    def __init__(self, at_once: int) -> None:
        self._places = threading.BoundedSemaphore(at_once)

    @contextmanager
    def inside(self) -> Iterator[bool]:
        """Whether there was a place; it is held until the end."""
        got = self._places.acquire(blocking=False)
        try:
            yield got
        finally:
            if got:
                self._places.release()
