"""Which house it is after a restore, and that a restore gives nobody a right again: in real houses, on both engines."""

from __future__ import annotations

import contextlib
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.house.pen import Pen, a_book, opened, stands_as_its_entries_give
from tests.house_at_work import HouseAtWork, Visitor, environment, run

JOINS = {"role": "helper", "active": True}


@dataclass
class Begun:
    """A house with a book in it, closed."""

    data: Path
    book: dict[str, str]
    pen: Pen
    house: dict[str, Any]

    def backed_up(self, to: Path) -> Path:
        done = run("backup", "--to", str(to), "--data", str(self.data), **self.book)
        assert done.returncode == 0, done.stderr
        (made,) = to.glob("*-hand.zip")
        return made

    def restored(self, back_up: Path) -> str:
        done = run("restore", str(back_up), "--data", str(self.data), **self.book)
        assert done.returncode == 0, done.stderr
        return done.stdout

    def keys(self) -> tuple[str, str]:
        return (self.data / "secret-key").read_text(), (self.data / "home" / "authority.pem").read_text()


@contextmanager
def begun(data: Path, name: str) -> Iterator[Begun]:
    """A book begun in that folder; its certificate stands for what `serve --home` makes."""
    with a_book() as book:
        with HouseAtWork(data, **book) as house:
            pen = opened(house)
            stood = pen.house()
            house.stop()
        (data / "home").mkdir()
        (data / "home" / "authority.pem").write_text(name)
        yield Begun(data, book, pen, stood)


def test_on_a_machine_where_another_book_was_begun_it_is_the_backed_up_house(tmp_path: Path) -> None:
    with begun(tmp_path / "old", "the old one") as old, begun(tmp_path / "new", "begun by mistake") as new:
        back_up = old.backed_up(tmp_path / "stick")
        keys, keys_begun = old.keys(), new.keys()
        said = new.restored(back_up)
        assert "It was another house's: its phones will say so, and wait till they are paired anew." in said
        assert new.keys() == keys, "phones know the house by these"
        assert (new.data / "secret-key").stat().st_mode & 0o777 == 0o600
        with HouseAtWork(new.data, **new.book) as house:
            # The old house's phone finds its house at the machine's address, still signed in, and sends again.
            phone = old.pen
            phone.address = house.address
            now = phone.house()
            assert now["house"] == old.house["house"]
            assert now["book"] not in (old.house["book"], new.house["book"])
            assert now["me"]["name"] == "Ilse Marten"
            phone.csrf = now["csrf"]
            assert phone.words(*phone.counts(2)) == ["written"] * 2
            # A phone of the book that was begun there by mistake is shown another house than its own.
            new.pen.address = house.address
            assert new.pen.house()["house"] != new.house["house"]
            house.stop()
        stands_as_its_entries_give(new.data, **new.book)
        # What was begun there is kept whole, its keys too, and can be put back.
        (aside,) = (new.data / "backups").glob("*-aside.zip")
        new.restored(aside)
        assert new.keys() == keys_begun
        with HouseAtWork(new.data, **new.book) as house:
            new.pen.address = house.address
            assert new.pen.house()["house"] == new.house["house"]


def test_in_the_same_house_its_keys_stay_and_what_lacks_is_taken(tmp_path: Path) -> None:
    with begun(tmp_path / "data", "as it was") as here:
        back_up = here.backed_up(tmp_path / "stick")
        (here.data / "home" / "authority.pem").write_text("renewed since")
        said = here.restored(back_up)
        assert "another house's" not in said
        assert here.keys()[1] == "renewed since"
        for path in (here.data / "home").iterdir():
            path.unlink()
        (here.data / "home").rmdir()
        here.restored(back_up)
        assert here.keys()[1] == "as it was"
        with HouseAtWork(here.data, **here.book) as house:
            here.pen.address = house.address
            now = here.pen.house()
            assert (now["house"], now["book"] == here.house["book"]) == (here.house["house"], False)


def asked_in(owner: Pen, address: str, name: str) -> tuple[dict[str, Any], Visitor]:
    """Somebody new, come in on a phone of their own."""
    status, person = owner.post("/api/people", {"name": name, **JOINS})
    assert status == 201, person
    _, code = owner.post(f"/api/people/{person['id']}/code", {})
    phone = Visitor(address)
    joined = {"code": code["code"], "password": "quails-in-the-reeds", "device_name": name}
    status, said = phone.post("/api/join", joined)
    assert status == 201, said
    return person, phone


def put(owner: Pen, path: str, body: dict[str, Any]) -> tuple[int, Any]:
    import json
    import urllib.request

    headers = {"Content-Type": "application/json", "X-CSRFToken": owner.csrf}
    return owner._ask(urllib.request.Request(owner.address + path, json.dumps(body).encode(), headers, method="PUT"))


