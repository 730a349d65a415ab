"""The OpenAPI schema says what the wire does: schemathesis tries it with good and hostile requests."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from hypothesis import HealthCheck, Phase, settings
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


@pytest.mark.django_db
@schema.exclude(path_regex="sign-in|begin").parametrize()
@settings(
    max_examples=25, deadline=None, phases=[Phase.explicit, Phase.generate], suppress_health_check=list(HealthCheck)
)
def test_no_request_breaks_the_house_or_the_schema(case: Any, cast: Cast, signed_in: Any) -> None:
    client = signed_in(cast.owner)
    csrf = client.get("/api/house").json()["csrf"]
    cookies = {name: morsel.value for name, morsel in client.cookies.items()}
    with one_connection():
        case.call_and_validate(
            cookies=cookies,
            headers={"X-CSRFToken": csrf},
            checks=[not_a_server_error, response_schema_conformance, content_type_conformance],
        )
