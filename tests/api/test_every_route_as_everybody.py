"""Every address asked by every method, as each role, as another farm's owner, and as nobody."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.core.cache import cache
from django.urls import URLPattern, get_resolver
from rest_framework.test import APIClient

from tests.api.test_who_sees_what import NOT_HERE, OPEN, api_routes
from tests.conftest import Cast
from tests.scribe import new_id

pytestmark = pytest.mark.django_db

METHODS = ("get", "post", "put", "patch", "delete")
STRANGERS = "whoever has no account"
ALL = "whoever is signed in, of their own farm"
OWNERS_ALONE = "owners, of their own farm"

# Every address of the house and who may do what there. A new one is written down here, or the first test fails.
WHO: dict[str, dict[str, str]] = {
    "": {"get": STRANGERS},
    r"^(?!api/|assets/|static/).*$": {"get": STRANGERS},
    "api/back-ups": {"get": OWNERS_ALONE, "post": OWNERS_ALONE},
    "api/begin": {"post": STRANGERS},
    "api/begin/progress": {"get": STRANGERS},
    "api/birds": {"get": ALL},
    "api/book-csv.zip": {"get": ALL},
    "api/book.xlsx": {"get": ALL},
    "api/broods": {"get": ALL},
    "api/cages": {"get": ALL},
    "api/calendar-link": {"get": OWNERS_ALONE, "post": OWNERS_ALONE, "delete": OWNERS_ALONE},
    "api/changes": {"get": ALL},
    "api/customers": {"get": OWNERS_ALONE},
    "api/customers/<uuid:customer>": {"get": OWNERS_ALONE, "put": OWNERS_ALONE, "delete": OWNERS_ALONE},
    "api/due.ics": {"get": ALL},
    "api/egg-store": {"get": ALL},
    "api/entries": {"get": ALL},
    "api/figures": {"get": ALL},
    "api/health": {"get": OWNERS_ALONE},
    "api/house": {"get": STRANGERS},
    "api/join": {"get": STRANGERS, "post": STRANGERS},
    "api/lines": {"get": ALL},
    "api/lines/<uuid:line>/sheet-link": {"get": OWNERS_ALONE, "post": OWNERS_ALONE, "delete": OWNERS_ALONE},
    "api/lines/<uuid:line>/sheet.<str:form>": {"get": ALL},
    "api/notebook": {"post": OWNERS_ALONE},
    "api/orders": {"get": ALL},
    "api/people": {"get": OWNERS_ALONE, "post": OWNERS_ALONE},
    "api/people/<uuid:person>": {"put": OWNERS_ALONE},
    "api/people/<uuid:person>/code": {"post": ALL},  # for oneself; an owner for anybody
    "api/phone-address": {"get": ALL},
    "api/phones": {"get": OWNERS_ALONE},
    "api/phones/<uuid:phone>/unpair": {"post": OWNERS_ALONE},
    "api/public-address": {"get": OWNERS_ALONE, "put": OWNERS_ALONE, "delete": OWNERS_ALONE},
    "api/push": {"post": ALL},  # what an onlooker writes is set aside, entry by entry
    "api/schema": {"get": STRANGERS},
    "api/settings": {"get": ALL},
    "api/shipments": {"get": ALL},
    "api/shipments/<uuid:shipment>/link": {"post": OWNERS_ALONE},
    "api/shipments/<uuid:shipment>/remark": {"get": OWNERS_ALONE, "delete": OWNERS_ALONE},
    "api/sign-in": {"post": STRANGERS},
    "api/sign-out": {"post": STRANGERS},
    "api/trays": {"get": ALL},
    "api/weighings": {"get": ALL},
    "api/withdrawals": {"get": ALL},
    "calendar/<str:token>.ics": {"get": STRANGERS},
    "report/<str:secret>": {"get": STRANGERS, "post": STRANGERS},
    "report/look.css": {"get": STRANGERS},
    "sheet/<str:token>": {"get": STRANGERS},
    "sheet/<str:token>/sheet.<str:form>": {"get": STRANGERS},
    "sheet/schema.json": {"get": STRANGERS},
}


@pytest.fixture(autouse=True)
def _no_one_tried_before() -> None:
    cache.clear()


def patterns() -> list[URLPattern]:
    found = [each for each in get_resolver().url_patterns if isinstance(each, URLPattern)]
    assert len(found) == len(get_resolver().url_patterns), "a part's routes came in by another way: walk them, too"
    return found


def test_every_address_and_method_is_written_down() -> None:
    found: dict[str, set[str]] = {}
    for pattern in patterns():
        view = getattr(pattern.callback, "cls", None)
        named = found.setdefault(str(pattern.pattern), set())
        named |= {m for m in METHODS if hasattr(view, m)} if view else set(WHO.get(str(pattern.pattern), {"?": ""}))
    assert found == {route: set(methods) for route, methods in WHO.items()}


def asked(client: APIClient, route: str, method: str) -> Any:
    return getattr(client, method)(f"/{route}", {}, format="json")


def cases(who: str) -> list[tuple[str, str]]:
    """Addresses of the wire, with ids of nothing, and methods."""
    found = [(route, method) for route, methods in WHO.items() for method, may in methods.items() if may == who]
    return [(re.sub(r"<str:form>", "json", re.sub(r"<uuid:\w+>", NOT_HERE, route)), method) for route, method in found]


@pytest.mark.parametrize(("route", "method"), cases(OWNERS_ALONE))
def test_what_is_the_owner_s_is_the_owner_s(cast: Cast, signed_in: Any, route: str, method: str) -> None:
    assert asked(APIClient(), route, method).status_code == 401
    for who in (cast.helper, cast.onlooker):
        answer = asked(signed_in(who), route, method)
        assert (answer.status_code, answer.json()["code"]) == (403, "not_allowed")
    assert asked(signed_in(cast.owner), route, method).status_code not in (401, 403)


@pytest.mark.parametrize(("route", "method"), cases(ALL))
def test_what_is_everybody_s_is_everybody_s_who_is_signed_in(
    cast: Cast, signed_in: Any, route: str, method: str
) -> None:
    assert asked(APIClient(), route, method).status_code == 401
    for who in (cast.owner, cast.helper, cast.onlooker):
        own = route.replace(NOT_HERE, str(who.person.pk)) if route.startswith("api/people/") else route
        assert asked(signed_in(who), own, method).status_code not in (401, 403)
        if own != route and who is not cast.owner:
            others = route.replace(NOT_HERE, str(cast.owner.person.pk))
            assert asked(signed_in(who), others, method).status_code == 403


def test_strangers_get_the_door_and_nothing_of_a_farm(cast: Cast, signed_in: Any) -> None:
    cast.owner.write("cage_note", cage=cast.owner.cage("OURS"), text="a note of this farm")
    for route, method in cases(STRANGERS):
        path = "somewhere" if route.startswith("^") else re.sub(r"<str:\w+>", "none-such", route)
        answer = asked(APIClient(), path, method)
        content = b"".join(answer.streaming_content) if answer.streaming else answer.content
        for word in ("OURS", "of this farm", "Three Alders", "Edda"):
            assert word not in content.decode(errors="replace"), (route, method)
        if "<str:" in route:
            assert answer.status_code == 404, (route, method)


@pytest.fixture
def ours(cast: Cast) -> dict[str, str]:
    """Something of this farm for whatever an address may name."""
    line, shipment, customer = cast.owner.line("A line of this farm"), new_id(), new_id()
    eggs = [{"order": None, "line": line, "laid_on": None, "eggs": 2}]
    body = {"shipment": shipment, "code": "P-1", "customer": customer, "eggs": eggs, "packing": "", "note": ""}
    cast.owner.write("packed", **body, boxes=None, box_holds=None)
    return {
        "line": line,
        "shipment": shipment,
        "customer": customer,
        "person": str(cast.helper.person.pk),
        "phone": str(cast.helper.device.pk),
    }


def of_farm(farm: Any) -> dict[str, list[Any]]:
    """Every row of every table that belongs to the farm."""
    return {
        model.__name__: sorted(map(str, model._default_manager.filter(farm=farm).values_list()))
        for model in apps.get_models()
        if any(field.name == "farm" for field in model._meta.fields)
    }


def test_another_farm_s_owner_neither_reads_nor_changes_what_is_ours(
    cast: Cast, signed_in: Callable[..., Any], ours: dict[str, str], settings: Any, tmp_path: Path
) -> None:
    settings.DATA = tmp_path
    typed = {"name": "Orla Fenwick", "contact": "by the mill", "remarks": ""}
    customer = f"/api/customers/{ours['customer']}"
    assert signed_in(cast.owner).put(customer, typed, format="json").status_code in (200, 201)
    stranger, before = signed_in(cast.stranger), of_farm(cast.owner.farm)
    assert set(ours) == {name for route in WHO for name in re.findall(r"<uuid:(\w+)>", route)}
    typed |= {"role": "helper", "active": False}
    for route, methods in WHO.items():
        if "<uuid:" not in route:
            continue
        path = re.sub(r"<uuid:(\w+)>", lambda named: ours[named[1]], route).replace("<str:form>", "json")
        for method in methods:
            answer = getattr(stranger, method)(f"/{path}", typed, format="json")
            assert "mill" not in answer.content.decode(), (route, method)
            # Turning off what is not there, and erasing it, is done at once and does nothing.
            assert answer.status_code in (404, 409, 410) or method == "delete", (route, method, answer.status_code)
    assert of_farm(cast.owner.farm) == before


def test_no_address_fails_whoever_asks_by_whatever_method(cast: Cast, signed_in: Any) -> None:
    people = [APIClient(), *(signed_in(who) for who in (cast.owner, cast.helper, cast.onlooker, cast.stranger))]
    for route in api_routes():
        for client in people:
            for method in METHODS:
                answer = getattr(client, method)(f"/{route}", {}, format="json")
                assert answer.status_code < 500, (route, method)
                if client is people[0] and route not in OPEN:
                    assert answer.status_code in (401, 405), (route, method)
