"""Every route walked as each role, as another farm's owner, and as nobody."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.urls import URLPattern, get_resolver
from rest_framework.test import APIClient

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
            text = answer.content.decode()
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
