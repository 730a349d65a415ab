"""Who asks: a session cookie, and what it lets its person see."""

from __future__ import annotations

from typing import Any

from rest_framework.authentication import SessionAuthentication
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from barnbook.barn.models import Device, Person, Role

DEVICE = "device"  # in a session: which device it was begun on


class SignedIn(SessionAuthentication):
    """A session cookie, with Django's CSRF check on unsafe requests. Without one, or on a phone that was unpaired since
    it signed in: 401, not 403."""

    def authenticate(self, request: Request) -> Any:
        found = super().authenticate(request)
        device = request._request.session.get(DEVICE) if found is not None else None
        if device is not None and Device.objects.filter(pk=device).exclude(unpaired_at=None).exists():
            return None
        return found

    def authenticate_header(self, request: Request) -> str:
        return "Session"


class SomebodyOfAFarm(BasePermission):
    """Anybody signed in; what they see is their own farm's."""

    def has_permission(self, request: Request, view: Any) -> bool:
        return isinstance(request.user, Person) and request.user.is_active


class OwnerOfAFarm(SomebodyOfAFarm):
    """Owners alone; what they see is their own farm's."""

    def has_permission(self, request: Request, view: Any) -> bool:
        person = request.user
        return isinstance(person, Person) and person.is_active and person.role == Role.OWNER
