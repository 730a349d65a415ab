"""Which folder holds the book, and that one house has it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from barnbook.house.data_folder import DataFolderError, choose, hold, take


@pytest.fixture(autouse=True)
def _environment(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("BARNBOOK_DATA", str(tmp_path / "before"))


@pytest.mark.parametrize("form", ["--data {}", "--data={}"])
def test_the_folder_is_put_where_the_settings_read_it(tmp_path: Path, form: str) -> None:
    arguments = ["serve", *form.format(tmp_path / "book").split(), "--port", "1"]
    assert choose(arguments) == ["serve", "--port", "1"]
    assert os.environ["BARNBOOK_DATA"] == str(tmp_path / "book")
    assert (tmp_path / "book").is_dir()
    assert list((tmp_path / "book").iterdir()) == [], "the try leaves nothing behind"


def test_without_it_the_environment_stands(tmp_path: Path) -> None:
    assert choose(["serve"]) == ["serve"]
    assert os.environ["BARNBOOK_DATA"] == str(tmp_path / "before")


@pytest.mark.parametrize("arguments", [["--data"], ["--data="], ["--data", ""]])
def test_no_folder_named(arguments: list[str]) -> None:
    with pytest.raises(DataFolderError, match="needs a folder"):
        choose(arguments)


def test_one_house_has_it_until_it_lets_go(tmp_path: Path) -> None:
    held = hold(tmp_path)
    with pytest.raises(DataFolderError, match="Another Barnbook is serving from"):
        hold(tmp_path)
    held.close()
    hold(tmp_path).close()


def test_taking_a_file(tmp_path: Path) -> None:
    first = take(tmp_path / "a")
    assert first is not None
    assert take(tmp_path / "a") is None
    first.close()