def test_a_restore_gives_nobody_a_right_again(tmp_path: Path) -> None:
    data = tmp_path / "data"
    with a_book() as book:
        with HouseAtWork(data, **book) as house:
            owner = opened(house)
            leaver, leavers_phone = asked_in(owner, house.address, "Tam Leaver")
            loser, lost_phone = asked_in(owner, house.address, "Ada Loser")
            mover, _ = asked_in(owner, house.address, "Nell Mover")
            _, secret = owner.post("/api/calendar-link", {})
            assert "url" not in secret, "no public address: a link is tried in test_rights"
            house.stop()
        done = run("backup", "--to", str(tmp_path / "stick"), "--data", str(data), **book)
        assert done.returncode == 0, done.stderr
        (back_up,) = (tmp_path / "stick").glob("*.zip")

        with HouseAtWork(data, **book) as house:
            owner.address = house.address
            assert put(owner, f"/api/people/{leaver['id']}", {**leaver, "active": False})[0] == 200
            assert put(owner, f"/api/people/{mover['id']}", {**mover, "role": "onlooker"})[0] == 200
            (lost,) = [each for each in owner.get("/api/phones")[1]["rows"] if each["name"] == "Ada Loser"]
            assert owner.post(f"/api/phones/{lost['id']}/unpair", {})[0] == 200
            newcomer, newcomers_phone = asked_in(owner, house.address, "Sib Newcomer")
            house.stop()
        done = run("restore", str(back_up), "--data", str(data), **book)
        assert done.returncode == 0, done.stderr
        assert "Sib Newcomer came to the farm after the back-up: draw a code for them in Set-up." in done.stdout

        with HouseAtWork(data, **book) as house:
            for each in (owner, leavers_phone, lost_phone, newcomers_phone):
                each.address = house.address
            assert leavers_phone.get("/api/changes")[0] in (401, 403), "who was taken off stays so"
            wrong, _ = Visitor(house.address).post(
                "/api/sign-in", {"name": "Tam Leaver", "password": "quails-in-the-reeds", "device_name": "x"}
            )
            assert wrong == 401
            assert lost_phone.get("/api/changes")[0] == 401, "a phone that was unpaired is known no more"
            people = {each["id"]: each for each in owner.get("/api/people")[1]["rows"]}
            assert people[mover["id"]]["role"] == "onlooker"
            assert people[loser["id"]]["active"]
            # Who came since is there under the same id: a new code, and what their phone has kept comes in.
            assert people[newcomer["id"]] == {**newcomer, "signs_in": False}
            _, code = owner.post(f"/api/people/{newcomer['id']}/code", {})
            joined = {"code": code["code"], "password": "quails-in-the-reeds", "device_name": "again"}
            status, me = newcomers_phone.post("/api/join", joined)
            assert status == 201, me
            assert me["me"]["person"] == newcomer["id"]
            house.stop()


def in_the_database(here: Begun, *statements: str) -> None:
    if here.book:
        import psycopg

        with psycopg.connect(here.book["DATABASE_URL"], autocommit=True) as opened_book:
            for statement in statements:
                opened_book.execute(statement)  # type: ignore[arg-type,unused-ignore]
        return
    with contextlib.closing(sqlite3.connect(here.data / "book.sqlite3")) as file, file:
        for statement in statements:
            file.execute(statement)


def test_across_a_table_that_a_later_barnbook_added(tmp_path: Path) -> None:
    """The back-up is of before the codes by which people join; then a table of next year names one of ours too."""
    with begun(tmp_path / "data", "here") as here:
        in_the_database(
            here,
            "DROP TABLE house_joincode",
            "DELETE FROM django_migrations WHERE app = 'house' AND name <> '0001_initial'",
        )
        back_up = here.backed_up(tmp_path / "stick")
        done = run("migrate", "--data", str(here.data), **here.book)
        assert done.returncode == 0, done.stderr
        key = "uuid" if here.book else "char(32)"
        in_the_database(here, f"CREATE TABLE barn_nextyear (id integer, farm_id {key} REFERENCES barn_farm (id))")
        in_the_database(here, "INSERT INTO barn_nextyear SELECT 1, id FROM barn_farm")
        here.restored(back_up)
        in_the_database(here, f"CREATE TABLE barn_nextyear (id integer, farm_id {key} REFERENCES barn_farm (id))")
        with HouseAtWork(here.data, **here.book) as house:
            here.pen.address = house.address
            asked_in(here.pen, house.address, "Tam Later")
            house.stop()
        stands_as_its_entries_give(here.data, **here.book)


def test_where_there_is_no_room_the_book_stays_as_it_was(tmp_path: Path) -> None:
    with begun(tmp_path / "data", "here") as here:
        back_up = here.backed_up(tmp_path / "stick")
        leftover = here.data / ".restoring-killed"
        leftover.mkdir()
        (leftover / "secret-key").write_text("of a restore that was killed")
        if not here.book:
            before = (here.data / "book.sqlite3").read_bytes()
        # A file of at most 200 blocks may be written: as on a full disk, the write fails with an error of the system.
        asked = f"ulimit -f 200; exec {sys.executable} -m barnbook restore {back_up} --data {here.data}"
        done = subprocess.run(
            ["sh", "-c", asked], env=environment(**here.book), capture_output=True, text=True, check=False
        )
        assert done.returncode == 1
        assert len(done.stderr.splitlines()) == 1, done.stderr
        assert "was not put back, and the book is as it was: " in done.stderr
        assert not list(here.data.glob(".restoring-*"))
        assert here.keys()[1] == "here"
        if not here.book:
            assert (here.data / "book.sqlite3").read_bytes() == before
        with HouseAtWork(here.data, **here.book) as house:
            here.pen.address = house.address
            assert here.pen.house()["book"] == here.house["book"]
