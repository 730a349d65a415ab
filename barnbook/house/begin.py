"""`/api/begin`: whoever holds the one-time link begins an empty book, or looks around the example farm."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.utils.decorators import method_decorator
from django.views.decorators.csrf import csrf_protect
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import SimpleRateThrottle
from rest_framework.views import APIView

from barnbook.api.house_state import HouseState
from barnbook.api.problems import Problem, problems
from barnbook.api.sign_in import welcome
from barnbook.api.strangers import household
from barnbook.house import begin_link, example
from barnbook.house.empty_book import Asked, BeginError, LinkEndedError, begin_empty


class BeginBody(serializers.Serializer[Any]):
    token = serializers.CharField(max_length=200)
    choice = serializers.ChoiceField(choices=["empty", "example"])
    farm_name = serializers.CharField(max_length=500, required=False, allow_blank=True, default="")
    zone = serializers.CharField(max_length=200, required=False, allow_blank=True, default="")
    name = serializers.CharField(max_length=500, required=False, allow_blank=True, default="")
    password = serializers.CharField(
        max_length=200, required=False, allow_blank=True, default="", trim_whitespace=False
    )
    device_name = serializers.CharField(max_length=120, required=False, allow_blank=True, default="")


class ProgressShown(serializers.Serializer[Any]):
    state = serializers.ChoiceField(choices=["working", "ready", "failed"])
    done = serializers.IntegerField()
    total = serializers.IntegerField()
    detail = serializers.CharField(allow_blank=True)


class ByAddress(SimpleRateThrottle):
    """So many a minute from one address, whoever it says it is."""

    def get_cache_key(self, request: Request, view: Any) -> str:
        return f"{self.scope}-{household(str(self.get_ident(request)))}"


class BeginRate(ByAddress):
    scope = "begin"
    rate = "20/min"


class ProgressRate(ByAddress):
    scope = "begin-progress"
    rate = "240/min"  # the page asks about once a second


def checked(token: str) -> None:
    if not begin_link.opens(token):
        raise Problem(
            403,
            "link_used_or_wrong",
            "This link has been used or is not this house's: open the one that the house printed when it started last.",
            field="token",
        )


@method_decorator(csrf_protect, name="dispatch")
class BeginView(APIView):
    authentication_classes: list[Any] = []
    permission_classes = [AllowAny]
    throttle_classes = [BeginRate]

    @extend_schema(
        operation_id="begin",
        request=BeginBody,
        responses={201: HouseState, 202: ProgressShown, **problems(400, 403, 429)},
        auth=[],
    )
    def post(self, request: Request) -> Response:
        asked = BeginBody(data=request.data)
        asked.is_valid(raise_exception=True)
        data = asked.validated_data
        checked(data["token"])
        if data["choice"] == "example":
            return _example(request, data["device_name"])
        return _empty(request, data)


def _empty(request: Request, data: dict[str, Any]) -> Response:
    typed = Asked(farm_name=data["farm_name"], zone=data["zone"], name=data["name"], password=data["password"])
    try:
        owner = begin_empty(typed, token=data["token"])
    except BeginError as error:
        raise Problem(400, "wrong_field", str(error), field=error.field) from None
    except LinkEndedError:
        checked("")
        raise
    return welcome(request, owner, data["device_name"], status=201)


def _example(request: Request, device_name: str) -> Response:
    owner = example.owner()
    if owner is not None:
        return welcome(request, owner, device_name, status=201)
    return Response(asdict(example.start()), status=202)


class ProgressView(APIView):
    authentication_classes: list[Any] = []
    permission_classes = [AllowAny]
    throttle_classes = [ProgressRate]

    @extend_schema(
        operation_id="begin_progress",
        parameters=[OpenApiParameter("token", str, required=True, description="the one-time link's")],
        responses={200: ProgressShown, **problems(403, 429)},
        auth=[],
    )
    def get(self, request: Request) -> Response:
        checked(request.query_params.get("token", ""))
        return Response(asdict(example.progress()), headers={"Cache-Control": "no-store"})
