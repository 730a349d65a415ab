"""What `barnbook check` says of a house that is well, and of one that is not."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from barnbook.barn.models import Device, ToReckon
from barnbook.house import health
from barnbook.house.health import look
from barnbook.house.home.authority import papers
from barnbook.house.keeping import shelf
from tests.conftest import Cast
from tests.house_at_work import run

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _a_shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, settings: Any) -> None:
    settings.DATA = tmp_path
    monkeypatch.setenv("BARNBOOK_BACKUPS", str(tmp_path / "shelf"))
    (tmp_path / "shelf").mkdir()


def said(about: str, *, now: datetime = NOW) -> list[tuple[bool, str]]:
    return [(each.well, each.sentence) for each in look(now) if each.about == about]


def test_back_ups(cast: Cast, tmp_path: Path) -> None:
    assert said("Back-up")[0] == (False, "There is none yet: run `barnbook backup`.")
    shelf.free_name(tmp_path / "shelf", NOW, "night").touch()
    first, second = said("Back-up", now=NOW + timedelta(days=1))
    assert first[0] is True
    assert "All lie on the book's own disk" in second[1]
    assert said("Back-up", now=NOW + timedelta(days=4))[0][1].startswith("The last one is 4 days old")


def test_the_disk(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    assert said("Disk")[0][0] is True
    monkeypatch.setattr(health, "LEAST_FREE_BYTES", 1 << 62)
    assert "make room" in said("Disk")[0][1]


def test_the_certificate(cast: Cast, tmp_path: Path) -> None:
    assert said("Certificate") == []
    papers(tmp_path / "home", names=("barnbook.local",), addresses=(), now=NOW)
    assert said("Certificate") == [(True, "It lasts 397 days more, and is renewed by itself.")]
    assert said("Certificate", now=NOW + timedelta(days=390))[0][0] is False


def test_figures_clock_phones_and_the_book(cast: Cast) -> None:
    device = Device.objects.filter(pk=cast.helper.device.pk)
    ToReckon.objects.create(farm=cast.owner.farm, subject="farm", since=NOW - timedelta(minutes=20))
    device.update(last_seen=NOW, clock_offset_ms=40 * 60_000)
    assert said("Figures")[0][0] is False
    assert said("Clock") == [(False, "House and phones are 40 minutes apart: set this machine's clock by the network.")]
    assert said("Phones") == [(True, "All 1 were here within a week.")]
    device.update(last_seen=NOW - timedelta(days=9), waiting=12)
    (away,) = said("Phones")
    assert "was last here 9 days ago, 12 entries waited on it then" in away[1]
    assert (True, "Three Alders: nothing contradicts itself.") in said("Book")
    cage = cast.owner.cage()
    cast.owner.count(cage, -1)
    assert (said("Book")[1][0], "1 are set aside" in said("Book")[1][1]) == (False, True)


def test_the_command(tmp_path: Path) -> None:
    house = tmp_path / "house"
    assert run("migrate", "--data", str(house)).returncode == 0
    told = run("check", "--data", str(house))
    assert told.returncode == 1
    assert "LOOK  Back-up     There is none yet: run `barnbook backup`.\n" in told.stdout
    assert "well  Disk" in told.stdout
