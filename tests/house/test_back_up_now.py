"""A back-up asked for on the Set-up screen: made beside, its progress heard, and by whom."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import cache

from barnbook.barn.models import Farm
from barnbook.house import back_up_now
from tests.conftest import Cast
from tests.house_at_work import HouseAtWork, Visitor, until


def test_it_is_made_while_the_house_serves_and_found_on_the_shelf(tmp_path: Path) -> None:
    with HouseAtWork(tmp_path) as house:
        owner = Visitor(house.address)
        owner.begin(house.token)
        before = owner.get("/api/back-ups")[1]
        assert (before["making"]["state"], before["own_disk"], before["may_make"]) == ("none", True, True)
        assert before["folder"] == str(tmp_path / "backups")
        status, asked = owner.post("/api/back-ups", {})
        assert (status, asked["making"]["state"] in ("working", "ready")) == (202, True)

        def done() -> Any:
            said = owner.get("/api/back-ups")[1]
            return said if said["making"]["state"] != "working" else None

        said = until(done, what="the back-up")
        assert said["making"] == {"state": "ready", "done": 4, "steps": 4, "why": ""}
        (row,) = [each for each in said["rows"] if each["reason"] == "hand"]
        path = tmp_path / "backups" / row["name"]
        assert path.stat().st_size == row["bytes"]
        with zipfile.ZipFile(path) as file:
            assert file.testzip() is None
            assert "book.sqlite3" in file.namelist()
        assert house.stop() == 0


@pytest.fixture
def at_once(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, settings: Any) -> list[str]:
    """Nothing is copied: who is asked is seen, and what it says stands."""
    settings.DATA = tmp_path
    cache.clear()
    asked: list[str] = []
    monkeypatch.setattr(back_up_now, "_now", back_up_now.Progress("none"))
    monkeypatch.setattr(back_up_now.threading.Thread, "start", lambda thread: asked.append(thread.name))
    return asked


@pytest.mark.django_db
def test_whoever_asks_while_one_is_made_waits_for_that_one(
    cast: Cast, signed_in: Callable[..., Any], at_once: list[str]
) -> None:
    for _ in range(3):
        assert signed_in(cast.owner).post("/api/back-ups").status_code == 202
    assert at_once == ["back-up"]


@pytest.mark.django_db
def test_it_is_not_asked_for_all_day(cast: Cast, signed_in: Callable[..., Any], at_once: list[str]) -> None:
    owner = signed_in(cast.owner)
    assert [owner.post("/api/back-ups").status_code for _ in range(8)] == [202] * 6 + [429] * 2
    assert owner.get("/api/back-ups").status_code == 200, "to look is free"
    cache.clear()


@pytest.mark.django_db
def test_whoever_looks_around_the_example_beside_a_book_makes_none(
    cast: Cast, signed_in: Callable[..., Any], at_once: list[str]
) -> None:
    Farm.objects.filter(pk=cast.stranger.farm.pk).update(example=True)
    cast.stranger.person.refresh_from_db()
    visitor = signed_in(cast.stranger)
    assert visitor.get("/api/back-ups").json()["may_make"] is False
    assert visitor.post("/api/back-ups").status_code == 403
    assert at_once == []
    Farm.objects.filter(pk=cast.owner.farm.pk).update(example=True)
    assert visitor.post("/api/back-ups").status_code == 202, "no other book is here"


@pytest.mark.django_db
def test_why_it_could_not_be_made_is_said(
    cast: Cast, signed_in: Callable[..., Any], at_once: list[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("BARNBOOK_BACKUPS", str(tmp_path / "file"))
    back_up_now._make(datetime(2026, 11, 25, 12, tzinfo=UTC))
    said = signed_in(cast.owner).get("/api/back-ups").json()
    assert said["making"]["state"] == "failed"
    assert said["making"]["why"].startswith("No back-up could be made in ")
    assert said["failed"] != ""
