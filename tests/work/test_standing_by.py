"""The reckoner's waiting: for quiet, for more, for the end of its house."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Iterator
from datetime import timedelta
from typing import IO

import pytest
from django.utils import timezone

from barnbook.barn.models import Farm, ToReckon
from barnbook.work import standing_by
from barnbook.work.reckon import Outcome
from barnbook.work.standing_by import stand_by, wait_for_quiet
from tests.barn.factories import a_farm

pytestmark = pytest.mark.django_db


def write_down(farm: Farm, *, seconds_ago: float) -> None:
    ToReckon.objects.create(farm=farm, subject="farm", since=timezone.now() - timedelta(seconds=seconds_ago))


def waited(gone: threading.Event | None = None) -> float:
    began = time.monotonic()
    wait_for_quiet(gone=gone or threading.Event())
    return time.monotonic() - began


def test_nothing_to_do_is_quiet() -> None:
    assert waited() < 0.5


def test_what_was_written_long_ago_is_quiet() -> None:
    write_down(a_farm(), seconds_ago=3)
    assert waited() < 0.5


def test_two_seconds_after_the_last(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(standing_by, "QUIET_SECONDS", 0.4)
    write_down(a_farm(), seconds_ago=9)
    write_down(a_farm(), seconds_ago=0)
    assert 0.3 <= waited() < 2


def test_a_clock_that_was_set_back_does_not_hold_it_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(standing_by, "LONGEST_WAIT_SECONDS", 0.5)
    monkeypatch.setattr(standing_by, "QUIET_SECONDS", 0.2)
    write_down(a_farm(), seconds_ago=-3600)
    assert 0.4 <= waited() < 2


def test_the_house_going_ends_the_wait() -> None:
    gone = threading.Event()
    gone.set()
    write_down(a_farm(), seconds_ago=0)
    assert waited(gone) < 0.5


@pytest.fixture
def pipe() -> Iterator[tuple[IO[bytes], IO[bytes]]]:
    """What the reckoner reads, and what its house writes."""
    reading, writing = os.pipe()
    with os.fdopen(reading, "rb") as read, os.fdopen(writing, "wb", buffering=0) as write:
        yield read, write


@pytest.fixture
def rounds(monkeypatch: pytest.MonkeyPatch) -> list[Outcome]:
    """The outcomes that reckoning is to have, one a round; those not asked for stay."""
    outcomes = [Outcome(), Outcome(), Outcome()]
    monkeypatch.setattr(standing_by, "reckon", lambda *, stop: outcomes.pop(0))
    return outcomes


def test_ends_when_nobody_asks_again(pipe: tuple[IO[bytes], IO[bytes]], rounds: list[Outcome]) -> None:
    assert stand_by(pipe[0], seconds=0.1) is True
    assert len(rounds) == 2


def test_reckons_once_for_many_nudges(pipe: tuple[IO[bytes], IO[bytes]], rounds: list[Outcome]) -> None:
    pipe[1].write(b"\n\n\n\n")
    assert stand_by(pipe[0], seconds=0.3) is True
    assert len(rounds) in (0, 1), "once at first, and once or twice for the four"


def test_ends_with_its_house(pipe: tuple[IO[bytes], IO[bytes]], rounds: list[Outcome]) -> None:
    pipe[1].close()
    began = time.monotonic()
    assert stand_by(pipe[0], seconds=30) is True
    assert time.monotonic() - began < 5


def test_says_when_something_could_not_be_reckoned(pipe: tuple[IO[bytes], IO[bytes]], rounds: list[Outcome]) -> None:
    rounds[0] = Outcome(failed={1})
    assert stand_by(pipe[0], seconds=0.1) is False
