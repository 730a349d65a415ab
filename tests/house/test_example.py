"""The example farm at home: made once, told of on the way, broken off and asked for again."""

from __future__ import annotations

import os
import stat
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from barnbook.house import example
from barnbook.house.data_folder import take
from tests.barn.factories import a_farm, a_person
from tests.house_at_work import HouseAtWork, Visitor, until

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def data(tmp_path: Path, settings: Any) -> Path:
    settings.DATA = tmp_path
    return tmp_path


def test_not_asked_for() -> None:
    assert example.owner() is None
    assert example.progress().state == "failed"


def test_an_owner_s_own_farm_is_no_example() -> None:
    a_person(farm=a_farm(), role="owner")
    assert example.owner() is None


def test_signing_in_as_its_owner(data: Path) -> None:
    person = a_person(farm=a_farm(example=True), name="Wilma", role="owner", password=None)
    name, password = example.sign_in()
    assert name == "Wilma"
    person.refresh_from_db()
    assert person.check_password(password)
    assert len(password.replace("-", "")) == 12
    assert example.sign_in() == (name, password), "the same at each start"
    assert stat.S_IMODE((data / "example-sign-in").stat().st_mode) == 0o600
    (data / "example-sign-in").unlink()
    another = example.sign_in()[1]
    assert another != password
    person.refresh_from_db()
    assert person.check_password(another)


def test_progress_is_told_and_a_broken_one_is_found_out(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    started: list[bool] = []

    class Gone:
        def wait(self) -> int:
            return -9

    monkeypatch.setattr(example, "run", lambda *, quiet: started.append(quiet) or Gone())
    assert example.start().state == "working"
    assert started == [True]
    until(lambda: example.progress().state == "failed", what="the kill to be seen", seconds=5)
    assert example.progress().detail == example.BROKEN_OFF
    assert example.start().state == "working", "and asked for again"
    assert len(started) == 2
    until(lambda: example.progress().state == "failed", what="the second kill to be seen", seconds=5)


def test_one_broken_off_with_its_house_is_found_out(data: Path) -> None:
    path = data / "example-progress.json"
    path.write_text('{"state": "working", "done": 400, "total": 9000, "detail": ""}')
    assert example.progress() == example.Progress("working", 400, 9000)
    long_ago = time.time() - 60
    os.utime(path, (long_ago, long_ago))
    assert example.progress() == example.Progress("failed", 400, 9000, example.BROKEN_OFF)
    with take(data / "example.lock") or pytest.fail("nobody holds it"):
        assert example.progress().state == "working", "somebody is at it, only slowly"


def test_two_do_not_make_it_at_once(data: Path) -> None:
    with (
        take(data / "example.lock") or pytest.fail("nobody holds it"),
        pytest.raises(SystemExit, match="another process"),
    ):
        call_command("example", "--quiet")


def test_one_that_fails_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(**_: Any) -> None:
        raise OSError("no space left on the disk")

    monkeypatch.setattr(example, "make_example_farm", full)
    with pytest.raises(SystemExit, match=r"could not be made: no space left on the disk\."):
        call_command("example", "--quiet")
    told = example.progress()
    assert (told.state, told.detail) == ("failed", "The example farm could not be made: no space left on the disk")


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[HouseAtWork]:
    with HouseAtWork(tmp_path_factory.mktemp("example") / "data") as house:
        yield house


def test_asked_for_from_the_first_screen(house: HouseAtWork) -> None:
    visitor = Visitor(house.address)
    asked = {"token": house.token, "choice": "example", "device_name": "laptop"}
    status, said = visitor.post("/api/begin", asked)
    assert (status, said["state"]) == (202, "working")
    seen: list[tuple[int, int]] = []

    def ready() -> bool:
        time.sleep(0.4)  # the house answers 240 times a minute
        told = visitor.get(f"/api/begin/progress?token={house.token}")[1]
        assert told["state"] in ("working", "ready"), told
        seen.append((told["done"], told["total"]))
        return bool(told["state"] == "ready")

    until(ready, what="the example farm", seconds=120)
    assert len({done for done, _ in seen}) > 2, "progress was seen"
    status, said = visitor.post("/api/begin", asked)
    assert (status, said["me"]["role"], said["me"]["farm"]["example"]) == (201, "owner", True)
    assert len(visitor.rows("cage")) >= 30
    until(lambda: len(visitor.rows("figure")) >= 120, what="its figures")
    assert any(due["work"] == "sexing" and not due["done"] for due in visitor.rows("due"))
    assert house.stop() == 0
    # And a house opened with --example finds it there, and prints how to sign in.
    with HouseAtWork(house.data, "--example") as again:
        name, password = again._found(r"sign in as (.+), password \S+"), again._found(r", password (\S+)")
        status, said = Visitor(again.address).post("/api/sign-in", {"name": name, "password": password})
        assert (status, said["me"]["farm"]["example"]) == (200, True)
