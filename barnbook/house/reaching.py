"""`GET /api/phone-address`: where phones reach the house, for what is printed on its own machine."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from barnbook.api.problems import problems
from barnbook.house.phone_address import LOOPBACK, phone_address


class PhoneAddressShown(serializers.Serializer[Any]):
    address = serializers.CharField(allow_null=True, help_text="null: the house serves its own machine alone")


class PhoneAddressView(APIView):
    @extend_schema(operation_id="phone_address", responses={200: PhoneAddressShown, **problems(401, 403)})
    def get(self, request: Request) -> Response:
        address = phone_address(request._request)
        reached = not address.partition("://")[2].startswith(LOOPBACK)
        return Response({"address": address if reached else None}, headers={"Cache-Control": "no-store"})
