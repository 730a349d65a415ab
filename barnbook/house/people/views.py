"""`/api/people`, `/api/phones` (owners) and `/api/join` (whoever holds a code)."""

from __future__ import annotations

import uuid
from typing import Any

import segno
from django.http import Http404
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.views.decorators.csrf import csrf_protect
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.permissions import AllowAny, BasePermission
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from barnbook.api.devices import device_of
from barnbook.api.house_state import HouseState
from barnbook.api.problems import Problem, problems
from barnbook.api.sign_in import welcome
from barnbook.api.who_asks import OwnerOfAFarm, SomebodyOfAFarm
from barnbook.barn.models import Device, Person
from barnbook.house.begin import ByAddress
from barnbook.house.people import joining, roster
from barnbook.house.phone_address import phone_address

KEEP_NOTHING = {"Cache-Control": "no-store"}


class PersonTyped(serializers.Serializer[Any]):
    name = serializers.CharField(max_length=500, allow_blank=True)
    role = serializers.ChoiceField(choices=[str(role.value) for role in roster.ROLES])
    active = serializers.BooleanField(default=True)


class PersonShown(PersonTyped):
    id = serializers.UUIDField()
    signs_in = serializers.BooleanField(help_text="has chosen a password")


class PeopleShown(serializers.Serializer[Any]):
    rows = PersonShown(many=True)


class CodeAsked(serializers.Serializer[Any]):
    new_password = serializers.BooleanField(default=False)


class CodeShown(serializers.Serializer[Any]):
    code = serializers.CharField()
    link = serializers.CharField()
    qr = serializers.CharField(help_text="the link as a QR code: an SVG image as a data address")
    minutes = serializers.IntegerField()
    new_password = serializers.BooleanField()


class PhoneShown(serializers.Serializer[Any]):
    id = serializers.UUIDField()
    name = serializers.CharField()
    people = serializers.ListField(child=serializers.CharField())
    first_seen = serializers.DateTimeField()
    last_seen = serializers.DateTimeField(allow_null=True)
    app = serializers.CharField(allow_blank=True)
    waiting = serializers.IntegerField()
    unpaired_at = serializers.DateTimeField(allow_null=True)
    this = serializers.BooleanField()


class PhonesShown(serializers.Serializer[Any]):
    rows = PhoneShown(many=True)


class JoinAsked(serializers.Serializer[Any]):
    code = serializers.CharField(max_length=80)
    password = serializers.CharField(
        max_length=200, required=False, allow_blank=True, default="", trim_whitespace=False
    )
    device_name = serializers.CharField(max_length=120, required=False, allow_blank=True, default="")


class JoinShown(serializers.Serializer[Any]):
    name = serializers.CharField()
    farm = serializers.CharField()
    role = serializers.CharField()
    new_password = serializers.BooleanField()


def _person(person: Person) -> dict[str, Any]:
    return {
        "id": str(person.pk),
        "name": person.name,
        "role": person.role,
        "active": person.is_active,
        "signs_in": person.has_usable_password(),
    }


class PeopleView(APIView):
    permission_classes: list[type[BasePermission]] = [OwnerOfAFarm]

    @extend_schema(operation_id="people", responses={200: PeopleShown, **problems(401, 403)})
    def get(self, request: Request) -> Response:
        assert isinstance(request.user, Person)
        return Response({"rows": [_person(each) for each in roster.everybody(request.user.farm_id)]})

    @extend_schema(operation_id="ask_in", request=PersonTyped, responses={201: PersonShown, **problems(400, 401, 403)})
    def post(self, request: Request) -> Response:
        assert isinstance(request.user, Person)
        typed = PersonTyped(data=request.data)
        typed.is_valid(raise_exception=True)
        data = typed.validated_data
        try:
            person = roster.ask_in(request.user.farm_id, name=data["name"], role=data["role"])
        except roster.RosterError as error:
            raise Problem(400, "wrong_field", str(error), field=error.field) from None
        return Response(_person(person), status=201)


class PersonView(APIView):
    permission_classes: list[type[BasePermission]] = [OwnerOfAFarm]

    @extend_schema(
        operation_id="change_person",
        request=PersonTyped,
        responses={200: PersonShown, **problems(400, 401, 403, 404)},
    )
    def put(self, request: Request, person: uuid.UUID) -> Response:
        assert isinstance(request.user, Person)
        typed = PersonTyped(data=request.data)
        typed.is_valid(raise_exception=True)
        try:
            return Response(_person(roster.change(request.user.farm_id, person, **typed.validated_data)))
        except Person.DoesNotExist:
            raise Http404 from None
        except roster.RosterError as error:
            raise Problem(400, "wrong_field", str(error), field=error.field) from None


