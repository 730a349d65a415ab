"""Which house this is, and who is signed in: the first thing that a phone asks."""

from __future__ import annotations

import time
from typing import Any

from django.http import HttpRequest
from django.middleware.csrf import get_token
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from barnbook.api.devices import device_of
from barnbook.api.version import PROTOCOL, VERSION
from barnbook.barn.models import Device, House, Person


class FarmShown(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    name = serializers.CharField()
    example = serializers.BooleanField()


class Me(serializers.Serializer[Any]):
    person = serializers.UUIDField()
    name = serializers.CharField()
    role = serializers.ChoiceField(choices=["owner", "helper", "onlooker"])
    device = serializers.UUIDField(allow_null=True)
    device_seq = serializers.IntegerField(
        help_text="the highest the house has had from this device: a phone whose own is lower has lost what it kept"
    )
    farm = FarmShown()


class HouseState(serializers.Serializer[Any]):
    protocol = serializers.IntegerField()
    house = serializers.UUIDField()
    book = serializers.UUIDField()
    house_time = serializers.IntegerField(help_text="milliseconds since 1970-01-01 UTC")
    version = serializers.CharField()
    claimed = serializers.BooleanField(help_text="there is somebody who can sign in")
    csrf = serializers.CharField()
    me = Me(allow_null=True)


def house_state(request: HttpRequest, person: Person | None, device: Device | None) -> dict[str, Any]:
    """What docs/wire.md says under "House and people"."""
    house = House.here()
    me = None
    if person is not None:
        farm = person.farm
        me = {
            "person": str(person.pk),
            "name": person.name,
            "role": person.role,
            "device": str(device.pk) if device else None,
            "device_seq": device.last_device_seq if device else 0,
            "farm": {"id": str(farm.pk), "name": farm.name, "example": farm.example},
        }
    return {
        "protocol": PROTOCOL,
        "house": str(house.house),
        "book": str(house.book),
        "house_time": int(time.time() * 1000),
        "version": VERSION,
        "claimed": Person.objects.filter(is_active=True).exists(),
        "csrf": get_token(request),
        "me": me,
    }


class HouseView(APIView):
    permission_classes = [AllowAny]

    @extend_schema(operation_id="house", responses={200: HouseState})
    def get(self, request: Request) -> Response:
        person = request.user if isinstance(request.user, Person) and request.user.is_active else None
        device = device_of(request._request, person.farm_id) if person else None
        return Response(house_state(request._request, person, device))
