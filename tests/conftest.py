"""The cast: an owner, a helper, an onlooker, and a stranger who must see nothing; and how they write."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import pytest

from tests.scribe import Scribe


@dataclass
class Cast:
    """Everybody, and the scribes by whose hand they write. `stranger` owns another farm."""

    owner: Scribe
    helper: Scribe
    onlooker: Scribe
    stranger: Scribe


@pytest.fixture
def cast(db: Any) -> Cast:
    from tests.barn.factories import a_farm, a_person

    farm = a_farm(name="Three Alders")
    elsewhere = a_farm(name="Nether Fold")
    return Cast(
        owner=Scribe(a_person(farm=farm, name="Edda Quarrie", role="owner")),
        helper=Scribe(a_person(farm=farm, name="Jonah Quarrie", role="helper")),
        onlooker=Scribe(a_person(farm=farm, name="Mae Tolliver", role="onlooker")),
        stranger=Scribe(a_person(farm=elsewhere, name="Piet Overdale", role="owner")),
    )


@pytest.fixture
def noon() -> datetime:
    """The house's time in tests that need one."""
    return datetime(2026, 7, 15, 12, 0, tzinfo=UTC)


@pytest.fixture
def signed_in() -> Callable[..., Any]:
    """A DRF client signed in as a scribe's person, on a device of its own."""
    from django.core import signing
    from rest_framework.test import APIClient

    from barnbook.api.devices import COOKIE, SALT

    def make(scribe: Scribe, **kwargs: Any) -> APIClient:
        client = APIClient(**kwargs)
        client.force_login(scribe.person)
        client.cookies[COOKIE] = signing.dumps(str(scribe.device.pk), salt=SALT)
        return client

    return make
