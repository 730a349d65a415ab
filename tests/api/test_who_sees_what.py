"""Every route walked as each role, as another farm's owner, and as nobody."""

from __future__ import annotations

import re
import time
from datetime import date
from typing import Any

import pytest
from django.urls import URLPattern, get_resolver
from rest_framework.test import APIClient

from barnbook.journal.rebuild import picture
from tests.conftest import Cast

pytestmark = pytest.mark.django_db

NOT_HERE = "01990000-0000-7000-8000-000000000000"
OPEN = {"api/house", "api/sign-in", "api/sign-out", "api/schema", "api/begin", "api/begin/progress", "api/join"}


def api_routes() -> list[str]:
    """Every address of the wire; where one names a thing, it names one that is not there."""
    patterns = [p for p in get_resolver().url_patterns if isinstance(p, URLPattern)]
    routes = [str(p.pattern) for p in patterns if str(p.pattern).startswith("api/")]
    return sorted(re.sub(r"<uuid:\w+>", NOT_HERE, route) for route in routes)


def test_there_are_routes_to_walk() -> None:
    assert {"api/push", "api/changes", "api/cages", "api/entries"} <= set(api_routes())


def test_nobody_gets_nothing_but_the_door(cast: Cast) -> None:
    for route in set(api_routes()) - OPEN:
        for method in ("get", "post"):
            answer = getattr(APIClient(), method)(f"/{route}", {}, format="json")
            assert answer.status_code in (401, 405), (route, method)


def test_no_role_of_another_farm_reads_a_word_of_this_one(cast: Cast, signed_in: Any) -> None:
    line = cast.owner.line("A line of this farm")
    cage = cast.owner.cage("OURS", line=line)
    cast.owner.write("cage_note", cage=cage, text="a note of this farm")
    stranger = signed_in(cast.stranger)
    for route in api_routes():
        for asked in ("", f"?subject=cage/{cage}"):
            answer = stranger.get(f"/{route}{asked}")
            content = b"".join(answer.streaming_content) if answer.streaming else answer.content
            text = content.decode(errors="replace")
            assert "of this farm" not in text, route
            assert "OURS" not in text, route
            assert cage not in text.replace(f"cage/{cage}", ""), route


@pytest.mark.parametrize("who", ["owner", "helper", "onlooker"])
def test_each_role_reads_its_own_farm(cast: Cast, signed_in: Any, who: str) -> None:
    cage = cast.owner.cage("A1")
    cast.owner.count(cage, 3)
    client = signed_in(getattr(cast, who))
    assert [row["code"] for row in client.get("/api/cages").json()["rows"]] == ["A1"]
    kinds = [row["kind"] for row in client.get(f"/api/entries?subject=cage/{cage}").json()["rows"]]
    assert sorted(kinds) == ["cage", "egg_count"]


def test_somebody_taken_off_the_book_sees_nothing_any_more(cast: Cast, signed_in: Any) -> None:
    client = signed_in(cast.helper)
    assert client.get("/api/cages").status_code == 200
    cast.helper.person.is_active = False
    cast.helper.person.save()
    assert client.get("/api/cages").status_code in (401, 403)


def test_no_role_of_another_farm_writes_a_word_into_this_one(cast: Cast, signed_in: Any) -> None:
    """What another farm's owner writes about what is this farm's changes nothing of it, in its book or in theirs."""
    line = cast.owner.line("A line of this farm")
    cage, brood = cast.owner.cage("OURS", line=line), cast.owner.brood(line, hatched_on=date(2026, 5, 1))
    noted = cast.owner.write("cage_note", cage=cage, text="a note of this farm").id
    before = picture(cast.owner.farm)
    theirs = cast.stranger.line("Theirs")
    entries = [
        cast.stranger.entry("egg_count", **cast.stranger.count_body(cage, 9)),
        cast.stranger.entry("cage", cage=cage, code="MINE", row="A", place=1, line=theirs, closed=True),
        cast.stranger.entry("head_check", cage=cage, hens=0, cocks=0, unsexed=0),
        cast.stranger.entry("found_dead", cage=None, brood=brood, hens=1, cocks=0, unsexed=0, note=""),
        cast.stranger.entry("strike", entry=str(noted), why="not mine"),
        cast.stranger.entry("found_right", entries=[str(noted)], code="weight_far_off", note=""),
        cast.stranger.entry("cage_note", cage=cage, text="in its place") | {"mends": str(noted)},
        cast.stranger.entry("cage_note", cage=cage, text="as if from here") | {"author": str(cast.owner.person.pk)},
    ]
    batch = {"protocol": 1, "batch": NOT_HERE, "device_time": int(time.time() * 1000), "entries": entries}
    answer = signed_in(cast.stranger).post("/api/push", batch, format="json")
    words = [verdict["verdict"] for verdict in answer.json()["verdicts"]]
    # What names an entry of elsewhere waits for ever, as one that never came; nothing else is taken.
    assert words == ["aside", "aside", "aside", "aside", "waits", "waits", "aside", "aside"], answer.json()
    assert picture(cast.owner.farm) == before
    codes = [row["code"] for row in signed_in(cast.stranger).get("/api/cages").json()["rows"]]
    assert "OURS" not in codes
    assert "MINE" not in codes


def test_onlookers_are_not_told_what_was_set_aside(cast: Cast, signed_in: Any) -> None:
    cast.owner.send(cast.owner.entry("cage_note", cage="no cage", text=7))
    told = {
        who: {
            row["table"] for row in signed_in(getattr(cast, who)).get("/api/changes?after=0&limit=2000").json()["rows"]
        }
        for who in ("owner", "helper", "onlooker")
    }
    assert "aside" in told["owner"]
    assert "aside" in told["helper"], "the reason for what was written on their own phone"
    assert "aside" not in told["onlooker"]
    assert "entry" in told["onlooker"] or "person" in told["onlooker"]
