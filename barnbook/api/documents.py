"""What leaves the book as a file: all of it as a spreadsheet, and what is due as a calendar."""

from __future__ import annotations

import secrets
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseNotFound
from django.views.decorators.http import require_GET
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from barnbook.api.problems import Problem, problems
from barnbook.api.public_address import NoPublicAddressError, public_address
from barnbook.api.strangers import Door, Knocks
from barnbook.api.who_asks import OwnerOfAFarm
from barnbook.barn.models import CalendarLink, Farm, Person, Role
from barnbook.barn.rights import turn_off
from barnbook.sheets.calendar import calendar_of
from barnbook.sheets.take_out import as_csv_zip, as_workbook, sheets_of

IN_MEMORY = 8 * 1024 * 1024
TOKEN_BYTES = 24
KNOCKS = Knocks(most=60, of_all=600, seconds=60)
DOOR = Door(2)
NO_STORE = {"Cache-Control": "no-store"}
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def whole_book(name: str, content_type: str, ending: str, write: Callable[[Any, Any], None]) -> type[APIView]:
    """A view that gives the asker's own farm's book in one form."""

    class WholeBook(APIView):
        @extend_schema(
            operation_id=name,
            parameters=[OpenApiParameter("customers", str, enum=["yes"], description="with them; owners alone")],
            responses={(200, content_type): OpenApiTypes.BINARY, **problems(401, 403)},
        )
        def get(self, request: Request) -> FileResponse:
            asker = request.user
            assert isinstance(asker, Person)
            customers = request.query_params.get("customers") == "yes"
            if customers and asker.role != Role.OWNER:
                raise Problem(403, "not_allowed", "Only an owner takes customers out. Ask the owner.")
            file = tempfile.SpooledTemporaryFile(max_size=IN_MEMORY)  # noqa: SIM115  (the answer closes it)
            write(sheets_of(asker.farm, role=asker.role, customers=customers), file)
            file.seek(0)
            today = datetime.now(UTC).astimezone(asker.farm.tz).date()
            answer = FileResponse(file, as_attachment=True, filename=f"barnbook-{today}{ending}")
            answer["Content-Type"] = content_type
            answer["Cache-Control"] = "no-store"
            return answer

    WholeBook.__name__ = WholeBook.__qualname__ = f"{name.title().replace('_', '')}View"
    return WholeBook


WorkbookView = whole_book("book_xlsx", XLSX, ".xlsx", as_workbook)
CsvView = whole_book("book_csv", "application/zip", "-csv.zip", as_csv_zip)


class CalendarView(APIView):
    @extend_schema(operation_id="due_ics", responses={(200, "text/calendar"): OpenApiTypes.STR, **problems(401, 403)})
    def get(self, request: Request) -> HttpResponse:
        assert isinstance(request.user, Person)
        return _calendar(request.user.farm)


def _calendar(farm: Farm) -> HttpResponse:
    answer = HttpResponse(calendar_of(farm, now=datetime.now(UTC)), content_type="text/calendar; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="barnbook-due.ics"'
    answer["Cache-Control"] = "no-store"
    return answer


class CalendarLinkShown(serializers.Serializer[Any]):
    url = serializers.CharField(allow_null=True, help_text="null: it is off")
    why_not = serializers.CharField(help_text="why no address can be given here; empty where one can")


class CalendarLinkView(APIView):
    """The owner's switch: whether a calendar program may read what is due at a secret address."""

    permission_classes: list[type[BasePermission]] = [OwnerOfAFarm]

    @extend_schema(operation_id="calendar_link", responses={200: CalendarLinkShown, **problems(401, 403)})
    def get(self, request: Request) -> Response:
        assert isinstance(request.user, Person)
        link = CalendarLink.objects.filter(farm_id=request.user.farm_id).first()
        try:
            return _link_shown(public_address(), link)
        except NoPublicAddressError as error:
            return Response({"url": None, "why_not": str(error)}, headers=NO_STORE)

    @extend_schema(
        operation_id="calendar_link_on", request=None, responses={201: CalendarLinkShown, **problems(401, 403, 409)}
    )
    def post(self, request: Request) -> Response:
        assert isinstance(request.user, Person)
        try:
            address = public_address()
        except NoPublicAddressError as error:
            raise Problem(409, "no_public_address", str(error)) from None
        made = {"token": secrets.token_urlsafe(TOKEN_BYTES), "made_at": datetime.now(UTC)}
        link, _ = CalendarLink.objects.get_or_create(farm_id=request.user.farm_id, defaults=made)
        return _link_shown(address, link, status=201)

    @extend_schema(operation_id="calendar_link_off", request=None, responses={204: None, **problems(401, 403)})
    def delete(self, request: Request) -> Response:
        assert isinstance(request.user, Person)
        turn_off(CalendarLink.objects.filter(farm_id=request.user.farm_id))
        return Response(status=204)


def _link_shown(address: str, link: CalendarLink | None, status: int = 200) -> Response:
    url = f"{address}/calendar/{link.token}.ics" if link else None
    return Response({"url": url, "why_not": ""}, status=status, headers=NO_STORE)


@require_GET
def public_calendar(request: HttpRequest, token: str) -> HttpResponse:
    """What is due, for a calendar program that has the address. One that is off is like one that never was."""
    wait_s = KNOCKS.wait_s(request.META.get("REMOTE_ADDR", ""))
    if wait_s:
        return HttpResponse(
            "Too many at once. Try again in a minute.", status=429, headers={"Retry-After": str(wait_s)}
        )
    with DOOR.inside() as got:
        if not got:
            return HttpResponse("The house is busy. Try again in a moment.", status=503, headers={"Retry-After": "2"})
        link = CalendarLink.objects.filter(token=token).select_related("farm").first()
        if link is None:
            return HttpResponseNotFound("There is no calendar at this address, or it was turned off.")
        return _calendar(link.farm)
