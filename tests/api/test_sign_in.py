"""Signing in, on a device that the house will know again."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.cache import cache
from rest_framework.test import APIClient

from barnbook.api.sign_in import one_of_few
from barnbook.barn.models import Device, DevicePerson
from tests.conftest import Cast

pytestmark = pytest.mark.django_db
PASSWORD = "quail-in-the-reeds"


@pytest.fixture(autouse=True)
def _nobody_tried_yet() -> None:
    cache.clear()


def sign_in(client: APIClient, name: str, password: str = PASSWORD) -> Any:
    csrf = client.get("/api/house").json()["csrf"]
    asked = {"name": name, "password": password, "device_name": "barn phone"}
    return client.post("/api/sign-in", asked, format="json", HTTP_X_CSRFTOKEN=csrf)


def test_a_phone_signs_in_and_the_house_knows_it_again(cast: Cast) -> None:
    client = APIClient(enforce_csrf_checks=True)
    said = sign_in(client, "edda quarrie").json()
    assert said["me"]["name"] == "Edda Quarrie"
    assert said["me"]["farm"]["name"] == "Three Alders"
    assert client.get("/api/house").json()["me"]["device"] == said["me"]["device"]
    assert client.cookies["barnbook_session"]["httponly"]
    assert client.cookies["barnbook_device"]["httponly"]
    again = sign_in(client, "Jonah Quarrie").json()
    assert again["me"]["device"] == said["me"]["device"], "one phone, two people"
    assert DevicePerson.objects.filter(device_id=said["me"]["device"]).count() == 2
    assert Device.objects.get(pk=said["me"]["device"]).name == "barn phone"


def test_a_wrong_password_is_one_sentence(cast: Cast) -> None:
    answer = sign_in(APIClient(enforce_csrf_checks=True), "Edda Quarrie", "guess")
    assert (answer.status_code, answer.json()["code"]) == (401, "wrong_name_or_password")


def test_guessing_is_slowed_down(cast: Cast) -> None:
    client = APIClient(enforce_csrf_checks=True)
    statuses = [sign_in(client, "Edda Quarrie", f"guess {n}").status_code for n in range(12)]
    assert statuses.count(401) == 10
    last = sign_in(client, "Edda Quarrie")
    assert (last.status_code, last.json()["code"]) == (429, "too_often")
    assert int(last["Retry-After"]) > 0


def test_a_guesser_who_claims_another_address_each_time_is_slowed_down_too(cast: Cast) -> None:
    client = APIClient(enforce_csrf_checks=True)
    csrf = client.get("/api/house").json()["csrf"]
    asked = {"name": "Edda Quarrie", "password": "a guess", "device_name": ""}
    statuses = [
        client.post(
            "/api/sign-in", asked, format="json", HTTP_X_CSRFTOKEN=csrf, HTTP_X_FORWARDED_FOR=f"10.0.0.{n}"
        ).status_code
        for n in range(12)
    ]
    assert statuses == [401] * 10 + [429] * 2


def test_a_guesser_with_all_the_addresses_of_an_ipv6_network_is_slowed_down_too(cast: Cast) -> None:
    client = APIClient(enforce_csrf_checks=True)
    csrf = client.get("/api/house").json()["csrf"]
    asked = {"name": "Edda Quarrie", "password": "a guess", "device_name": ""}
    statuses = [
        client.post(
            "/api/sign-in", asked, format="json", HTTP_X_CSRFTOKEN=csrf, REMOTE_ADDR=f"2001:db8:1:2::{n:x}"
        ).status_code
        for n in range(1, 13)
    ]
    assert statuses == [401] * 10 + [429] * 2


def test_signing_out_forgets_the_person_and_not_the_device(cast: Cast) -> None:
    client = APIClient(enforce_csrf_checks=True)
    said = sign_in(client, "Edda Quarrie").json()
    out = client.post("/api/sign-out", {}, format="json", HTTP_X_CSRFTOKEN=said["csrf"])
    assert out.status_code == 200
    assert out.json()["me"] is None
    assert client.get("/api/changes").status_code == 401
    assert "barnbook_device" in client.cookies


def test_so_many_sign_ins_cannot_starve_the_house(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("barnbook.api.sign_in.LONGEST_WAIT_S", 0.01)
    with one_of_few(), one_of_few():
        answer = sign_in(APIClient(enforce_csrf_checks=True), "Edda Quarrie")
    assert (answer.status_code, answer.json()["code"]) == (503, "busy")
    assert "Retry-After" in answer
    assert sign_in(APIClient(enforce_csrf_checks=True), "Edda Quarrie").status_code == 200


def test_the_same_browser_keeps_its_device_at_each_farm(cast: Cast) -> None:
    """Looking at the example farm and coming back is no new phone: its entries and its places go on."""
    client = APIClient(enforce_csrf_checks=True)
    first = sign_in(client, "Edda Quarrie").json()["me"]["device"]
    cast.stranger.person.set_password(PASSWORD)
    cast.stranger.person.save()
    elsewhere = sign_in(client, cast.stranger.person.name).json()["me"]["device"]
    assert elsewhere != first
    assert sign_in(client, "Edda Quarrie").json()["me"]["device"] == first
    assert sign_in(client, cast.stranger.person.name).json()["me"]["device"] == elsewhere
