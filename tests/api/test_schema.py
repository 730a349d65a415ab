"""The OpenAPI schema says what the wire does: schemathesis tries it with good and hostile requests."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
import schemathesis
from django.core.cache import cache
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from django.urls import get_resolver
from hypothesis import HealthCheck, Phase, settings
from rest_framework.test import APIClient
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import content_type_conformance, response_schema_conformance

from barnbook.site.wsgi import application
from tests.conftest import Cast

schema = schemathesis.openapi.from_wsgi("/api/schema", application)


@contextmanager
def one_connection() -> Iterator[None]:
    """Keep the test's own connection open between requests, as Django's test client does."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    try:
        yield
    finally:
        for signal in (request_started, request_finished):
            signal.connect(close_old_connections)


def examples(number: int) -> settings:
    phases = [Phase.explicit, Phase.generate]
    return settings(max_examples=number, deadline=None, phases=phases, suppress_health_check=list(HealthCheck))


def test_every_address_of_the_wire_is_in_the_schema() -> None:
    """So each is tried below. The pages for strangers (sheet, report, calendar) have no schema, and their own tests."""
    described = {re.sub(r"{\w+}", "*", path).strip("/") for path in schema.raw_schema["paths"]}
    routes = {re.sub(r"<\w+:\w+>", "*", str(each.pattern)) for each in get_resolver().url_patterns}
    assert {route for route in routes if route.startswith("api/")} - described == {"api/schema"}


CHECKS = [not_a_server_error, response_schema_conformance, content_type_conformance]


@pytest.mark.django_db
@schema.include(path_regex="sign-in|begin|join").parametrize()
@examples(25)
def test_nor_does_whoever_stands_at_the_door(case: Any) -> None:
    """Those that come in, by whom nobody knows yet: with a token for forms, as the app has it."""
    client = APIClient()
    csrf = client.get("/api/house").json()["csrf"]
    cookies = {name: morsel.value for name, morsel in client.cookies.items()}
    cache.clear()  # else all but the first few are only told that they knock too often
    with one_connection():
        case.call_and_validate(cookies=cookies, headers={"X-CSRFToken": csrf}, checks=CHECKS)


@pytest.mark.django_db
@schema.parametrize()
@examples(3)
def test_nor_does_nobody(case: Any) -> None:
    """Without a cookie and without a token."""
    cache.clear()
    with one_connection():
        case.call_and_validate(checks=CHECKS)


@pytest.mark.django_db
@schema.exclude(path_regex="sign-in|begin").parametrize()
@examples(25)
def test_no_request_breaks_the_house_or_the_schema(case: Any, cast: Cast, signed_in: Any) -> None:
    client = signed_in(cast.owner)
    csrf = client.get("/api/house").json()["csrf"]
    cookies = {name: morsel.value for name, morsel in client.cookies.items()}
    with one_connection():
        case.call_and_validate(cookies=cookies, headers={"X-CSRFToken": csrf}, checks=CHECKS)
