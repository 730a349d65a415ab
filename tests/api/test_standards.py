"""The standard parts, held to the standards' own words: RFC 9562 (ids), RFC 9457 (problems), RFC 9110/9111 (HTTP).

Values and wording from memory of the RFCs; where one is quoted, its section is named.
"""

from __future__ import annotations

import uuid
from datetime import UTC, datetime
from http import HTTPStatus
from typing import Any

import pytest
import uuid6
from rest_framework.test import APIClient

from barnbook.api import problems
from barnbook.journal.models import Entry
from tests.api.test_who_sees_what import api_routes
from tests.conftest import Cast

pytestmark = pytest.mark.django_db

# RFC 9562, appendix A.6: the UUIDv7 of Tuesday, February 22, 2022 2:22:22.00 PM GMT-05:00.
VECTOR = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
VECTOR_MS = 0x017F22E279B0


def test_the_test_vector_of_uuid_version_7() -> None:
    """unix_ts_ms 48 bits, version 0111, rand_a 12 bits 0xCC3, variant 10, rand_b 62 bits 0x18C4DC0C0C07398F."""
    id_ = uuid.UUID(VECTOR)
    assert datetime.fromtimestamp(VECTOR_MS / 1000, tz=UTC) == datetime(2022, 2, 22, 19, 22, 22, tzinfo=UTC)
    assert (id_.int >> 80, id_.version, id_.variant) == (VECTOR_MS, 7, uuid.RFC_4122)
    assert ((id_.int >> 64) & 0xFFF, id_.int & ((1 << 62) - 1)) == (0xCC3, 0x18C4DC0C0C07398F)


def test_the_house_takes_an_id_in_the_standard_s_text_form_and_in_no_other(cast: Cast) -> None:
    """RFC 9562, section 4: 8-4-4-4-12 hexadecimal digits; in lower case, the one form an id has here."""
    cage = cast.owner.cage()
    note = cast.owner.entry("cage_note", cage=cage, text="The standard's own id.")
    assert cast.owner.send({**note, "id": VECTOR})[0].verdict == "written"
    assert str(Entry.objects.get(kind="cage_note").pk) == VECTOR
    for other in (VECTOR.upper(), VECTOR.replace("-", ""), f"urn:uuid:{VECTOR}", f"{{{VECTOR}}}"):
        refused = cast.owner.send({**note, "id": other})[0]
        assert (refused.verdict, refused.field) == ("aside", "id")


def test_the_ids_that_the_house_makes_are_of_version_7_and_never_go_back() -> None:
    """RFC 9562, section 6.2: monotonic within one millisecond too."""
    made = [uuid6.uuid7() for _ in range(2000)]
    assert {id_.version for id_ in made} == {7}
    assert made == sorted(made)
    assert abs((made[-1].int >> 80) - datetime.now(UTC).timestamp() * 1000) < 5000


@pytest.mark.parametrize("path", ["/api/changes", "/api/changes?after=x", "/api/changes?after=-1"])
def test_a_refusal_is_a_problem(cast: Cast, signed_in: Any, path: str) -> None:
    """RFC 9457, section 3.1: type a URI reference, title and detail texts, status the number of this very answer;
    section 4.2.1: with about:blank, the title is the status's own phrase."""
    client = signed_in(cast.owner) if "?" in path else APIClient()
    answer = client.get(path)
    assert answer.status_code in (400, 401)
    assert answer["Content-Type"] == "application/problem+json"
    said = answer.json()
    assert set(said) <= {"type", "title", "status", "detail", "instance", "code", "field"}
    assert said["type"] == "about:blank"
    assert said["status"] == answer.status_code
    assert said["title"] == HTTPStatus(answer.status_code).phrase
    assert isinstance(said["detail"], str)
    assert said["detail"].endswith(".")


def test_what_is_tried_again_says_when() -> None:
    """RFC 9110, section 10.2.3: Retry-After in seconds, with 503 as with 429."""
    from django.db import OperationalError

    answer = problems.answer(OperationalError("database is locked"), {})
    assert answer is not None
    assert answer.status_code == 503
    assert int(answer.headers["Retry-After"]) > 0


@pytest.mark.parametrize("route", api_routes())
def test_what_the_house_says_is_kept_by_no_cache(cast: Cast, signed_in: Any, route: str) -> None:
    """RFC 9111, section 5.2.2.5: no-store. Refusals too: 404 and 405 may be kept unless they say otherwise (RFC 9110,
    section 15.1)."""
    for client in (signed_in(cast.owner), APIClient()):
        answer = client.get(f"/{route}?after=0")
        assert answer["Cache-Control"] == "no-store", (route, answer.status_code)
