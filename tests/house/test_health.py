"""What `barnbook check` says of a house that is well, and of one that is not."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from barnbook.barn.models import Device, ToReckon
from barnbook.house import data_folder, health, heartbeat, phone_address
from barnbook.house.health import look
from barnbook.house.home.authority import papers
from barnbook.house.keeping import shelf
from tests.conftest import Cast
from tests.house_at_work import HouseAtWork, run, until

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
    well = "It lasts 397 days more, and is renewed by itself. What phones trust lasts 3650 days."
    assert said("Certificate") == [(True, well)]
    assert said("Certificate", now=NOW + timedelta(days=390))[0][0] is False
    # The authority's own end, in time to bring the phones in anew.
    late = NOW + timedelta(days=3600)
    papers(tmp_path / "home", names=("barnbook.local",), addresses=(), now=late)
    ((well_, sentence),) = said("Certificate", now=late)
    assert (well_, "What phones were told to trust ends in 50 days" in sentence) == (False, True)
    (tmp_path / "home" / "house.pem").write_text("cut sh")
    assert "cannot be read" in said("Certificate")[0][1]


def known(cast: Cast, *offsets_minutes: float, last_seen: datetime = NOW) -> list[Device]:
    """So many phones of the farm, with clocks so far ahead of the house's."""
    return [
        Device.objects.create(
            farm=cast.owner.farm,
            name=f"phone {n}",
            first_seen=NOW - timedelta(days=90),
            last_seen=last_seen,
            clock_offset_ms=int(minutes * 60_000),
        )
        for n, minutes in enumerate(offsets_minutes)
    ]


def test_the_worker(cast: Cast, tmp_path: Path) -> None:
    ((well, sentence),) = said("Worker")
    assert (well, "The house is closed, and nothing was done yet" in sentence) == (False, True)
    heartbeat.beat(NOW - timedelta(minutes=6))
    assert said("Worker")[0][0] is True
    heartbeat.beat(NOW - timedelta(minutes=40))
    assert "The house is closed, and nothing was done since 2026-11-25" in said("Worker")[0][1]
    with data_folder.hold(tmp_path):
        assert "The house is open, but its worker was not at work since" in said("Worker")[0][1]
    assert said("Worker")[0][1].startswith("The house is closed"), "to look takes nothing from the house"


def test_figures_and_the_book(cast: Cast) -> None:
    assert said("Figures") == [(True, "Nothing waits to be reckoned for long.")]
    ToReckon.objects.create(farm=cast.owner.farm, subject="farm", since=NOW - timedelta(minutes=20))
    assert said("Figures")[0][0] is False
    assert (True, "Three Alders: nothing contradicts itself.") in said("Book")
    cage = cast.owner.cage()
    cast.owner.count(cage, -1)
    assert (False, "Three Alders: 1 is set aside. They stand on Today.") in said("Book")


@pytest.mark.parametrize(
    ("ahead", "found"),
    [
        ((0.5, -1, 4), [(True, "House and phones agree on the time.")]),
        (
            (40, 41, -600),
            [(False, "This machine is 40 minutes behind the middle of 3 phones: set its clock by the network.")],
        ),
        (
            (-180, -180),
            [(False, "This machine is 3 hours ahead of the middle of 2 phones: set its clock by the network.")],
        ),
        ((0, 0, 90), [(False, "phone 2 is 90 minutes ahead of the others: set its clock by the network.")]),
        (
            (-12,),
            [
                (
                    False,
                    "This machine is 12 minutes ahead of the one phone that was here (phone 0): see which is right, "
                    "and set the other by the network.",
                )
            ],
        ),
        ((), []),
    ],
)
def test_clocks_are_judged_by_the_middle_of_the_phones(
    cast: Cast, ahead: tuple[float, ...], found: list[tuple[bool, str]]
) -> None:
    known(cast, *ahead)
    assert said("Clock") == found


