"""`GET /api/changes`: nothing is skipped, nothing is said twice, nobody sees another farm."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from barnbook.barn.models import Figure
from tests.conftest import Cast

pytestmark = pytest.mark.django_db


def pull(client: Any, *, after: int = 0, limit: int = 500) -> tuple[dict[tuple[str, str], Any], int]:
    """Everything after a place, page by page, as a phone lays it down; and the new place."""
    rows: dict[tuple[str, str], Any] = {}
    while True:
        said = client.get(f"/api/changes?after={after}&limit={limit}").json()
        for each in said["rows"]:
            rows[each["table"], each["id"]] = each["row"]
        after = said["next"]
        if not said["more"]:
            return rows, after


def test_a_new_phone_gets_what_stands_and_the_last_90_days(cast: Cast, signed_in: Any) -> None:
    today = datetime.now(UTC)
    line = cast.owner.line()
    cage = cast.owner.cage("A1", line=line)
    cast.owner.stock(cage, hens=5)
    recent = cast.owner.count(cage, 4, day=(today - timedelta(days=60)).date(), now=today)
    older = cast.owner.count(cage, 4, day=(today - timedelta(days=100)).date(), now=today)
    rows, _ = pull(signed_in(cast.helper))
    assert rows["cage", cage]["hens"] == 5
    assert rows["line", line]["name"] == "Slate Barrow"
    assert rows["person", str(cast.helper.person.pk)]["role"] == "helper"
    assert rows["farm", str(cast.owner.farm.pk)]["name"] == "Three Alders"
    assert rows["entry", recent.id]["body"]["eggs"] == 4
    assert ("entry", older.id) not in rows


def test_the_next_pull_brings_only_what_changed(cast: Cast, signed_in: Any) -> None:
    client = signed_in(cast.owner)
    cage, other = cast.owner.cage("A1"), cast.owner.cage("A2", place=2)
    _, place = pull(client)
    assert pull(client, after=place) == ({}, place)
    cast.owner.stock(cage, hens=3)
    rows, _ = pull(client, after=place)
    assert ("cage", cage) in rows
    assert ("cage", other) not in rows


def test_a_row_that_vanished_comes_as_null_and_again_when_it_is_back(cast: Cast, signed_in: Any) -> None:
    client = signed_in(cast.owner)
    cage = cast.owner.cage("A1")
    body = {"cage": cage, "code": "A1", "row": "A", "place": 1, "line": None, "closed": False}
    _, place = pull(client)
    from barnbook.journal.models import Entry

    cast.owner.write("strike", entry=str(Entry.objects.get(kind="cage").pk), why="")
    rows, place = pull(client, after=place)
    assert rows["cage", cage] is None
    cast.owner.write("cage", **body)
    rows, _ = pull(client, after=place)
    assert rows["cage", cage]["code"] == "A1"


def test_another_farm_sees_nothing_of_it(cast: Cast, signed_in: Any) -> None:
    cast.owner.cage("A1", line=cast.owner.line())
    rows, _ = pull(signed_in(cast.stranger))
    assert {table for table, _ in rows} <= {"farm", "person"}
    assert all(row["name"] in ("Nether Fold", "Piet Overdale") for row in rows.values())


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(limits=st.lists(st.integers(1, 7), min_size=1, max_size=30))
def test_small_pages_bring_the_same_as_one_large_one(cast: Cast, signed_in: Any, limits: list[int]) -> None:
    client = signed_in(cast.owner)
    if not Figure.objects.exists() and not cast.owner.device_seq:
        for n in range(6):
            cage = cast.owner.cage(f"A{n}", place=n)
            cast.owner.stock(cage, hens=n + 1)
    whole, end = pull(client)
    rows: dict[tuple[str, str], Any] = {}
    after, turn = 0, 0
    while True:
        limit = limits[turn % len(limits)]
        said = client.get(f"/api/changes?after={after}&limit={limit}").json()
        assert len(said["rows"]) <= limit
        rows |= {(each["table"], each["id"]): each["row"] for each in said["rows"]}
        after, turn = said["next"], turn + 1
        if not said["more"]:
            break
    assert (rows, after) == (whole, end)


@pytest.mark.parametrize("asked", ["after=-1", "after=x", "limit=99999", "after=1e3", "after=٣", "after=" + "9" * 5000])
def test_a_place_that_is_none_is_refused_with_a_sentence(cast: Cast, signed_in: Any, asked: str) -> None:
    answer = signed_in(cast.owner).get(f"/api/changes?{asked}")
    assert (answer.status_code, answer.json()["code"]) == (400, "wrong_field")
