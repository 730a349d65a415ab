"""How often strangers may knock, by a clock that the test turns."""

from __future__ import annotations

import pytest

from barnbook.api import strangers
from barnbook.api.strangers import Door, Knocks, household


class Clock:
    now = 100.0

    def __call__(self) -> float:
        return self.now


def test_so_many_from_one_address_and_then_no_more_until_the_window_is_over() -> None:
    clock = Clock()
    knocks = Knocks(most=3, of_all=100, seconds=60, clock=clock)
    assert [knocks.wait_s("a") for _ in range(3)] == [0, 0, 0]
    assert knocks.wait_s("a") == 61
    assert knocks.wait_s("b") == 0
    clock.now += 59
    assert knocks.wait_s("a") == 2
    clock.now += 1
    assert knocks.wait_s("a") == 0


def test_many_addresses_together_are_bounded_too() -> None:
    knocks = Knocks(most=3, of_all=10, seconds=60, clock=Clock())
    came_in = sum(knocks.wait_s(f"10.0.0.{i}") == 0 for i in range(100))
    assert came_in == 10


def test_what_is_remembered_is_bounded() -> None:
    knocks = Knocks(most=3, of_all=10**9, seconds=60, clock=Clock())
    for i in range(strangers.MOST_ADDRESSES + 500):
        knocks.wait_s(str(i))
    assert len(knocks._by_address) == strangers.MOST_ADDRESSES


@pytest.mark.parametrize(
    ("address", "who"),
    [
        ("192.0.2.17", "192.0.2.17"),
        ("2001:db8:1:2::1", "2001:db8:1:2::/64"),
        ("2001:db8:1:2:ffff:ffff:ffff:ffff", "2001:db8:1:2::/64"),
        ("2001:0DB8:0001:0002:0:0:0:1", "2001:db8:1:2::/64"),
        ("2001:db8:1:3::1", "2001:db8:1:3::/64"),
        ("::ffff:192.0.2.17", "192.0.2.17"),  # an IPv4 address that came in by an IPv6 socket (RFC 4291, 2.5.5.2)
        ("fe80::1%eth0", "fe80::/64"),
        ("", ""),
        ("unix:", "unix:"),
    ],
)
def test_an_ipv6_address_is_known_by_its_network(address: str, who: str) -> None:
    """Documentation addresses (RFC 3849, RFC 5737); 64 bits of network, 64 of interface (RFC 4291, section 2.5.4)."""
    assert household(address) == who


def test_a_household_of_ipv6_has_no_more_tries_than_one_address() -> None:
    knocks = Knocks(most=3, of_all=10**9, seconds=60, clock=Clock())
    came_in = sum(knocks.wait_s(f"2001:db8:1:2::{i:x}") == 0 for i in range(1, 500))
    assert came_in == 3
    assert len(knocks._by_address) == 1
    assert knocks.wait_s("2001:db8:1:3::1") == 0  # the neighbours


def test_asking_whether_one_must_wait_is_no_knock() -> None:
    knocks = Knocks(most=1, of_all=10, seconds=60, clock=Clock())
    assert [knocks.wait_s("a", knocks=False) for _ in range(5)] == [0] * 5
    assert knocks.wait_s("a") == 0
    assert knocks.wait_s("a", knocks=False) > 0


def test_the_door_lets_so_many_in_at_one_time_and_again_when_they_have_gone() -> None:
    door = Door(1)
    with door.inside() as first:
        assert first
        with door.inside() as second:
            assert not second
    with door.inside() as third:
        assert third
