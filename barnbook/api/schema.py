"""What the OpenAPI schema says beyond the views themselves: how one signs in, and the body of each kind of entry."""

from __future__ import annotations

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.utils import PolymorphicProxySerializer
from rest_framework import serializers

from barnbook.journal.envelope import Envelope
from barnbook.journal.kind import Kind
from barnbook.journal.kinds import KINDS


class SignedInSchema(OpenApiAuthenticationExtension):
    target_class = "barnbook.api.who_asks.SignedIn"
    name = "session"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "apiKey", "in": "cookie", "name": "barnbook_session"}


def entry_of(kind: Kind) -> type[serializers.Serializer[Any]]:
    """The serializer of a whole entry of this kind, under a name of its own in the schema."""
    name = "".join(word.capitalize() for word in kind.name.split("_"))
    body = type(f"{name}Body", (kind.body,), {})
    members = {"kind": serializers.ChoiceField(choices=[kind.name]), "body": body()}
    return type(f"{name}Entry", (Envelope,), members)


ENTRIES = PolymorphicProxySerializer(
    component_name="Entry",
    serializers={kind.name: entry_of(kind) for kind in KINDS.values()},
    resource_type_field_name="kind",
    many=True,
)
