"""The restore drill, in real houses, on SQLite and (where the tests run on it) on PostgreSQL."""

from __future__ import annotations

import json
import os
import re
import shutil
import sqlite3
import stat
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from barnbook.house.data_folder import hold
from barnbook.house.keeping import restoring
from tests.house.pen import Pen, a_book, opened, stands_as_its_entries_give
from tests.house_at_work import HouseAtWork, run, until


@dataclass
class Drilled:
    """A house with five counts, a back-up of them on a stick, and five counts more; closed."""

    data: Path
    book: dict[str, str]
    back_up: Path
    cage: str
    before: list[dict[str, object]]
    later: list[dict[str, object]]
    house: dict[str, object]


@pytest.fixture(scope="module")
def drilled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Drilled]:
    data, stick = tmp_path_factory.mktemp("house") / "data", tmp_path_factory.mktemp("stick")
    with a_book() as book, HouseAtWork(data, **book) as house:
        pen = opened(house)
        before = pen.counts(5)
        assert pen.words(*before) == ["written"] * 5
        said = run("backup", "--to", str(stick), "--data", str(data), **book)
        assert said.returncode == 0, said.stderr
        found = re.search(rf"backed up in ({stick}/\S+) \(0\.\d MB\), opened and found whole", said.stdout)
        assert found is not None, said.stdout
        later = pen.counts(5)
        assert pen.words(*later) == ["written"] * 5
        stood = pen.house()
        house.stop()
        yield Drilled(data, book, Path(found[1]), pen.cage, before, later, stood)


def test_a_back_up_says_what_it_is_and_is_its_owner_s_alone(drilled: Drilled) -> None:
    assert stat.S_IMODE(drilled.back_up.stat().st_mode) == 0o600
    with zipfile.ZipFile(drilled.back_up) as file:
        about = json.loads(file.read("about.json"))
    assert (about["barnbook"], about["farms"]) == ("back-up", ["Low Reed"])
    assert about["house"] == drilled.house["house"]
    assert about["entries"] == 1 + 1 + 5, "the farm, the cage, five counts"


WRONG = {
    "cut short": "is damaged or no back-up of Barnbook",
    "another zip": "is no back-up of Barnbook",
    "no zip": "is damaged or no back-up of Barnbook",
    "nowhere": "cannot be read: No such file",
    "newer": "made by a newer Barnbook .* upgrade this one first",
    "one byte": "is damaged|is no back-up",
    "another engine": "is of a book kept in abacus",
}


