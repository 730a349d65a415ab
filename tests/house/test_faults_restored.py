"""An older copy of the book put back by hand: the house notices, and the phones send again what it lacks."""

from __future__ import annotations

from pathlib import Path

from tests.house.older_copy import copy
from tests.house.pen import Pen, a_book, opened, stands_as_its_entries_give
from tests.house_at_work import HouseAtWork


def test_the_house_restored_from_an_older_copy(tmp_path: Path) -> None:
    data = tmp_path / "data"
    with a_book() as book:
        with HouseAtWork(data, **book) as house:
            pen = opened(house)
            sent = pen.counts(5)
            assert pen.words(*sent) == ["written"] * 5
            before = pen.house()
            house.stop()
        put_back = copy(data, tmp_path / "copy", book)
        with HouseAtWork(data, **book) as house:
            pen = Pen(house.address, cage=pen.cage)
            assert pen.house()["book"] == before["book"], "a house that only was closed is the same book"
            pen.written = 100
            later = pen.counts(5)
            assert pen.words(*later) == ["written"] * 5
            house.stop()
        put_back()
        with HouseAtWork(data, **book) as house:
            pen = Pen(house.address, cage=pen.cage)
            after = pen.house()
            assert after["house"] == before["house"]
            assert after["book"] != before["book"], "the phones are told to send again"
            assert "an older copy was put back" in house.printed
            assert not {entry["id"] for entry in later} & pen.journal().keys()
            assert pen.words(*sent, *later) == ["already"] * 5 + ["written"] * 5
            house.stop()
        stands_as_its_entries_give(data, **book)
