"""The line sheet: to those of the farm as JSON, CSV or a page by itself; to strangers by the owner's link.

Reading it costs two queries and computes nothing: the sheet is a row (barnbook.work.line_sheet).
"""

from __future__ import annotations

import json
import re
import secrets
import uuid
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseNotFound, JsonResponse
from django.views.decorators.http import require_GET
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from barnbook.api.problems import Problem, problems
from barnbook.api.public_address import NoPublicAddressError, public_address
from barnbook.api.strangers import Door, Knocks
from barnbook.api.who_asks import OwnerOfAFarm
from barnbook.barn.models import Farm, FigureTable, Line, Person, SheetLink
from barnbook.barn.rights import turn_off
from barnbook.sheets import line_sheet

TOKEN_BYTES = 24
FORMS = ("json", "csv", "html")
CAUTION = "Selling or sending eggs and live birds is under local rules; ask a veterinarian where health is in question."
KNOCKS = Knocks(most=60, of_all=600, seconds=60)
DOOR = Door(2)
NO_STORE = {"Cache-Control": "no-store"}


def _body(farm: uuid.UUID, line: uuid.UUID) -> Mapping[str, Any] | None:
    row = FigureTable.objects.of(farm).filter(subject=f"sheet/{line}").first()
    return None if row is None else row.body


def _answer(farm: Farm, body: Mapping[str, Any], form: str, *, to_save: bool) -> HttpResponse:
    answer: HttpResponse
    if form == "json":
        answer = JsonResponse(line_sheet.as_json(body, farm=farm.name), json_dumps_params={"ensure_ascii": False})
    elif form == "csv":
        answer = HttpResponse("\ufeff" + line_sheet.as_csv(body), content_type="text/csv; charset=utf-8")
    else:
        page = line_sheet.as_html(body, farm=farm.name, weight_unit=farm.weight_unit, caution=CAUTION)
        answer = HttpResponse(page, content_type="text/html; charset=utf-8")
        answer["Content-Security-Policy"] = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"
    answer["Cache-Control"] = "no-store"
    answer["X-Robots-Tag"] = "noindex"
    if to_save:
        name = re.sub(r"[^a-z0-9]+", "-", str(body["name"]).lower()).strip("-") or "line"
        answer["Content-Disposition"] = f'attachment; filename="{name}-line-sheet.{form}"'
    return answer


class SheetView(APIView):
    @extend_schema(
        operation_id="line_sheet",
        responses={(200, "application/json"): OpenApiTypes.OBJECT, **problems(401, 403, 404)},
    )
    def get(self, request: Request, line: uuid.UUID, form: str) -> HttpResponse:
        assert isinstance(request.user, Person)
        body = _body(request.user.farm_id, line)
        if body is None or form not in FORMS:
            raise Http404
        return _answer(request.user.farm, body, form, to_save=True)


class SheetLinkShown(serializers.Serializer[Any]):
    url = serializers.CharField(allow_null=True, help_text="null: it is off")
    why_not = serializers.CharField(help_text="why no link can be given here; empty where one can")


class SheetLinkView(APIView):
    """The owner's switch: whether the sheet of a line can be read by whoever has its link."""

    permission_classes: list[type[BasePermission]] = [OwnerOfAFarm]

    @extend_schema(operation_id="sheet_link", responses={200: SheetLinkShown, **problems(401, 403, 404)})
    def get(self, request: Request, line: uuid.UUID) -> Response:
        farm = self._farm(request, line)
        link = SheetLink.objects.of(farm).filter(line=line).first()
        try:
            address = public_address()
        except NoPublicAddressError as error:
            return Response({"url": None, "why_not": str(error)}, headers=NO_STORE)
        return Response({"url": f"{address}/sheet/{link.token}" if link else None, "why_not": ""}, headers=NO_STORE)

    @extend_schema(
        operation_id="sheet_link_on",
        request=None,
        responses={201: SheetLinkShown, **problems(401, 403, 404, 409)},
    )
    def post(self, request: Request, line: uuid.UUID) -> Response:
        farm = self._farm(request, line)
        try:
            address = public_address()
        except NoPublicAddressError as error:
            raise Problem(409, "no_public_address", str(error)) from None
        made = {"farm_id": farm, "token": secrets.token_urlsafe(TOKEN_BYTES), "made_at": datetime.now(UTC)}
        link, _ = SheetLink.objects.get_or_create(line=line, defaults=made)
        return Response({"url": f"{address}/sheet/{link.token}", "why_not": ""}, status=201, headers=NO_STORE)

    @extend_schema(operation_id="sheet_link_off", request=None, responses={204: None, **problems(401, 403, 404)})
    def delete(self, request: Request, line: uuid.UUID) -> Response:
        turn_off(SheetLink.objects.of(self._farm(request, line)).filter(line=line))
        return Response(status=204)

    def _farm(self, request: Request, line: uuid.UUID) -> uuid.UUID:
        assert isinstance(request.user, Person)
        if not Line.objects.of(request.user.farm_id).filter(pk=line).exists():
            raise Http404
        return request.user.farm_id


@require_GET
def public_sheet(request: HttpRequest, token: str, form: str = "html") -> HttpResponse:
    """The sheet for whoever has the link. A link that is off is like one that never was."""
    wait_s = KNOCKS.wait_s(request.META.get("REMOTE_ADDR", ""))
    if wait_s:
        return HttpResponse(
            "Too many at once. Try again in a minute.", status=429, headers={"Retry-After": str(wait_s)}
        )
    with DOOR.inside() as got:
        if not got:
            return HttpResponse("The house is busy. Try again in a moment.", status=503, headers={"Retry-After": "2"})
        link = SheetLink.objects.filter(token=token).select_related("farm").first()
        body = _body(link.farm_id, link.line) if link and form in FORMS else None
        if link is None or body is None:
            return HttpResponseNotFound("There is no line sheet at this address, or its link was turned off.")
        return _answer(link.farm, body, form, to_save=False)


@require_GET
def sheet_schema(request: HttpRequest) -> HttpResponse:
    """The schema that a sheet's JSON keeps."""
    return JsonResponse(json.loads(line_sheet.SCHEMA_FILE.read_text(encoding="utf-8")))
