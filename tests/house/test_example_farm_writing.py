"""Making the example farm: broken off, beside other farms, and against a journal that does not agree."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from barnbook.barn.models import Farm
from barnbook.house.example_farm import make_example_farm, writing
from barnbook.house.example_farm.imagine import imagine
from barnbook.house.example_farm.pen import Draft
from barnbook.journal.models import Entry
from tests.barn.factories import a_farm, a_person

TODAY = date(2026, 7, 15)


def hush(done: int, total: int) -> None:
    """A progress that nobody looks at."""


@pytest.fixture
def only_the_first(monkeypatch: pytest.MonkeyPatch, db: Any) -> Callable[[int], list[Draft]]:
    """Cut the story after so many entries: the whole takes seconds."""

    def cut(number: int) -> list[Draft]:
        whole = imagine(today=TODAY)
        short = replace(whole, entries=whole.entries[:number])
        monkeypatch.setattr(writing, "imagine", lambda **_: short)
        return short.entries

    return cut


def test_broken_off_half_way_it_is_made_anew(only_the_first: Callable[[int], list[Draft]]) -> None:
    only_the_first(1600)

    def pull_the_plug(done: int, total: int) -> None:
        if done > 1400:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        make_example_farm(today=TODAY, progress=pull_the_plug)
    assert 0 < Entry.objects.count() < 1600
    assert writing.the_example_farm() is None
    made = make_example_farm(today=TODAY, progress=hush, password="reeds-by-the-water")
    assert Entry.objects.of(made.farm).count() == 1600
    assert Farm.objects.filter(example=True).count() == 1
    assert made.owner.check_password("reeds-by-the-water")


def test_a_name_that_somebody_of_the_house_has_is_left_to_them(only_the_first: Callable[[int], list[Draft]]) -> None:
    only_the_first(10)
    a_person(farm=a_farm(name="Nether Fold"), name="wilma fennick")
    assert make_example_farm(today=TODAY, progress=hush).owner.name == "Wilma Fennick 2"


def test_another_farm_is_left_alone(only_the_first: Callable[[int], list[Draft]]) -> None:
    only_the_first(60)
    other = a_farm(name="Nether Fold")
    made = make_example_farm(today=TODAY, progress=hush)
    assert made.farm.pk != other.pk
    assert not Entry.objects.of(other).exists()


def test_an_entry_that_the_journal_does_not_take_stops_the_making(
    only_the_first: Callable[[int], list[Draft]],
) -> None:
    only_the_first(10)[5].body["colour"] = "blue"
    with pytest.raises(RuntimeError, match="colour"):
        make_example_farm(today=TODAY, progress=hush)
    assert writing.the_example_farm() is None
