"""Which back-ups are kept, over ten years of nights and over a house that is seldom open."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from barnbook.house.keeping.shelf import BackUp, folder, found, free_name, read, to_drop

TONIGHT = datetime(2026, 11, 25, 2, 15, tzinfo=UTC)


def night(moment: datetime, reason: str = "night") -> BackUp:
    return BackUp(free_name(Path("nowhere"), moment, reason), moment, reason)


def kept_after(nights: list[datetime]) -> list[datetime]:
    """What is left when after each night those that need not be kept are dropped."""
    shelf: list[BackUp] = []
    for moment in nights:
        shelf.append(night(moment))
        drop = to_drop(shelf, now=moment)
        shelf = [each for each in shelf if each not in drop]
    return [each.made_at for each in shelf]


def test_after_two_years_of_nights() -> None:
    kept = kept_after([TONIGHT - timedelta(days=n) for n in range(730, -1, -1)])
    days = [TONIGHT - timedelta(days=n) for n in range(6, -1, -1)]
    assert kept[-7:] == days
    # 25 November 2026 is a Wednesday: the last nights of its four weeks before are Sundays.
    assert {moment.date().isoformat() for moment in kept} >= {"2026-11-22", "2026-11-15", "2026-11-08", "2026-11-01"}
    months = [moment for moment in kept if moment < datetime(2026, 11, 1, tzinfo=UTC)]
    assert [f"{moment:%Y-%m-%d}" for moment in months] == [
        *("2025-12-31", "2026-01-31", "2026-02-28", "2026-03-31", "2026-04-30", "2026-05-31"),
        *("2026-06-30", "2026-07-31", "2026-08-31", "2026-09-30", "2026-10-31"),
    ]
    assert len(kept) == 7 + 3 + 11, "7 days, 5 weeks of which two are among them, 12 months of which one is"


def test_a_house_that_was_closed_for_a_winter_keeps_what_it_has() -> None:
    before = [datetime(2026, 1, day, 3, tzinfo=UTC) for day in range(1, 11)]
    kept = kept_after([*before, TONIGHT])
    assert set(before[-6:]) <= set(kept)
    assert TONIGHT in kept


def test_two_simulated_years_night_by_night() -> None:
    """After each night of two years: 7 days, 5 weeks and 12 months are there, as far back as the house goes."""
    shelf: list[BackUp] = []
    for n in range(731):
        moment = datetime(2025, 1, 1, 3, 10, tzinfo=UTC) + timedelta(days=n)
        shelf.append(night(moment))
        drop = to_drop(shelf, now=moment)
        shelf = [each for each in shelf if each not in drop]
        there = {each.made_at.date() for each in shelf}
        assert there >= {(moment - timedelta(days=back)).date() for back in range(min(7, n + 1))}
        assert len({each.isocalendar()[:2] for each in there}) >= min(5, n // 7)
        assert len({(each.year, each.month) for each in there}) >= min(12, n // 31)
        assert len(shelf) <= 7 + 5 + 12


def test_nights_made_under_a_wrong_clock_take_no_true_night_s_place() -> None:
    wrong = [night(TONIGHT + timedelta(days=9000 + n)) for n in range(100)]
    true = [night(TONIGHT - timedelta(days=n)) for n in range(7)]
    drop = to_drop([*wrong, *true], now=TONIGHT)
    assert not set(true) & set(drop)
    assert 0 < len([each for each in wrong if each not in drop]) <= 7 + 5 + 12, "nor do they fill the disk"
    assert wrong[-1] not in drop


def test_two_of_one_day_leave_the_later() -> None:
    assert kept_after([TONIGHT, TONIGHT + timedelta(hours=3)]) == [TONIGHT + timedelta(hours=3)]


def test_what_was_made_by_hand_is_the_owner_s_to_delete() -> None:
    shelf = [night(TONIGHT - timedelta(days=n), reason) for n in range(900) for reason in ("hand", "aside")]
    assert to_drop(shelf, now=TONIGHT) == []


def test_of_upgrades_the_last_five_are_kept() -> None:
    shelf = [night(TONIGHT - timedelta(days=n), "upgrade") for n in range(8)]
    assert {each.made_at for each in to_drop(shelf, now=TONIGHT)} == {TONIGHT - timedelta(days=n) for n in (5, 6, 7)}


def test_names_are_read_back_and_never_used_twice(tmp_path: Path) -> None:
    first = free_name(tmp_path, TONIGHT, "hand")
    assert first.name == "barnbook-2026-11-25T021500Z-hand.zip"
    first.touch()
    second = free_name(tmp_path, TONIGHT, "hand")
    second.touch()
    (tmp_path / "holiday.zip").touch()
    assert [each.path for each in found(tmp_path)] == [first, second]
    assert (read(second).made_at, read(second).reason) == (TONIGHT, "hand")
    assert found(tmp_path / "nowhere") == []


def test_another_disk_may_be_chosen(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("BARNBOOK_BACKUPS", str(tmp_path))
    assert folder() == tmp_path
