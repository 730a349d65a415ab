"""The OpenAPI schema says what the wire does: schemathesis tries it with good and hostile requests."""

from __future__ import annotations

from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import content_type_conformance, response_schema_conformance

from barnbook.site.wsgi import application
from tests.conftest import Cast

schema = schemathesis.openapi.from_wsgi("/api/schema", application)


@pytest.mark.django_db
@schema.exclude(path_regex="sign-in|begin").parametrize()
@settings(
    max_examples=25,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
def test_no_request_breaks_the_house_or_the_schema(case: Any, cast: Cast, signed_in: Any) -> None:
    client = signed_in(cast.owner)
    cookies = {name: morsel.value for name, morsel in client.cookies.items()}
    csrf = client.get("/api/house").json()["csrf"]
    cookies["barnbook_csrf"] = client.cookies["barnbook_csrf"].value
    case.call_and_validate(
        cookies=cookies,
        headers={"X-CSRFToken": csrf},
        checks=[not_a_server_error, response_schema_conformance, content_type_conformance],
    )
