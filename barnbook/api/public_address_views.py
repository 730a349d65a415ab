"""`/api/public-address`: the owner sets where the house answers to strangers, and it is checked before it is kept."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import UserRateThrottle
from rest_framework.views import APIView

from barnbook.api.problems import Problem, problems
from barnbook.api.public_address import NoPublicAddressError, check, kept_address, public_address, typed_address
from barnbook.api.who_asks import OwnerOfAFarm
from barnbook.barn.models import House

KEEP_NOTHING = {"Cache-Control": "no-store"}


class AddressTyped(serializers.Serializer[Any]):
    address = serializers.CharField(max_length=300)


class AddressShown(serializers.Serializer[Any]):
    address = serializers.CharField(allow_blank=True)
    set_by = serializers.ChoiceField(choices=["environment", "owner", ""])
    why_not = serializers.CharField(allow_blank=True, help_text="empty where it leads to this house")


class Tries(UserRateThrottle):
    """The house goes out and looks each time."""

    scope = "public-address"
    rate = "10/min"

    def allow_request(self, request: Request, view: APIView) -> bool:
        return request.method != "PUT" or super().allow_request(request, view)


def _shown() -> dict[str, str]:
    address, set_by = kept_address()
    why_not = ""
    if address:
        try:
            public_address()
        except NoPublicAddressError as error:
            why_not = str(error)
    return {"address": address, "set_by": set_by, "why_not": why_not}


class PublicAddressView(APIView):
    permission_classes: list[type[BasePermission]] = [OwnerOfAFarm]
    throttle_classes = [Tries]

    @extend_schema(operation_id="public_address", responses={200: AddressShown, **problems(401, 403)})
    def get(self, request: Request) -> Response:
        return Response(_shown(), headers=KEEP_NOTHING)

    @extend_schema(
        operation_id="public_address_set",
        request=AddressTyped,
        responses={200: AddressShown, **problems(400, 401, 403, 409, 429)},
    )
    def put(self, request: Request) -> Response:
        typed = AddressTyped(data=request.data)
        typed.is_valid(raise_exception=True)
        _not_from_the_environment()
        try:
            address = typed_address(typed.validated_data["address"])
            check(address)
        except NoPublicAddressError as error:
            raise Problem(400, "no_public_address", str(error), field="address") from None
        _keep(address)
        return Response(_shown(), headers=KEEP_NOTHING)

    @extend_schema(operation_id="public_address_unset", responses={200: AddressShown, **problems(401, 403, 409)})
    def delete(self, request: Request) -> Response:
        _not_from_the_environment()
        _keep("")
        return Response(_shown(), headers=KEEP_NOTHING)


def _keep(address: str) -> None:
    House.here()
    House.objects.update(public_address=address)


def _not_from_the_environment() -> None:
    if kept_address()[1] == "environment":
        raise Problem(
            409,
            "set_elsewhere",
            "The address is set where the house is started, by BARNBOOK_PUBLIC_ADDRESS: change it there.",
        )
