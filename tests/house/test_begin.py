"""Beginning: the one-time link opens the book to whoever holds it, once, and to nobody else on the network."""

from __future__ import annotations

import hashlib
from typing import Any

import pytest
from django.core.cache import cache
from rest_framework.test import APIClient

from barnbook.barn.models import Farm, Person
from barnbook.house import begin_link, empty_book, example
from barnbook.house.models import BeginLink
from barnbook.journal.models import Entry
from barnbook.journal.rebuild import differences
from tests.barn.factories import a_farm, a_person

pytestmark = pytest.mark.django_db

TYPED = {
    "choice": "empty",
    "farm_name": "Low Reed",
    "zone": "Europe/Vienna",
    "name": "Ilse Marten",
    "password": "reeds-and-grain",
    "device_name": "laptop",
}


@pytest.fixture(autouse=True)
def _nobody_tried_yet() -> None:
    cache.clear()


@pytest.fixture
def token() -> str:
    token = begin_link.draw()
    assert token is not None
    return token


@pytest.fixture
def client() -> APIClient:
    return APIClient(enforce_csrf_checks=True)


def begin(client: APIClient, token: str, **changes: Any) -> Any:
    csrf = client.get("/api/house").json()["csrf"]
    return client.post("/api/begin", {"token": token} | TYPED | changes, format="json", HTTP_X_CSRFTOKEN=csrf)


def test_an_empty_book_is_all_entries(client: APIClient, token: str) -> None:
    answer = begin(client, token)
    assert answer.status_code == 201
    me = answer.json()["me"]
    assert (me["name"], me["role"]) == ("Ilse Marten", "owner")
    assert (me["farm"]["name"], me["farm"]["example"]) == ("Low Reed", False)
    farm, entry = Farm.objects.get(), Entry.objects.get()
    assert (entry.kind, entry.state, str(entry.author_id)) == ("farm", "stands", me["person"])
    assert entry.body == {
        "name": "Low Reed",
        "zone": "Europe/Vienna",
        "weight_unit": "g",
        "rounds": [{"key": "morning", "name": "Morning", "after_lay": False}],
    }
    assert differences(farm) == []
    assert Person.objects.get().check_password("reeds-and-grain")
    tables = {row["table"] for row in client.get("/api/changes").json()["rows"]}
    assert tables == {"farm", "person", "entry"}


def test_the_link_works_once(client: APIClient, token: str) -> None:
    assert begin(client, token).status_code == 201
    again = begin(APIClient(enforce_csrf_checks=True), token, name="Somebody Else")
    assert (again.status_code, again.json()["code"]) == (403, "link_used_or_wrong")
    assert Person.objects.count() == 1
    assert begin_link.draw() is None  # and no new one is drawn


def test_somebody_on_the_network_without_the_link(client: APIClient, token: str) -> None:
    for guess in ("", "wrong", token[:-1], token.swapcase(), hashlib.sha256(token.encode()).hexdigest()):
        for choice in ("empty", "example"):
            answer = begin(client, guess, choice=choice)
            assert answer.status_code in (400, 403)
            assert answer.json()["field"] == "token"
    assert client.get("/api/begin/progress?token=wrong").status_code == 403
    assert client.get("/api/begin/progress").status_code == 403
    assert not Person.objects.exists()


def test_no_link_at_all_opens_nothing(client: APIClient) -> None:
    assert begin(client, "anything").status_code == 403


def test_only_the_hash_is_kept(token: str) -> None:
    link = BeginLink.objects.get()
    assert link.token_sha256 == hashlib.sha256(token.encode()).hexdigest()
    assert len(token) >= 32  # 24 random bytes


def test_a_new_link_ends_the_old_one(client: APIClient, token: str) -> None:
    assert begin_link.draw() != token
    assert begin(client, token).status_code == 403