@pytest.mark.django_db
@pytest.mark.parametrize("wrong", WRONG)
def test_another_file_is_refused_with_a_sentence(drilled: Drilled, tmp_path: Path, wrong: str) -> None:
    path = tmp_path / "wrong.zip"
    raw = drilled.back_up.read_bytes()
    if wrong == "cut short":
        path.write_bytes(raw[: len(raw) // 2])
    elif wrong == "another zip":
        with zipfile.ZipFile(path, "w") as file:
            file.writestr("holiday.txt", "sand")
    elif wrong == "no zip":
        path.write_text("no zip")
    elif wrong in ("newer", "another engine"):
        changes = {"migrations": ["barn.9999_of_next_year"]} if wrong == "newer" else {"engine": "abacus"}
        with zipfile.ZipFile(drilled.back_up) as old, zipfile.ZipFile(path, "w") as file:
            file.writestr("about.json", json.dumps(json.loads(old.read("about.json")) | changes))
            name = next(name for name in old.namelist() if name.startswith("book."))
            file.writestr(name, old.read(name))
    elif wrong == "one byte":
        with zipfile.ZipFile(drilled.back_up) as old:
            at = max(old.infolist(), key=lambda each: each.compress_size)
        middle = at.header_offset + at.compress_size // 2
        path.write_bytes(raw[:middle] + bytes([raw[middle] ^ 0xFF]) + raw[middle + 1 :])
    with pytest.raises(restoring.RestoreError, match=WRONG[wrong]):
        restoring.opened(path, tmp_path)


def test_a_house_that_serves_is_not_restored_over(drilled: Drilled) -> None:
    with hold(drilled.data):
        refused = run("restore", str(drilled.back_up), "--data", str(drilled.data), **drilled.book)
    assert (refused.returncode, "stop that one first" in refused.stderr) == (1, True)


def test_a_folder_that_cannot_be_written(drilled: Drilled, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    refused = run("backup", "--to", str(tmp_path / "file"), "--data", str(drilled.data), **drilled.book)
    assert refused.returncode == 1
    assert refused.stderr.startswith(f"No back-up could be made in {tmp_path / 'file'}: ")


def entries_in(book: Path) -> int:
    with sqlite3.connect(book) as opened_book:
        return int(opened_book.execute("SELECT count(*) FROM journal_entry").fetchone()[0])


def test_on_a_new_machine_phones_know_the_house_by_its_keys(drilled: Drilled, tmp_path: Path) -> None:
    if drilled.book:
        pytest.skip("the database is the same: this is no new machine")
    done = run("restore", str(drilled.back_up), "--data", str(tmp_path))
    assert done.returncode == 0, done.stderr
    assert "was here is kept" not in done.stdout
    key = tmp_path / "secret-key"
    assert key.read_text() == (drilled.data / "secret-key").read_text()
    assert stat.S_IMODE(key.stat().st_mode) == 0o600
    assert stat.S_IMODE((tmp_path / "book.sqlite3").stat().st_mode) == 0o600
    assert entries_in(tmp_path / "book.sqlite3") == 7


def test_a_book_that_cannot_be_read_any_more_is_kept_byte_by_byte(drilled: Drilled, tmp_path: Path) -> None:
    if drilled.book:
        pytest.skip("damage of this kind is SQLite's")
    data = tmp_path / "data"
    shutil.copytree(drilled.data, data)
    raw = bytearray((data / "book.sqlite3").read_bytes())
    raw[4096 : 4096 * 9] = os.urandom(4096 * 8)
    (data / "book.sqlite3").write_bytes(raw)
    done = run("restore", str(drilled.back_up), "--data", str(data))
    assert done.returncode == 0, done.stderr
    (aside,) = (data / "backups").glob("aside-*")
    assert (aside / "book.sqlite3").read_bytes() == raw
    assert entries_in(data / "book.sqlite3") == 7


def test_what_the_back_up_lacks_is_sent_again_and_nothing_is_missing(drilled: Drilled) -> None:
    backups = drilled.data / "backups"
    (drilled.data / "erased-people.txt").write_text("01977777-0000-7000-8000-000000000001 2026-11-25\n")
    done = run("restore", str(drilled.back_up), "--data", str(drilled.data), **drilled.book)
    assert done.returncode == 0, done.stderr
    assert "every phone then sends again" in done.stdout
    assert "01977777" in (drilled.data / "erased-people.txt").read_text(), "who was erased since stays so"
    for made in backups.glob("*-night.zip"):
        made.unlink()
    with HouseAtWork(drilled.data, **drilled.book) as house:
        pen = Pen(house.address, cage=drilled.cage)
        assert pen.house()["house"] == drilled.house["house"]
        assert pen.house()["book"] != drilled.house["book"]
        assert not {entry["id"] for entry in drilled.later} & pen.journal().keys()
        assert pen.words(*drilled.before, *drilled.later) == ["already"] * 5 + ["written"] * 5
        until(lambda: list(backups.glob("*-night.zip")), what="the night that was missed, made good at the start")
        house.stop()
        assert "an older copy was put back" not in house.printed, "it was told already"
    assert len(list(backups.glob("*-night.zip"))) == 1, "one a night"
    assert not list(backups.glob(".making-*"))
    stands_as_its_entries_give(drilled.data, **drilled.book)
    # The book that was here is kept aside, and can itself be put back.
    (aside,) = backups.glob("*-aside.zip")
    assert str(aside) in done.stdout
    again = run("restore", str(aside), "--data", str(drilled.data), **drilled.book)
    assert f"with {7 + 5} entries" in again.stdout, again.stderr
