"""Who may read a line's sheet, and the link that its owner turns on and off."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.conf import settings
from rest_framework.test import APIClient

from barnbook.api import line_sheets
from barnbook.barn.models import FigureTable
from barnbook.work.reckon import reckon
from tests.conftest import Cast

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def nobody_knocked() -> None:
    line_sheets.KNOCKS.forget()


@pytest.fixture
def public(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(settings, "PUBLIC_ADDRESS", "https://barn.example.org/")
    monkeypatch.setattr("barnbook.api.public_address._check", lambda address: None)


def a_sheet(cast: Cast) -> str:
    line = cast.owner.line("Slate Barrow")
    cast.owner.cage("A1", line=line)
    reckon()
    assert FigureTable.objects.get(subject=f"sheet/{line}").body["name"] == "Slate Barrow"
    return line


def test_everybody_of_the_farm_reads_it_in_each_form_and_nobody_else(cast: Cast, signed_in: Any) -> None:
    line = a_sheet(cast)
    for form, kind in (("json", "application/json"), ("csv", "text/csv"), ("html", "text/html")):
        path = f"/api/lines/{line}/sheet.{form}"
        answer = signed_in(cast.onlooker).get(path)
        assert (answer.status_code, answer["Content-Type"].split(";")[0]) == (200, kind)
        assert f'filename="slate-barrow-line-sheet.{form}"' in answer["Content-Disposition"]
        assert signed_in(cast.stranger).get(path).status_code == 404
        assert APIClient().get(path).status_code == 401
    assert signed_in(cast.owner).get(f"/api/lines/{line}/sheet.exe").status_code == 404


def test_a_line_without_records_leaves_everything_off_by_name(cast: Cast, signed_in: Any) -> None:
    said = signed_in(cast.owner).get(f"/api/lines/{a_sheet(cast)}/sheet.json").json()
    assert said["figures"] == []
    assert {"weight_hen", "hatch_of_set", "eggs_in_year_1"} <= {each["key"] for each in said["left_off"]}
    assert all(each["why"] for each in said["left_off"])


def test_without_a_public_address_there_is_no_link_and_it_says_why(cast: Cast, signed_in: Any) -> None:
    path = f"/api/lines/{a_sheet(cast)}/sheet-link"
    owner = signed_in(cast.owner)
    assert "no public address" in owner.get(path).json()["why_not"]
    refused = owner.post(path)
    assert (refused.status_code, refused.json()["code"]) == (409, "no_public_address")


@pytest.mark.usefixtures("public")
def test_the_owner_turns_it_on_and_off(cast: Cast, signed_in: Any) -> None:
    line = a_sheet(cast)
    path, owner = f"/api/lines/{line}/sheet-link", signed_in(cast.owner)
    assert owner.get(path).json() == {"url": None, "why_not": ""}
    url = owner.post(path).json()["url"]
    assert url.startswith("https://barn.example.org/sheet/")
    assert owner.post(path).json()["url"] == url  # turned on again while on, it is the same
    where = url.removeprefix("https://barn.example.org")
    page = APIClient().get(where)
    assert page.status_code == 200
    assert "Slate Barrow" in page.content.decode()
    assert page["X-Robots-Tag"] == "noindex"
    assert "default-src 'none'" in page["Content-Security-Policy"]
    assert APIClient().get(f"{where}/sheet.json").json()["name"] == "Slate Barrow"
    assert owner.delete(path).status_code == 204
    assert APIClient().get(where).status_code == 404
    assert owner.post(path).json()["url"] != url


@pytest.mark.usefixtures("public")
@pytest.mark.parametrize("who", ["helper", "onlooker"])
def test_nobody_but_the_owner_has_the_switch(cast: Cast, signed_in: Any, who: str) -> None:
    path = f"/api/lines/{a_sheet(cast)}/sheet-link"
    client = signed_in(getattr(cast, who))
    assert [getattr(client, method)(path).status_code for method in ("get", "post", "delete")] == [403] * 3
    assert signed_in(cast.stranger).post(path).status_code == 404


def test_a_guessed_address_finds_nothing_and_many_tries_are_turned_away(cast: Cast) -> None:
    guess = f"/sheet/{uuid.uuid4().hex}"
    assert APIClient().get(guess).status_code == 404
    assert {APIClient().get(guess).status_code for _ in range(line_sheets.KNOCKS.most)} == {404, 429}


def test_the_schema_is_published() -> None:
    assert APIClient().get("/sheet/schema.json").json()["title"] == "Line sheet"
