"""What the OpenAPI schema says of signing in; it is made from the views themselves."""

from __future__ import annotations

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension


class SignedInSchema(OpenApiAuthenticationExtension):
    target_class = "barnbook.api.who_asks.SignedIn"
    name = "session"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "apiKey", "in": "cookie", "name": "barnbook_session"}
