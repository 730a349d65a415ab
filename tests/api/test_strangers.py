"""How often strangers may knock, by a clock that the test turns."""

from __future__ import annotations

from barnbook.api import strangers
from barnbook.api.strangers import Door, Knocks


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