class CodeView(APIView):
    """A code for somebody, by an owner; for one's own second phone, by oneself."""

    permission_classes: list[type[BasePermission]] = [SomebodyOfAFarm]

    @extend_schema(
        operation_id="join_code", request=CodeAsked, responses={201: CodeShown, **problems(400, 401, 403, 404)}
    )
    def post(self, request: Request, person: uuid.UUID) -> Response:
        asker = request.user
        assert isinstance(asker, Person)
        if asker.role != "owner" and asker.pk != person:
            raise Problem(403, "not_allowed", "Only an owner draws a code for somebody else. Ask the owner.")
        asked = CodeAsked(data=request.data)
        asked.is_valid(raise_exception=True)
        new = asked.validated_data["new_password"] and asker.role == "owner"
        found = Person.objects.of(asker.farm_id).filter(pk=person, is_active=True, role__in=roster.ROLES).first()
        if found is None:
            raise Http404
        code = joining.draw(found, now=timezone.now(), new_password=new)
        link = f"{phone_address(request._request)}/join/{code}"
        shown = {
            "code": code,
            "link": link,
            "qr": segno.make(link, error="m").svg_data_uri(scale=6, border=4, dark="#000", light="#fff"),
            "minutes": int(joining.LASTS.total_seconds() // 60),
            "new_password": new or not found.has_usable_password(),
        }
        return Response(shown, status=201, headers=KEEP_NOTHING)


class PhonesView(APIView):
    permission_classes: list[type[BasePermission]] = [OwnerOfAFarm]

    @extend_schema(operation_id="phones", responses={200: PhonesShown, **problems(401, 403)})
    def get(self, request: Request) -> Response:
        assert isinstance(request.user, Person)
        farm = request.user.farm_id
        here = device_of(request._request, farm)
        devices = Device.objects.of(farm).prefetch_related("people").order_by("-last_seen", "-first_seen")
        return Response({"rows": [_phone(each, here) for each in devices]}, headers=KEEP_NOTHING)


class UnpairView(APIView):
    permission_classes: list[type[BasePermission]] = [OwnerOfAFarm]

    @extend_schema(operation_id="unpair", request=None, responses={200: PhoneShown, **problems(401, 403, 404)})
    def post(self, request: Request, phone: uuid.UUID) -> Response:
        assert isinstance(request.user, Person)
        try:
            device = roster.unpair(request.user.farm_id, phone, now=timezone.now())
        except Device.DoesNotExist:
            raise Http404 from None
        return Response(_phone(device, None))


def _phone(device: Device, here: Device | None) -> dict[str, Any]:
    return {
        "id": str(device.pk),
        "name": device.name,
        "people": sorted(person.name for person in device.people.all()),
        "first_seen": device.first_seen,
        "last_seen": device.last_seen,
        "app": device.app,
        "waiting": device.waiting,
        "unpaired_at": device.unpaired_at,
        "this": here is not None and here.pk == device.pk,
    }


class JoinRate(ByAddress):
    scope = "join"
    rate = "20/min"


@method_decorator(csrf_protect, name="dispatch")
class JoinView(APIView):
    authentication_classes: list[Any] = []
    permission_classes = [AllowAny]
    throttle_classes = [JoinRate]

    @extend_schema(
        operation_id="join_look",
        parameters=[OpenApiParameter("code", str, required=True)],
        responses={200: JoinShown, **problems(403, 429)},
        auth=[],
    )
    def get(self, request: Request) -> Response:
        """Whom the code brings in, and whether they choose a password."""
        try:
            found = joining.of_code(request.query_params.get("code", ""), now=timezone.now())
        except joining.CodeEndedError:
            raise _ended() from None
        person = found.person
        shown = {
            "name": person.name,
            "farm": person.farm.name,
            "role": person.role,
            "new_password": found.new_password,
        }
        return Response(shown, headers=KEEP_NOTHING)

    @extend_schema(
        operation_id="join", request=JoinAsked, responses={201: HouseState, **problems(400, 403, 429)}, auth=[]
    )
    def post(self, request: Request) -> Response:
        asked = JoinAsked(data=request.data)
        asked.is_valid(raise_exception=True)
        data = asked.validated_data
        try:
            person = joining.join(data["code"], data["password"], now=timezone.now())
        except joining.CodeEndedError:
            raise _ended() from None
        except joining.PasswordError as error:
            raise Problem(400, "wrong_field", str(error), field="password") from None
        return welcome(request, person, data["device_name"], status=201)


def _ended() -> Problem:
    return Problem(
        403,
        "code_ended",
        "This code has been used, or ten minutes have passed: ask the owner for another.",
        field="code",
    )
