"""Every address asked by every method, as each role, as another farm's owner, and as nobody."""

from __future__ import annotations

from typing import Any

import pytest
from rest_framework.test import APIClient

from tests.api.test_who_sees_what import NOT_HERE, OPEN, api_routes
from tests.conftest import Cast

pytestmark = pytest.mark.django_db

# What is the owner's alone.
OWNERS = {
    ("api/people", "get"),
    ("api/people", "post"),
    (f"api/people/{NOT_HERE}", "put"),
    ("api/phones", "get"),
    (f"api/phones/{NOT_HERE}/unpair", "post"),
    ("api/customers", "get"),
    (f"api/customers/{NOT_HERE}", "get"),
    (f"api/customers/{NOT_HERE}", "put"),
    (f"api/customers/{NOT_HERE}", "delete"),
    ("api/notebook", "post"),
    ("api/calendar-link", "get"),
    ("api/calendar-link", "post"),
    ("api/calendar-link", "delete"),
    (f"api/lines/{NOT_HERE}/sheet-link", "get"),
    (f"api/lines/{NOT_HERE}/sheet-link", "post"),
    (f"api/lines/{NOT_HERE}/sheet-link", "delete"),
    (f"api/shipments/{NOT_HERE}/link", "post"),
    ("api/public-address", "get"),
    ("api/public-address", "put"),
    ("api/public-address", "delete"),
}


def test_helpers_and_onlookers_are_kept_from_what_is_the_owner_s(cast: Cast, signed_in: Any) -> None:
    for route, method in OWNERS:
        for who in (cast.helper, cast.onlooker):
            answer = getattr(signed_in(who), method)(f"/{route}", {}, format="json")
            assert (answer.status_code, answer.json()["code"]) == (403, "not_allowed"), (route, method)
        assert getattr(signed_in(cast.owner), method)(f"/{route}", {}, format="json").status_code != 403, (
            route,
            method,
        )


def test_no_address_fails_whoever_asks_by_whatever_method(cast: Cast, signed_in: Any) -> None:
    people = [APIClient(), *(signed_in(who) for who in (cast.owner, cast.helper, cast.onlooker, cast.stranger))]
    for route in api_routes():
        for client in people:
            for method in ("get", "post", "put", "patch", "delete"):
                answer = getattr(client, method)(f"/{route}", {}, format="json")
                assert answer.status_code < 500, (route, method)
                if client is people[0] and route not in OPEN:
                    assert answer.status_code in (401, 405), (route, method)
