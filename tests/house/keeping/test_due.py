"""When a nightly back-up is due."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from barnbook.house.data_folder import take
from barnbook.house.keeping import backing_up, shelf
from barnbook.house.keeping.backing_up import BackUpError, LastTry, back_up, back_up_if_due, is_due, last_try
from barnbook.house.keeping.copying import CopyError

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _a_shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, settings: Any) -> None:
    settings.DATA = tmp_path
    monkeypatch.setenv("BARNBOOK_BACKUPS", str(tmp_path / "shelf"))
    (tmp_path / "shelf").mkdir()


@pytest.fixture
def made(tmp_path: Path) -> Callable[..., None]:
    def make(moment: datetime, reason: str = "night") -> None:
        shelf.free_name(tmp_path / "shelf", moment, reason).touch()

    return make


@pytest.fixture
def farm() -> Any:
    from tests.barn.factories import a_farm

    return a_farm(name="Three Alders", zone="America/New_York")


def test_an_empty_house_and_the_example_alone_need_none() -> None:
    from tests.barn.factories import a_farm

    assert not is_due(NOON)
    a_farm(name="Of the example", example=True)
    assert not is_due(NOON)


def test_each_night_begins_at_three_in_the_farm_s_zone(farm: Any, made: Callable[..., None]) -> None:
    assert is_due(NOON), "never yet"
    made(NOON)  # 7 in the morning there
    assert not is_due(NOON + timedelta(hours=19))  # 2 at night
    assert is_due(NOON + timedelta(hours=20, minutes=1))
    assert is_due(NOON + timedelta(days=40)), "a laptop that was closed makes it good"


def test_one_made_by_hand_is_not_the_night_s(farm: Any, made: Callable[..., None]) -> None:
    made(NOON, "hand")
    assert is_due(NOON)


def test_a_failure_is_logged_noted_and_tried_again_in_an_hour(
    farm: Any, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def full(to: Path) -> None:
        raise CopyError("no space left")

    monkeypatch.setattr(backing_up, "copy_book", full)
    with pytest.raises(BackUpError, match="no space left"):
        back_up("hand", now=NOON - timedelta(hours=2))
    assert back_up_if_due(NOON) is None
    assert "no space left" in caplog.text
    assert last_try() == LastTry(NOON, "no space left")
    assert not is_due(NOON + timedelta(minutes=59))
    assert is_due(NOON + timedelta(minutes=60))


def test_a_failure_under_a_wrong_clock_holds_nothing_up(farm: Any) -> None:
    backing_up._note(LastTry(NOON + timedelta(days=9000), "no space left"))
    assert is_due(NOON)


def test_a_night_under_a_wrong_clock_holds_nothing_up(farm: Any, made: Callable[..., None]) -> None:
    made(NOON + timedelta(days=9000))
    assert is_due(NOON)
    made(NOON)
    assert not is_due(NOON)


def test_what_a_killed_back_up_left_is_cleared_by_the_next(
    farm: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shelf_ = tmp_path / "shelf"
    left, of_another_house = shelf_ / f"{backing_up._making()}killed", shelf_ / ".making-0000aaaa-live"
    for each in (left, of_another_house):
        each.mkdir()
        (each / "book.sqlite3").write_bytes(b"half a copy")
    seen: list[str] = []

    def look(to: Path) -> None:
        seen.extend(path.name for path in shelf_.glob(".making-*"))
        raise CopyError("seen enough")

    monkeypatch.setattr(backing_up, "copy_book", look)
    with pytest.raises(BackUpError, match="seen enough"):
        back_up("hand", now=NOON)
    assert left.name not in seen
    assert len(seen) == 2, "its own, and another house's, which may be at it"
    assert [path.name for path in shelf_.glob(".making-*")] == [of_another_house.name]


def test_while_another_process_makes_one_nothing_is_cleared(
    farm: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(backing_up, "PATIENCE_S", 0.3)
    live = tmp_path / "shelf" / f"{backing_up._making()}live"
    live.mkdir()
    held = take(tmp_path / "backup.lock")
    assert held is not None
    with held, pytest.raises(BackUpError, match="another back-up is being made"):
        back_up("hand", now=NOON)
    assert live.exists()
