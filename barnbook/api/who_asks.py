"""Who asks: a session cookie, and what it lets its person see."""

from __future__ import annotations

from typing import Any

from rest_framework.authentication import SessionAuthentication
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from barnbook.barn.models import Person, Role


class SignedIn(SessionAuthentication):
    """A session cookie, with Django's CSRF check on unsafe requests. Without one: 401, not 403."""

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
