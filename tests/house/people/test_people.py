"""People asked in, changed and taken off; codes that work once; phones unpaired."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from io import StringIO
from typing import Any

import pytest
import time_machine
from django.core.cache import cache
from django.core.management import call_command
from rest_framework.test import APIClient

from barnbook.barn.models import Farm, Person
from barnbook.house.models import JoinCode
from tests.conftest import Cast

pytestmark = pytest.mark.django_db
PASSWORD = "oats-before-noon"


@pytest.fixture(autouse=True)
def _no_one_tried_before() -> Iterator[None]:
    cache.clear()
    yield
    cache.clear()


@pytest.fixture
def owner(cast: Cast, signed_in: Callable[..., Any]) -> APIClient:
    client: APIClient = signed_in(cast.owner)
    return client


def ask_in(owner: APIClient, name: str = "Wren Aldous", role: str = "helper") -> tuple[str, str]:
    """Somebody new: their id, and a code for them."""
    asked = owner.post("/api/people", {"name": name, "role": role}, format="json")
    assert asked.status_code == 201, asked.json()
    drawn = owner.post(f"/api/people/{asked.json()['id']}/code", {}, format="json")
    assert drawn.status_code == 201
    return asked.json()["id"], drawn.json()["code"]


def join(code: str, password: str = PASSWORD, client: APIClient | None = None) -> Any:
    asked = {"code": code, "password": password, "device_name": "A blue phone"}
    return (client or APIClient()).post("/api/join", asked, format="json")


def test_somebody_new_comes_in_by_a_code_once(owner: APIClient, cast: Cast) -> None:
    seq = Farm.objects.get(pk=cast.owner.farm.pk).last_seq
    person, code = ask_in(owner)
    assert Person.objects.get(pk=person).seq > seq, "phones learn of it"
    look = APIClient().get("/api/join", {"code": code}).json()
    assert look == {"name": "Wren Aldous", "farm": "Three Alders", "role": "helper", "new_password": True}
    phone = APIClient()
    said = join(code, client=phone)
    assert said.status_code == 201, said.json()
    assert (said.json()["me"]["name"], said.json()["me"]["role"]) == ("Wren Aldous", "helper")
    assert phone.get("/api/cages").status_code == 200
    again = join(code)
    assert (again.status_code, again.json()["code"]) == (403, "code_ended")
    assert (
        APIClient().post("/api/sign-in", {"name": "wren aldous", "password": PASSWORD}, format="json").status_code
        == 200
    )


def test_a_weak_password_leaves_the_code_as_it_was(owner: APIClient) -> None:
    _, code = ask_in(owner)
    for weak, sentence in (("", "longer password"), ("12345678", "tried first"), ("wren aldous", "less like the name")):
        refused = join(code, weak)
        assert (refused.status_code, refused.json()["field"]) == (400, "password")
        assert sentence in refused.json()["detail"]
    assert join(code.upper().replace("-", " ")).status_code == 201, "as somebody types it"


def test_a_code_lasts_ten_minutes_and_the_last_one_drawn_ends_the_others(owner: APIClient) -> None:
    with time_machine.travel(datetime(2026, 11, 25, 12, tzinfo=UTC), tick=False) as clock:
        person, first = ask_in(owner)
        second = owner.post(f"/api/people/{person}/code", {}, format="json").json()["code"]
        assert join(first).status_code == 403
        clock.shift(timedelta(minutes=10))
        assert join(second).status_code == 403
        assert APIClient().get("/api/join", {"code": second}).status_code == 403
        third = owner.post(f"/api/people/{person}/code", {}, format="json").json()["code"]
        clock.shift(timedelta(minutes=9, seconds=59))
        assert join(third).status_code == 201
    assert not JoinCode.objects.exists()


def test_a_second_phone_of_one_s_own_keeps_the_password(cast: Cast, signed_in: Callable[..., Any]) -> None:
    cast.helper.person.set_password(PASSWORD)
    cast.helper.person.save()
    own = signed_in(cast.helper)
    drawn = own.post(f"/api/people/{cast.helper.person.pk}/code", {"new_password": True}, format="json").json()
    assert drawn["new_password"] is False, "only an owner has a new one chosen"
    assert drawn["qr"].startswith("data:image/svg+xml")
    assert drawn["link"] == f"http://testserver/join/{drawn['code']}"
    assert join(drawn["code"], "").status_code == 201
    assert Person.objects.get(pk=cast.helper.person.pk).check_password(PASSWORD)
    refused = own.post(f"/api/people/{cast.onlooker.person.pk}/code", {}, format="json")
    assert refused.status_code == 403


def test_a_forgotten_password_is_chosen_anew_and_ends_the_other_sessions(
    owner: APIClient, cast: Cast, signed_in: Callable[..., Any]
) -> None:
    cast.helper.person.set_password("forgotten-by-now")
    cast.helper.person.save()
    old = signed_in(cast.helper)
    code = owner.post(f"/api/people/{cast.helper.person.pk}/code", {"new_password": True}, format="json").json()["code"]
    assert join(code).status_code == 201
    assert old.get("/api/cages").status_code == 401
    assert (
        APIClient().post("/api/sign-in", {"name": "Jonah Quarrie", "password": PASSWORD}, format="json").status_code
        == 200
    )


def test_another_name_another_role_and_off_the_book(
    owner: APIClient, cast: Cast, signed_in: Callable[..., Any]
) -> None:
    helper = cast.helper.person
    theirs, address = signed_in(cast.helper), f"/api/people/{helper.pk}"
    cast.helper.send(cast.helper.entry("cage_note", cage=cast.owner.cage(), text="swept"))
    said = owner.put(address, {"name": "Jonah Q", "role": "onlooker", "active": True}, format="json")
    assert said.json() == {
        "id": str(helper.pk),
        "name": "Jonah Q",
        "role": "onlooker",
        "active": True,
        "signs_in": True,
    }
    assert theirs.get("/api/cages").status_code == 200
    owner.put(address, {"name": "Jonah Q", "role": "onlooker", "active": False}, format="json")
    assert theirs.get("/api/cages").status_code == 401
    assert [row["text"] for row in _notes(owner)] == ["swept"], "what they wrote stays"
    refused = owner.put(address, {"name": "Edda Quarrie", "role": "helper", "active": True}, format="json")
    assert (refused.status_code, refused.json()["field"]) == (400, "name")


def _notes(owner: APIClient) -> list[dict[str, Any]]:
    rows = owner.get("/api/entries").json()["rows"]
    return [row["body"] for row in rows if row["kind"] == "cage_note"]


@pytest.mark.parametrize(("role", "active"), [("helper", True), ("owner", False)])
def test_a_farm_keeps_an_owner(owner: APIClient, cast: Cast, role: str, active: bool) -> None:
    address = f"/api/people/{cast.owner.person.pk}"
    typed = {"name": "Edda Quarrie", "role": role, "active": active}
    refused = owner.put(address, typed, format="json")
    assert refused.status_code == 400
    assert "is the only owner who can sign in" in refused.json()["detail"]
    ask_in(owner, "Wren Aldous", "owner")  # has not come in yet
    assert owner.put(address, typed, format="json").status_code == 400
    Person.objects.join(cast.owner.farm.pk, name="Bo Quarrie", role="owner", password=PASSWORD)
    assert owner.put(address, typed, format="json").status_code == 200


def test_phones_are_listed_with_what_each_had_waiting_and_unpaired(owner: APIClient, cast: Cast) -> None:
    _, code = ask_in(owner)
    phone = APIClient()
    join(code, client=phone)
    batch = {"protocol": 1, "batch": cast.owner.cage(), "app": "0.1.0", "device_time": 0, "waiting": 7, "entries": []}
    assert phone.post("/api/push", batch, format="json").status_code == 200
    (row,) = [row for row in owner.get("/api/phones").json()["rows"] if row["name"] == "A blue phone"]
    assert (row["people"], row["waiting"], row["this"], row["unpaired_at"]) == (["Wren Aldous"], 7, False, None)
    assert row["last_seen"] is not None
    assert owner.post(f"/api/phones/{row['id']}/unpair").status_code == 200
    for path in ("/api/cages", "/api/changes", "/api/people"):
        assert phone.get(path).status_code == 401
    phone.cookies.pop("barnbook_device")  # whoever holds the phone may forget that, but not the session
    assert phone.get("/api/cages").status_code == 401
    assert phone.post("/api/push", batch, format="json").status_code == 401
    assert owner.get("/api/cages").status_code == 200


def test_what_is_another_farm_s_is_not_there(cast: Cast, signed_in: Callable[..., Any]) -> None:
    stranger = signed_in(cast.stranger)
    assert [row["name"] for row in stranger.get("/api/people").json()["rows"]] == ["Piet Overdale"]
    typed = {"name": "Mine now", "role": "helper", "active": False}
    for answer in (
        stranger.put(f"/api/people/{cast.owner.person.pk}", typed, format="json"),
        stranger.post(f"/api/people/{cast.owner.person.pk}/code", {}, format="json"),
        stranger.post(f"/api/phones/{cast.owner.device.pk}/unpair"),
    ):
        assert answer.status_code == 404
    assert Person.objects.get(pk=cast.owner.person.pk).name == "Edda Quarrie"


def test_guessing_and_signing_in_are_throttled() -> None:
    codes = [join(f"guess-{n:05}").status_code for n in range(25)]
    assert codes[:20] == [403] * 20
    assert codes[20:] == [429] * 5
    tries = [
        APIClient().post("/api/sign-in", {"name": "x", "password": "y"}, format="json").status_code for _ in range(12)
    ]
    assert tries == [401] * 10 + [429] * 2


def test_a_new_password_at_the_house_s_own_machine(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", StringIO(f"{PASSWORD}\n"))
    said = StringIO()
    call_command("password", "edda quarrie", stdout=said)
    assert said.getvalue() == "Edda Quarrie signs in with the new password from now on.\n"
    assert Person.objects.get(pk=cast.owner.person.pk).check_password(PASSWORD)
    monkeypatch.setattr("sys.stdin", StringIO("12345678\n"))
    with pytest.raises(SystemExit, match="Choose another password"):
        call_command("password", "Edda Quarrie")
    with pytest.raises(SystemExit, match="There is no Nobody in this house"):
        call_command("password", "Nobody")
