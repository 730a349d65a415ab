"""The link by which a customer reports on a shipment: made for the slip in the box, shown once, kept as a hash."""

from __future__ import annotations

import hashlib
import secrets
import uuid
from datetime import UTC, date, datetime, timedelta
from typing import Any

from django.db import transaction
from django.http import Http404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from barnbook.api.problems import Problem, problems
from barnbook.api.public_address import NoPublicAddressError, public_address
from barnbook.api.who_asks import OwnerOfAFarm
from barnbook.barn.erasing import erase_remark, is_erased
from barnbook.barn.models import Person, ReportLink, ReportRemark, Shipment

TOKEN_BYTES = 24  # 192 bits: nobody guesses one
MOST_LINKS = 10  # of one shipment; the oldest stops first
OPEN_DAYS = 120  # a hatch is told long before; our bound
KEEP_NOTHING = {"Cache-Control": "no-store"}


def hash_of(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def open_until(shipment: Shipment) -> date:
    """The last day on which the link takes a report, unless the owner closes it before."""
    return (shipment.sent_on or shipment.packed_on) + timedelta(days=OPEN_DAYS)


def make_link(shipment: Shipment) -> str:
    """A new secret for that shipment. It is not kept: whoever loses it makes another."""
    token = secrets.token_urlsafe(TOKEN_BYTES)
    with transaction.atomic():
        links = ReportLink.objects.of(shipment.farm_id).filter(shipment=shipment.pk)
        links.filter(pk__in=links.order_by("-made_at").values_list("pk", flat=True)[MOST_LINKS - 1 :]).delete()
        ReportLink.objects.create(
            farm_id=shipment.farm_id, shipment=shipment.pk, token_hash=hash_of(token), made_at=datetime.now(UTC)
        )
    return token


class LinkMade(serializers.Serializer[Any]):
    url = serializers.CharField()
    until = serializers.DateField(help_text="the last day on which it takes a report, unless it is closed before")


class RemarkShown(serializers.Serializer[Any]):
    text = serializers.CharField(allow_blank=True)


def _shipment(request: Request, id_: uuid.UUID) -> Shipment:
    assert isinstance(request.user, Person)
    found = Shipment.objects.of(request.user.farm_id).filter(pk=id_).first()
    if found is None:
        raise Http404
    return found


class LinkView(APIView):
    permission_classes: list[type[BasePermission]] = [OwnerOfAFarm]

    @extend_schema(operation_id="report_link", request=None, responses={201: LinkMade, **problems(401, 403, 404, 409)})
    def post(self, request: Request, shipment: uuid.UUID) -> Response:
        found = _shipment(request, shipment)
        try:
            address = public_address()
        except NoPublicAddressError as error:
            raise Problem(409, "no_public_address", str(error)) from None
        if found.customer is not None and is_erased(found.customer):
            raise Problem(409, "erased", "This customer was erased for good: no link is made for what they were sent.")
        made = {"url": f"{address}/report/{make_link(found)}", "until": open_until(found).isoformat()}
        return Response(made, status=201, headers=KEEP_NOTHING)


class RemarkView(APIView):
    """What the customer wrote beside the numbers: for the owner's eyes, and to be erased like the customer."""

    permission_classes: list[type[BasePermission]] = [OwnerOfAFarm]

    @extend_schema(operation_id="report_remark", responses={200: RemarkShown, **problems(401, 403, 404)})
    def get(self, request: Request, shipment: uuid.UUID) -> Response:
        found = _shipment(request, shipment)
        remark = ReportRemark.objects.of(found.farm_id).filter(shipment=found.pk).first()
        return Response({"text": remark.text if remark else ""}, headers=KEEP_NOTHING)

    @extend_schema(operation_id="report_remark_erase", request=None, responses={204: None, **problems(401, 403, 404)})
    def delete(self, request: Request, shipment: uuid.UUID) -> Response:
        found = _shipment(request, shipment)
        erase_remark(found.farm_id, found.pk)
        return Response(status=204)
