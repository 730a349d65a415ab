"""People outside the barn: written and read online by owners, and by nobody else in any way."""

from __future__ import annotations

import logging
import uuid
from typing import Any

import pytest
from django.conf import settings

from barnbook.barn.erasing import erased_list
from barnbook.barn.models import Customer
from tests.api.test_who_sees_what import api_routes
from tests.conftest import Cast
from tests.scribe import new_id

pytestmark = pytest.mark.django_db

WHO = {"name": "Orla Venn", "contact": "orla.venn@example.org", "remarks": "Fetches them herself."}


@pytest.fixture(autouse=True)
def list_of_its_own(tmp_path: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(settings, "DATA", tmp_path)


def test_an_owner_writes_reads_and_mends_a_customer(cast: Cast, signed_in: Any) -> None:
    owner, id_ = signed_in(cast.owner), new_id()
    made = owner.put(f"/api/customers/{id_}", WHO, format="json")
    assert made.status_code == 201, made.content
    assert made["Cache-Control"] == "no-store"
    again = owner.put(f"/api/customers/{id_}", {**WHO, "contact": ""}, format="json")
    assert again.status_code == 200
    found = owner.get(f"/api/customers/{id_}").json()
    assert found | {"since": ""} == {**WHO, "contact": "", "id": id_, "since": ""}
    assert [row["id"] for row in owner.get("/api/customers").json()["rows"]] == [id_]


@pytest.mark.parametrize("who", ["helper", "onlooker"])
def test_nobody_but_an_owner_sees_one(cast: Cast, signed_in: Any, who: str) -> None:
    id_ = new_id()
    signed_in(cast.owner).put(f"/api/customers/{id_}", WHO, format="json")
    client = signed_in(getattr(cast, who))
    assert client.get("/api/customers").status_code == 403
    for method in ("get", "put", "delete"):
        assert getattr(client, method)(f"/api/customers/{id_}", WHO, format="json").status_code == 403, method
    assert Customer.objects.get().name == "Orla Venn"


def test_another_farms_owner_neither_finds_nor_replaces_nor_erases_one(cast: Cast, signed_in: Any) -> None:
    id_ = new_id()
    signed_in(cast.owner).put(f"/api/customers/{id_}", WHO, format="json")
    stranger = signed_in(cast.stranger)
    assert stranger.get("/api/customers").json()["rows"] == []
    assert stranger.get(f"/api/customers/{id_}").status_code == 404
    assert stranger.put(f"/api/customers/{id_}", {"name": "Mine"}, format="json").status_code == 409
    stranger.delete(f"/api/customers/{id_}")
    assert Customer.objects.get().name == "Orla Venn"
    assert not erased_list().exists()


def test_no_other_address_gives_a_word_of_one(cast: Cast, signed_in: Any) -> None:
    """What a phone pulls, what an owner may list, what may be taken away as a file."""
    owner, id_ = signed_in(cast.owner), new_id()
    owner.put(f"/api/customers/{id_}", WHO, format="json")
    for route in api_routes():
        if not route.startswith("api/customers"):
            said = owner.get(f"/{route}")
            text = b"".join(said.streaming_content) if said.streaming else said.content
            assert b"Orla" not in text, route
            assert b"example.org" not in text, route


def test_an_erased_id_is_never_anybodys_again(cast: Cast, signed_in: Any) -> None:
    owner, id_ = signed_in(cast.owner), new_id()
    owner.put(f"/api/customers/{id_}", WHO, format="json")
    assert owner.delete(f"/api/customers/{id_}").status_code == 200
    assert owner.delete(f"/api/customers/{id_}").status_code == 200  # an answer that was lost
    assert owner.put(f"/api/customers/{id_}", WHO, format="json").status_code == 410
    assert erased_list().read_text().count(id_) == 1


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({}, "name"),
        ({"name": ""}, "name"),
        ({"name": "n" * 121}, "name"),
        ({"name": "Orla", "contact": "c" * 501}, "contact"),
        ({"name": "Orla", "remarks": "r" * 2001}, "remarks"),
        ({"name": "Or\x00la"}, "name"),
        ({"name": ["Orla"]}, "name"),
    ],
)
def test_a_bad_customer_is_refused_with_a_sentence(cast: Cast, signed_in: Any, typed: Any, field: str) -> None:
    answer = signed_in(cast.owner).put(f"/api/customers/{new_id()}", typed, format="json")
    assert (answer.status_code, answer.json()["field"]) == (400, field)
    assert Customer.objects.count() == 0


def test_a_fault_of_the_house_logs_no_name(
    cast: Cast, signed_in: Any, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = signed_in(cast.owner)
    client.raise_request_exception = False

    def fails(*_: Any, **__: Any) -> None:
        raise RuntimeError("a fault of the house")

    monkeypatch.setattr(Customer, "row", fails)
    with caplog.at_level(logging.DEBUG):
        assert client.put(f"/api/customers/{uuid.uuid4()}", WHO, format="json").status_code == 500
    assert "a fault of the house" in caplog.text
    assert "Orla" not in caplog.text
    assert "example.org" not in caplog.text