def test_phones(cast: Cast) -> None:
    assert said("Phones") == [(True, "None has sent anything yet.")]
    one, other = known(cast, 0, 0)
    assert said("Phones") == [(True, "All were here within a week.")]
    Device.objects.filter(pk=one.pk).update(last_seen=NOW - timedelta(days=9), waiting=12)
    ((well, sentence),) = said("Phones")
    assert (well, "phone 0 was last here 9 days ago, and 12 entries waited on it then" in sentence) == (False, True)
    Device.objects.filter(pk=one.pk).update(unpaired_at=NOW)
    assert said("Phones") == [(True, "The one that is known was here within a week.")]
    assert other.name not in str(said("Phones", now=NOW))


def test_a_changed_address_is_said_until_every_phone_was_heard_again(cast: Cast) -> None:
    old, new = "https://192.168.4.17:8443", "https://192.168.4.23:8443"
    assert said("Address") == []
    phone_address.keep_phone_address(old, now=NOW - timedelta(days=30))
    assert said("Address") == [(True, f"Phones find the house at {old}.")]
    one, other = known(cast, 0, 0, last_seen=NOW - timedelta(days=3))
    phone_address.keep_phone_address(new, now=NOW - timedelta(days=2))
    phone_address.keep_phone_address(new, now=NOW - timedelta(days=1))  # the next start forgets nothing
    ((well, sentence),) = said("Address")
    assert well is False
    assert sentence.startswith(f"It changed from {old} to {new} on 2026-11-23. Not heard since: phone 0, phone 1.")
    assert "barnbook read_outbox FILE" in sentence
    Device.objects.filter(pk=one.pk).update(last_seen=NOW)  # it came by the name
    assert "Not heard since: phone 1." in said("Address")[0][1]
    Device.objects.filter(pk=other.pk).update(unpaired_at=NOW)  # it was brought in anew
    assert said("Address")[0][0] is True
    Device.objects.filter(pk=other.pk).update(unpaired_at=None)
    phone_address.keep_phone_address(old, now=NOW)
    assert "It changed from https://192.168.4.23:8443" in said("Address")[0][1], "whoever came in meanwhile"
    Device.objects.update(last_seen=NOW + timedelta(minutes=1))
    assert said("Address")[0][0] is True


def test_of_one_farm_nothing_of_another_is_said(cast: Cast) -> None:
    known(cast, 90, 90, last_seen=NOW - timedelta(days=20))
    phone_address.keep_phone_address("https://10.0.0.1:8443", now=NOW - timedelta(days=30))
    phone_address.keep_phone_address("https://10.0.0.2:8443", now=NOW - timedelta(days=19))
    cast.owner.count(cast.owner.cage(), -1)
    theirs = " ".join(each.sentence for each in look(NOW, cast.stranger.farm))
    assert "phone" not in theirs.replace("Phones find", "")
    assert "Three Alders" not in theirs
    ours = " ".join(each.sentence for each in look(NOW, cast.owner.farm))
    assert "phone 0 was last here 20 days ago" in ours
    assert "Nether Fold" not in ours


def test_owners_read_it_over_the_wire(cast: Cast, signed_in: Callable[..., Any]) -> None:
    said = signed_in(cast.owner).get("/api/health")
    assert said.status_code == 200
    assert said["Cache-Control"] == "no-store"
    assert {each["about"] for each in said.json()["findings"]} >= {"Disk", "Back-up", "Worker", "Phones", "Book"}
    assert said.json()["looked_at"]


def test_the_command(tmp_path: Path) -> None:
    house = tmp_path / "house"
    assert run("migrate", "--data", str(house)).returncode == 0
    told = run("check", "--data", str(house))
    assert told.returncode == 1
    assert "LOOK  Back-up     There is none yet: run `barnbook backup`.\n" in told.stdout
    assert "well  Disk" in told.stdout
    assert "LOOK  Worker      The house is closed" in told.stdout


def test_a_house_that_is_open_says_that_its_worker_is_at_work(tmp_path: Path) -> None:
    with HouseAtWork(tmp_path / "house"):
        until(lambda: (tmp_path / "house" / "worker-at-work").exists(), what="the worker")
        assert "well  Worker      At work at " in run("check", "--data", str(tmp_path / "house")).stdout
