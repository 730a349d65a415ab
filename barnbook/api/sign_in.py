"""Signing in and out."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.contrib.auth import authenticate, login, logout
from django.utils.decorators import method_decorator
from django.views.decorators.csrf import csrf_protect
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import ScopedRateThrottle
from rest_framework.views import APIView

from barnbook.api.devices import keep_device, signed_in_here
from barnbook.api.house_state import HouseState, house_state
from barnbook.api.problems import Problem, problems
from barnbook.api.strangers import household
from barnbook.api.who_asks import DEVICE
from barnbook.barn.models import Person

# Argon2 takes 100 MB and a moment of every core for each password: many at once would starve a Raspberry Pi, and the
# rounds with it. Few are looked at together, a few more wait, and the rest are asked to come again.
AT_ONCE = 2
LONGEST_WAIT_S = 5
_looking = threading.BoundedSemaphore(AT_ONCE)


@contextmanager
def one_of_few() -> Iterator[None]:
    """Raises Problem 503 `busy` when too many passwords are being looked at."""
    if not _looking.acquire(timeout=LONGEST_WAIT_S):
        raise Problem(
            503, "busy", "Too many people sign in at once. Try again in a moment.", retry_after=LONGEST_WAIT_S
        )
    try:
        yield
    finally:
        _looking.release()


class Credentials(serializers.Serializer[Any]):
    name = serializers.CharField(max_length=80)
    password = serializers.CharField(max_length=200, trim_whitespace=False)
    device_name = serializers.CharField(max_length=120, required=False, allow_blank=True, default="")


class TriesOfOne(ScopedRateThrottle):
    """So many tries from one address; of IPv6, from one network (see `strangers`)."""

    def get_ident(self, request: Request) -> str:
        return household(str(super().get_ident(request)))


@method_decorator(csrf_protect, name="dispatch")
class SignInView(APIView):
    authentication_classes: list[Any] = []
    permission_classes = [AllowAny]
    throttle_classes = [TriesOfOne]
    throttle_scope = "sign_in"

    @extend_schema(
        operation_id="sign_in",
        request=Credentials,
        responses={200: HouseState, **problems(400, 401, 403, 429, 503)},
        auth=[],
    )
    def post(self, request: Request) -> Response:
        asked = Credentials(data=request.data)
        asked.is_valid(raise_exception=True)
        data = asked.validated_data
        with one_of_few():
            person = authenticate(request._request, username=data["name"], password=data["password"])
        if not isinstance(person, Person):
            raise Problem(
                401,
                "wrong_name_or_password",
                "The name or the password is not right. Look at both and try again.",
            )
        return welcome(request, person, data["device_name"])


def welcome(request: Request, person: Person, device_name: str, status: int = 200) -> Response:
    """Sign the person in on this device, and say what the phone needs to know."""
    login(request._request, person, backend="django.contrib.auth.backends.ModelBackend")
    device = signed_in_here(request._request, person, device_name)
    request._request.session[DEVICE] = str(device.pk)
    response = Response(house_state(request._request, person, device), status=status)
    keep_device(request._request, response, device)
    return response


class SignOutView(APIView):
    permission_classes = [AllowAny]

    @extend_schema(operation_id="sign_out", request=None, responses={200: HouseState, **problems(403)})
    def post(self, request: Request) -> Response:
        logout(request._request)
        return Response(house_state(request._request, None, None))
