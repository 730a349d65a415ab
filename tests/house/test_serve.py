"""`barnbook serve` as a process of its own: how it opens, refuses and ends."""

from __future__ import annotations

import re
import signal
import socket
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest

from barnbook.house.management.commands.serve import _shown
from tests.house_at_work import HouseAtWork, Visitor, run


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[HouseAtWork]:
    with HouseAtWork(tmp_path_factory.mktemp("data") / "new") as house:
        yield house


def test_answers_and_says_where(house: HouseAtWork) -> None:
    status, said = Visitor(house.address).get("/api/house")
    assert status == 200
    assert (said["protocol"], said["claimed"], said["me"]) == (1, False, None)
    assert house.address.startswith("http://127.0.0.1:")
    assert f"{house.address}/begin/{house.token}" in house.printed
    assert str(house.data) in house.printed


def test_says_nothing_but_its_block(house: HouseAtWork) -> None:
    Visitor(house.address).get("/api/changes")  # refused: nobody is signed in
    assert re.fullmatch(r"\nBarnbook is open\.\n\n  Open .*\n  Begin .*\n  Data .*\n  Stop .*\n", house.printed), (
        house.printed
    )


def test_its_secret_is_its_owner_s_alone(house: HouseAtWork) -> None:
    assert stat.S_IMODE((house.data / "secret-key").stat().st_mode) == 0o600


def test_a_second_house_on_the_same_folder(house: HouseAtWork) -> None:
    second = run("serve", "--port", "0", "--data", str(house.data))
    assert second.returncode == 1
    assert second.stderr == (
        f"Another Barnbook is serving from {house.data}: stop that one first, or choose another folder with --data.\n"
    )


def test_a_port_in_use(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        refused = run("serve", f"--port={port}", f"--data={tmp_path}")
    assert refused.returncode == 1
    assert refused.stderr == (
        f"Barnbook cannot listen on 127.0.0.1 port {port} (Address already in use): choose another with --port, "
        "or stop what is using it.\n"
    )


@pytest.mark.parametrize("port", ["eighty", "70000", "-1"])
def test_no_port(tmp_path: Path, port: str) -> None:
    refused = run("serve", f"--port={port}", "--data", str(tmp_path))
    assert refused.returncode == 1
    assert refused.stderr == (f"The port '{port}' is none: give a whole number up to 65535, such as --port 8000.\n")


def test_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    refused = run("serve", "--port", "0", "--data", str(tmp_path / "file" / "book"))
    assert refused.returncode == 1
    assert refused.stderr == (
        f"The data folder {tmp_path / 'file' / 'book'} cannot be written (Not a directory): choose another with "
        "--data, or give yourself the right to write there.\n"
    )


def test_data_without_a_folder() -> None:
    refused = run("serve", "--data")
    assert (refused.returncode, refused.stderr) == (
        1,
        "--data needs a folder after it, such as --data ~/barnbook.\n",
    )


def test_port_and_folder_from_the_environment(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        refused = run("serve", PORT=str(port), BARNBOOK_DATA=str(tmp_path / "book"))
    assert f"port {port}" in refused.stderr
    assert (tmp_path / "book" / "secret-key").exists()


@pytest.mark.parametrize("with_signal", [signal.SIGTERM, signal.SIGINT])
def test_ends_with_0_and_opens_again(tmp_path: Path, with_signal: int) -> None:
    with HouseAtWork(tmp_path) as house:
        said = Visitor(house.address).get("/api/house")[1]
        token = house.token
        assert house.stop(with_signal) == 0
        assert "Traceback" not in house.printed
    with HouseAtWork(tmp_path) as house:
        again = Visitor(house.address).get("/api/house")[1]
        assert (again["house"], again["book"]) == (said["house"], said["book"])
        assert house.token != token
        status, refused = Visitor(house.address).post("/api/begin", {"token": token, "choice": "example"})
        assert (status, refused["code"]) == (403, "link_used_or_wrong")


def test_prints_no_link_once_somebody_owns_a_book(tmp_path: Path) -> None:
    with HouseAtWork(tmp_path) as house:
        me = Visitor(house.address).begin(house.token)
        assert (me["role"], me["farm"]["name"]) == ("owner", "Low Reed")
        house.stop()
    with HouseAtWork(tmp_path) as house:
        assert "/begin/" not in house.printed
        assert Visitor(house.address).get("/api/house")[1]["claimed"] is True


def test_a_device_that_says_nothing_stops_nobody(house: HouseAtWork) -> None:
    host, port = house.address.removeprefix("http://").split(":")
    silent = [socket.create_connection((host, int(port))) for _ in range(20)]
    try:
        assert Visitor(house.address).get("/api/house")[0] == 200
    finally:
        for each in silent:
            each.close()


@pytest.mark.parametrize(
    ("host", "shown"), [("127.0.0.1", "127.0.0.1"), ("barn.local", "barn.local"), ("::1", "[::1]")]
)
def test_the_address_that_is_printed(host: str, shown: str) -> None:
    assert _shown(host) == shown


def test_on_every_address_the_one_that_others_reach_is_printed() -> None:
    shown = _shown("0.0.0.0")
    assert shown == "localhost" or not shown.startswith(("0.", "127."))
