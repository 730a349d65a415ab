"""`/api/customers`: people outside the barn, for the owner's eyes alone and only while the house is reached.

They come by no other way: not with the changes, not with an entry, and in no export but where an owner asks for it.
"""

from __future__ import annotations

import uuid
from datetime import UTC, datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.http import Http404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from barnbook.api.problems import Problem, problems
from barnbook.api.resources import PAGED, Page, page_of
from barnbook.api.who_asks import OwnerOfAFarm
from barnbook.barn.erasing import erase, is_erased
from barnbook.barn.models import Customer, Person
from barnbook.journal.fields import Text

KEEP_NOTHING = {"Cache-Control": "no-store"}


class CustomerTyped(serializers.Serializer[Any]):
    """contact: where to reach them, as it was typed.  remarks: for the owner's memory."""

    name = Text(max_length=120)
    contact = Text(allow_blank=True, default="")
    remarks = Text(max_length=2000, allow_blank=True, default="")


class CustomerShown(CustomerTyped):
    id = serializers.UUIDField()
    since = serializers.DateField()


class Erased(serializers.Serializer[Any]):
    traces = serializers.ChoiceField(
        choices=["gone", "due"],
        help_text="due: the row is gone; its traces in the book's file are removed within minutes, once nobody writes",
    )


class CustomersView(APIView):
    permission_classes: list[type[BasePermission]] = [OwnerOfAFarm]

    @extend_schema(operation_id="customers", parameters=PAGED, responses={200: Page, **problems(400, 401, 403)})
    def get(self, request: Request) -> Response:
        assert isinstance(request.user, Person)
        page = page_of(request, Customer.objects.of(request.user.farm_id).order_by("name", "id"))
        page["Cache-Control"] = "no-store"
        return page


class CustomerView(APIView):
    permission_classes: list[type[BasePermission]] = [OwnerOfAFarm]

    @extend_schema(operation_id="customer", responses={200: CustomerShown, **problems(401, 403, 404)})
    def get(self, request: Request, customer: uuid.UUID) -> Response:
        assert isinstance(request.user, Person)
        found = Customer.objects.of(request.user.farm_id).filter(pk=customer).first()
        if found is None:
            raise Http404
        return Response(found.row(), headers=KEEP_NOTHING)

    @extend_schema(
        operation_id="customer_write",
        request=CustomerTyped,
        responses={200: CustomerShown, 201: CustomerShown, **problems(400, 401, 403, 409, 410)},
    )
    def put(self, request: Request, customer: uuid.UUID) -> Response:
        """Write somebody down, or anew: the id is made by the one who asks, so that asking twice writes one."""
        assert isinstance(request.user, Person)
        asked = CustomerTyped(data=request.data)
        asked.is_valid(raise_exception=True)
        if is_erased(customer):
            raise Problem(410, "erased", "This customer was erased for good. Write a new one.")
        today = datetime.now(UTC).astimezone(request.user.farm.tz).date()
        try:
            with transaction.atomic():
                # Another farm's is not found here, and its id is taken: then the insert fails.
                row, new = Customer.objects.of(request.user.farm_id).update_or_create(
                    pk=customer,
                    defaults=asked.validated_data,
                    create_defaults={**asked.validated_data, "farm": request.user.farm, "since": today},
                )
        except IntegrityError:
            raise Problem(409, "id_taken", "This id is somebody else's. Write the customer with a new one.") from None
        return Response(row.row(), status=201 if new else 200, headers=KEEP_NOTHING)

    @extend_schema(operation_id="customer_erase", request=None, responses={200: Erased, **problems(401, 403)})
    def delete(self, request: Request, customer: uuid.UUID) -> Response:
        """Erase for good. What the journal says of eggs stays; of whom they were sent to it knows nothing."""
        assert isinstance(request.user, Person)
        today = datetime.now(UTC).astimezone(request.user.farm.tz).date()
        gone = erase(request.user.farm_id, customer, today=today)
        return Response({"traces": "gone" if gone else "due"}, headers=KEEP_NOTHING)