def test_another_sites_page_cannot_begin(client: APIClient, token: str) -> None:
    """Without the token that GET /api/house gave to this very browser."""
    answer = client.post("/api/begin", {"token": token} | TYPED, format="json")
    assert (answer.status_code, answer.json()["code"]) == (403, "csrf")


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"farm_name": "  "}, "farm_name", "Give the farm a name of 1 to 120 characters."),
        ({"farm_name": "x" * 121}, "farm_name", "Give the farm a name of 1 to 120 characters."),
        ({"zone": "Mars"}, "zone", "'Mars' is no time zone: choose one such as Europe/Vienna."),
        ({"zone": "../../etc/passwd"}, "zone", "'../../etc/passwd' is no time zone: choose one such as Europe/Vienna."),
        ({"name": ""}, "name", "Give your own name, 1 to 80 characters: it is what you sign in with."),
        ({"name": "piet overdale"}, "name", "There is a 'piet overdale' in this house already: choose another name."),
        ({"password": "reeds"}, "password", "Choose a longer password: at least 8 characters."),
        (
            {"password": "password1"},
            "password",
            "Choose another password: this one is among those that are tried first.",
        ),
        ({"password": "ilsemarten"}, "password", "Choose a password that is less like the name."),
        ({"password": "7403918265"}, "password", "Choose a password that is not made of digits alone."),
    ],
)
def test_what_was_typed_wrong_is_one_sentence(
    client: APIClient, token: str, changes: dict[str, str], field: str, sentence: str
) -> None:
    a_person(farm=a_farm(example=True), name="Piet Overdale", role="owner")
    answer = begin(client, token, **changes)
    assert answer.status_code == 400
    said = answer.json()
    assert (said["code"], said["field"], said["detail"]) == ("wrong_field", field, sentence)
    assert Person.objects.count() == 1
    assert begin(client, token).status_code == 201  # the link is as good as it was


@pytest.mark.parametrize("body", [{}, {"token": 3}, {"token": "x", "choice": "both"}, [], "x", None])
def test_what_is_no_question_at_all(client: APIClient, token: str, body: Any) -> None:
    csrf = client.get("/api/house").json()["csrf"]
    assert client.post("/api/begin", body, format="json", HTTP_X_CSRFTOKEN=csrf).status_code in (400, 403)


def test_two_at_the_same_moment_make_one_owner(client: APIClient, token: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both have passed the look at the link; the second finds it used, and nothing of its own is left."""
    first_owner = empty_book.begin_empty(
        empty_book.Asked(farm_name="Low Reed", zone="UTC", name="Ilse", password="reeds-and-grain"), token=token
    )
    monkeypatch.setattr(begin_link, "opens", lambda tried: tried == token)
    answer = begin(client, token)
    assert (answer.status_code, answer.json()["code"]) == (403, "link_used_or_wrong")
    assert list(Person.objects.all()) == [first_owner]
    assert Farm.objects.count() == 1


def test_guessing_is_slowed_down(client: APIClient, token: str) -> None:
    statuses = [begin(client, f"guess {n}").status_code for n in range(21)]
    assert statuses == [403] * 20 + [429]


def test_the_example_is_made_in_the_background(client: APIClient, token: str, monkeypatch: pytest.MonkeyPatch) -> None:
    progress = [example.Progress("working", 0, 10), example.Progress("working", 7, 10)]
    monkeypatch.setattr(example, "start", lambda: progress[0])
    monkeypatch.setattr(example, "progress", lambda: progress[1])
    answer = begin(client, token, choice="example")
    assert (answer.status_code, answer.json()) == (202, {"state": "working", "done": 0, "total": 10, "detail": ""})
    told = client.get(f"/api/begin/progress?token={token}")
    assert told.json() == {"state": "working", "done": 7, "total": 10, "detail": ""}
    owner = a_person(farm=a_farm(example=True, name="Reedmere"), name="Wilma", role="owner")
    assert client.get("/api/house").json()["me"] is None
    me = begin(client, token, choice="example").json()["me"]
    assert (me["name"], me["farm"]["example"]) == (owner.name, True)
    # Looking around does not use the link up: it still begins the owner's own book.
    assert begin(APIClient(enforce_csrf_checks=True), token).status_code == 201
