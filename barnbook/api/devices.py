"""Which phone this is: told by a signed cookie that the house gave it, never by what it says of itself."""

from __future__ import annotations

import uuid
from typing import Any

from django.conf import settings
from django.core import signing
from django.http import HttpRequest
from django.utils import timezone

from barnbook.barn.models import Device, DevicePerson, Farm, Person

COOKIE = "barnbook_device"
SALT = "barnbook.device"
AGE_SECONDS = 400 * 24 * 3600


def device_of(request: HttpRequest, farm_id: uuid.UUID) -> Device | None:
    """This farm's device that the cookie names; None when there is none or it was unpaired."""
    try:
        id_ = uuid.UUID(signing.loads(request.COOKIES.get(COOKIE, ""), salt=SALT))
    except (signing.BadSignature, ValueError, TypeError):
        return None
    return Device.objects.of(farm_id).filter(pk=id_, unpaired_at=None).first()


def signed_in_here(request: HttpRequest, person: Person, name: str) -> Device:
    """This browser's device, made if it is new, with the person noted as one whose entries it may bring."""
    device = device_of(request, person.farm_id)
    if device is None:
        device = Device.objects.create(
            farm=Farm.objects.get(pk=person.farm_id), name=name or "Unnamed device", first_seen=timezone.now()
        )
    DevicePerson.objects.get_or_create(device=device, person=person)
    return device


def keep_device(response: Any, device: Device) -> None:
    """Give the browser the cookie by which it is known."""
    response.set_cookie(
        COOKIE,
        signing.dumps(str(device.pk), salt=SALT),
        max_age=AGE_SECONDS,
        httponly=True,
        samesite="Lax",
        secure=settings.HTTPS,
    )
