"""Read-only resources: lines, cages, broods, birds, entries, figures; always the asker's own farm's."""

from __future__ import annotations

import uuid
from datetime import date
from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from barnbook.api.changes import whole_number
from barnbook.api.problems import Problem, problems
from barnbook.barn.models import (
    Bird,
    BirdWeighing,
    Brood,
    Cage,
    EggStore,
    Figure,
    Line,
    Order,
    Person,
    Setting,
    Shipment,
    Tray,
    Withdrawal,
)
from barnbook.journal.models import Entry, Naming

PAGE = 200


class Page(serializers.Serializer[Any]):
    rows = serializers.ListField(child=serializers.DictField())
    next = serializers.IntegerField(allow_null=True, help_text="ask again with ?after=; null at the end")


def page_of(request: Request, rows: QuerySet[Any]) -> Response:
    """One page of the rows: `after` of them skipped, at most `limit`."""
    after = whole_number(request, "after", default=0, most=10**9)
    limit = max(1, whole_number(request, "limit", default=PAGE, most=1000))
    found = list(rows[after : after + limit + 1])
    return Response(
        {
            "rows": [each.row() for each in found[:limit]],
            "next": after + limit if len(found) > limit else None,
        }
    )


PAGED = [OpenApiParameter("after", int), OpenApiParameter("limit", int)]
ANSWERS = {200: Page, **problems(400, 401, 403)}


def listed(name: str, rows: Any) -> type[APIView]:
    """A read-only list of one table, in an order that stays."""

    class Listed(APIView):
        @extend_schema(operation_id=name, parameters=PAGED, responses=ANSWERS)
        def get(self, request: Request) -> Response:
            assert isinstance(request.user, Person)
            return page_of(request, rows(request.user.farm_id))

    Listed.__name__ = Listed.__qualname__ = f"{name.capitalize()}View"
    return Listed


LinesView = listed("lines", lambda farm: Line.objects.of(farm).order_by("name", "id"))
CagesView = listed("cages", lambda farm: Cage.objects.of(farm).order_by("place", "code", "id"))
BroodsView = listed("broods", lambda farm: Brood.objects.of(farm).order_by("-hatched_on", "id"))
BirdsView = listed("birds", lambda farm: Bird.objects.of(farm).order_by("brood", "number", "id"))
SettingsView = listed("settings", lambda farm: Setting.objects.of(farm).order_by("-set_on", "id"))
WithdrawalsView = listed("withdrawals", lambda farm: Withdrawal.objects.of(farm).order_by("-first_day", "id"))

OrdersView = listed("orders", lambda farm: Order.objects.of(farm).order_by("-taken_on", "id"))
ShipmentsView = listed("shipments", lambda farm: Shipment.objects.of(farm).order_by("-packed_on", "id"))
EggStoreView = listed("egg_store", lambda farm: EggStore.objects.of(farm).order_by("-laid_on", "line"))


def id_asked(request: Request, name: str) -> uuid.UUID | None:
    """An id from the address; refused with a sentence when it is none."""
    text = request.query_params.get(name)
    if not text:
        return None
    try:
        return uuid.UUID(text)
    except ValueError:
        raise Problem(400, "wrong_field", f"'{name}' must be an id (a UUID in text).", field=name) from None


class TraysView(APIView):
    @extend_schema(operation_id="trays", parameters=[*PAGED, OpenApiParameter("setting", str)], responses=ANSWERS)
    def get(self, request: Request) -> Response:
        assert isinstance(request.user, Person)
        rows = Tray.objects.of(request.user.farm_id).order_by("setting", "place", "id")
        if setting := id_asked(request, "setting"):
            rows = rows.filter(setting=setting)
        return page_of(request, rows)


class WeighingsView(APIView):
    """What birds weighed, by day: of one bird, of a brood, or of all."""

    @extend_schema(
        operation_id="weighings",
        parameters=[*PAGED, OpenApiParameter("bird", str), OpenApiParameter("brood", str)],
        responses=ANSWERS,
    )
    def get(self, request: Request) -> Response:
        assert isinstance(request.user, Person)
        rows = BirdWeighing.objects.of(request.user.farm_id).order_by("day", "entry")
        for name in ("bird", "brood"):
            if id_ := id_asked(request, name):
                rows = rows.filter(**{name: id_})
        return page_of(request, rows)


class FiguresView(APIView):
    @extend_schema(operation_id="figures", parameters=[*PAGED, OpenApiParameter("subject", str)], responses=ANSWERS)
    def get(self, request: Request) -> Response:
        assert isinstance(request.user, Person)
        rows = Figure.objects.of(request.user.farm_id).order_by("subject", "name", "span")
        if subject := request.query_params.get("subject"):
            rows = rows.filter(subject=subject.replace("\x00", ""))
        return page_of(request, rows)


class EntriesView(APIView):
    """Entries, newest first: of everything, or of those that name a subject; before a day, if asked."""

    @extend_schema(
        operation_id="entries",
        parameters=[*PAGED, OpenApiParameter("subject", str), OpenApiParameter("before", date)],
        responses=ANSWERS,
    )
    def get(self, request: Request) -> Response:
        assert isinstance(request.user, Person)
        farm = request.user.farm_id
        rows = Entry.objects.of(farm).order_by("-day", "-stamp", "-id")
        if subject := request.query_params.get("subject"):
            naming = Naming.objects.of(farm).filter(subject__in=_also(subject.replace("\x00", "")))
            rows = rows.filter(pk__in=naming.values("entry"))
        if before := request.query_params.get("before"):
            try:
                rows = rows.filter(day__lt=date.fromisoformat(before))
            except ValueError:
                raise Problem(
                    400, "wrong_field", "'before' must be a day such as 2026-03-14.", field="before"
                ) from None
        return page_of(request, rows)


def _also(subject: str) -> list[str]:
    """A cage's entries are those that name it, and those that changed its heads."""
    name, _, id_ = subject.partition("/")
    return [subject, f"heads/{id_}"] if name == "cage" else [subject]
