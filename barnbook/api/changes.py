"""`GET /api/changes`: what changed in the book after a place."""

from __future__ import annotations

import time
from datetime import UTC, datetime
from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from barnbook.api.problems import Problem, problems
from barnbook.api.version import PROTOCOL
from barnbook.barn.models import House, Person, Role
from barnbook.journal.changes import TABLES, changes_after

MOST_ROWS = 2000


class ChangedRow(serializers.Serializer[Any]):
    table = serializers.ChoiceField(choices=sorted(TABLES))
    id = serializers.CharField()
    row = serializers.DictField(allow_null=True)


class ChangesAnswer(serializers.Serializer[Any]):
    protocol = serializers.IntegerField()
    house = serializers.UUIDField()
    book = serializers.UUIDField()
    house_time = serializers.IntegerField()
    rows = ChangedRow(many=True)
    next = serializers.IntegerField()
    more = serializers.BooleanField()


# What was set aside is in no book yet: it is for those who write. A change of role reads from the beginning.
NOT_FOR_ONLOOKERS = ("aside",)


def whole_number(request: Request, name: str, *, default: int, most: int) -> int:
    """A whole number from the address, refused with a sentence when it is none."""
    text = request.query_params.get(name, str(default))
    # Python reads no number of more than 4,300 digits.
    if not (text.isascii() and text.isdigit()) or len(text) > len(str(most)) or int(text) > most:
        raise Problem(400, "wrong_field", f"'{name}' must be a whole number from 0 to {most}.", field=name)
    return int(text)


class ChangesView(APIView):
    @extend_schema(
        operation_id="changes",
        parameters=[
            OpenApiParameter("after", int, description="the place up to which this phone has read"),
            OpenApiParameter("limit", int, description=f"at most so many rows, 1 to {MOST_ROWS}"),
        ],
        responses={200: ChangesAnswer, **problems(400, 401, 403)},
    )
    def get(self, request: Request) -> Response:
        person = request.user
        assert isinstance(person, Person)
        after = whole_number(request, "after", default=0, most=2**53 - 1)
        limit = max(1, whole_number(request, "limit", default=500, most=MOST_ROWS))
        today = datetime.now(UTC).astimezone(person.farm.tz).date()
        without = NOT_FOR_ONLOOKERS if person.role == Role.ONLOOKER else ()
        found = changes_after(person.farm_id, after=after, limit=limit, today=today, without=without)
        house = House.here()
        return Response(
            {
                "protocol": PROTOCOL,
                "house": str(house.house),
                "book": str(house.book),
                "house_time": int(time.time() * 1000),
                "rows": found.rows,
                "next": found.next,
                "more": found.more,
            },
            headers={"Cache-Control": "no-store"},
        )
