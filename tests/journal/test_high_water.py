"""A book that is behind what the house had answered is another copy of its history."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from barnbook.barn.models import Farm, House
from barnbook.journal import high_water
from tests.conftest import Cast

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def folder(settings: Any, tmp_path: Path) -> Path:
    settings.DATA = tmp_path
    return tmp_path


def test_a_book_that_went_on_keeps_its_name(cast: Cast) -> None:
    before = House.here()
    high_water.note(cast.owner.farm.pk)
    cast.owner.cage()
    house = high_water.book_here()
    assert (house.house, house.book) == (before.house, before.book)


def test_a_book_behind_its_mark_gets_a_new_name_once(cast: Cast) -> None:
    before = House.here()
    cast.owner.cage()
    high_water.note(cast.owner.farm.pk)
    Farm.objects.filter(pk=cast.owner.farm.pk).update(last_seq=1)
    after = high_water.book_here()
    assert after.house == before.house
    assert after.book != before.book
    assert high_water.book_here().book == after.book


@pytest.mark.parametrize("rubbish", ["", "[1]", '{"x": "y"}', "\xff"])
def test_a_mark_that_cannot_be_read_is_no_mark(cast: Cast, folder: Path, rubbish: str) -> None:
    (folder / "high-water.json").write_text(rubbish, encoding="latin-1")
    before = House.here()
    assert high_water.book_here().book == before.book
    high_water.note(cast.owner.farm.pk)
    assert str(cast.owner.farm.pk) in (folder / "high-water.json").read_text()


def test_a_folder_that_cannot_be_written_stops_nobody(cast: Cast, folder: Path, settings: Any) -> None:
    settings.DATA = folder / "not here"
    high_water.note(cast.owner.farm.pk)


def test_a_push_raises_the_mark(cast: Cast, folder: Path, django_capture_on_commit_callbacks: Any) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        cast.owner.cage()
    seq = Farm.objects.get(pk=cast.owner.farm.pk).last_seq
    assert f'"{cast.owner.farm.pk}": {seq}' in (folder / "high-water.json").read_text()
