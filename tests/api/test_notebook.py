"""Bringing in a notebook over the wire: shown first, written when agreed to, by owners alone."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from barnbook.journal.models import Entry
from barnbook.sheets import bring_in
from tests.conftest import Cast

pytestmark = pytest.mark.django_db

COUNTS = "Day,Cage,Eggs\n2025-11-03,A1,4\n2025-11-04,A1,3\n2025-11-05,A1,x\n"


def post(client: Any, text: str | bytes = COUNTS, **said: Any) -> Any:
    content = text.encode() if isinstance(text, str) else text
    return client.post("/api/notebook", {"file": SimpleUploadedFile("eggs.csv", content), **said}, format="multipart")


@pytest.fixture
def owner(cast: Cast, signed_in: Any) -> Any:
    cast.owner.cage("A1")
    return signed_in(cast.owner)


def test_nothing_is_written_before_the_owner_agrees_to_just_that(owner: Any) -> None:
    shown = post(owner).json()
    assert (shown["rows"], shown["entries"], shown["bad_rows"], shown["written"]) == (3, 2, 1, None)
    assert shown["bad"] == [{"number": 4, "column": "Eggs", "reason": "'x' is no whole number from 0"}]
    assert shown["first_rows"][0] == ["2025-11-03", "A1", "4"]
    assert not Entry.objects.filter(kind="egg_count").exists()
    other = post(owner, COUNTS.replace("A1,3", "A1,2"), agreed=shown["agreement"])
    assert other.status_code == 409
    assert other.json()["code"] == "not_what_was_agreed"
    assert not Entry.objects.filter(kind="egg_count").exists()
    done = post(owner, agreed=shown["agreement"], plan=json.dumps(shown["plan"])).json()
    assert done["written"] == {"counts": {"written": 2}, "refused": [], "left": 0}
    again = post(owner, agreed=shown["agreement"]).json()
    assert again["written"] == {"counts": {}, "refused": [], "left": 0}
    assert again["already"] == 2


def test_a_large_file_is_written_call_by_call(owner: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bring_in, "AT_ONE_CALL", 1)
    agreed = post(owner).json()["agreement"]
    assert [post(owner, agreed=agreed).json()["written"]["left"] for _ in range(3)] == [1, 0, 0]
    assert Entry.objects.filter(kind="egg_count").count() == 2


def test_days_that_may_be_two_days_are_asked_about(owner: Any) -> None:
    shown = post(owner, "Day,Cage,Eggs\n3/11/2025,A1,4\n").json()
    assert shown["order_needed"]
    assert shown["plan"]["order"] is None
    assert shown["bad_rows"] == 1
    shown = post(
        owner, "Day,Cage,Eggs\n3/11/2025,A1,4\n", plan=json.dumps({**shown["plan"], "order": "day_first"})
    ).json()
    assert shown["bad_rows"] == 0
    assert shown["entries"] == 1
    mixed = post(owner, "Day,Cage,Eggs\n14/11/2025,A1,4\n11/15/2025,A1,4\n").json()
    assert "write all days one way" in mixed["order_unknown"]


@pytest.mark.parametrize("who", ["helper", "onlooker"])
def test_nobody_but_an_owner_brings_anything_in(cast: Cast, signed_in: Any, who: str) -> None:
    assert post(signed_in(getattr(cast, who))).status_code == 403


def test_another_farms_cage_is_none(cast: Cast, signed_in: Any) -> None:
    cast.owner.cage("A1")
    shown = post(signed_in(cast.stranger)).json()
    assert shown["entries"] == 0
    assert "no cage 'A1'" in shown["bad"][0]["reason"]


@pytest.mark.parametrize(
    ("said", "status", "code"),
    [
        ({"plan": "no"}, 400, "not_a_plan"),
        ({"plan": "{}"}, 400, "not_a_plan"),
        ({"plan": "[" * 100_000}, 400, "not_a_plan"),
        ({"text": b"\x89PNG\x00"}, 400, "not_a_sheet"),
        ({"sheet": "Eggs", "text": b"PK\x03\x04"}, 400, "not_a_sheet"),
    ],
)
def test_what_is_wrong_is_said(owner: Any, said: dict[str, Any], status: int, code: str) -> None:
    answer = post(owner, said.pop("text", COUNTS), **said)
    assert (answer.status_code, answer.json()["code"]) == (status, code)


def test_a_hundred_megabytes_are_refused_by_their_length(owner: Any) -> None:
    answer = owner.generic(
        "POST", "/api/notebook", b"", content_type="multipart/form-data; boundary=x", CONTENT_LENGTH=str(100 * 1024**2)
    )
    assert (answer.status_code, answer.json()["code"]) == (413, "file_too_large")
