"""Which phone this is: told by a signed cookie that the house gave it, never by what it says of itself.

A browser is a device of each farm that somebody has signed in to on it: whoever looks at the example farm and comes
back is on the same device as before.
"""

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
MOST_FARMS = 8  # of which one browser is a device: a cookie holds so much


def device_of(request: HttpRequest, farm_id: uuid.UUID) -> Device | None:
    """This farm's device that the cookie names; None when there is none or it was unpaired."""
    return Device.objects.of(farm_id).filter(pk__in=_named(request), unpaired_at=None).first()


def _named(request: HttpRequest) -> list[uuid.UUID]:
    """The devices that this browser is, the latest first."""
    try:
        said = signing.loads(request.COOKIES.get(COOKIE, ""), salt=SALT)
        return [uuid.UUID(id_) for id_ in ([said] if isinstance(said, str) else said)]
    except (signing.BadSignature, ValueError, TypeError, AttributeError):
        return []


def signed_in_here(request: HttpRequest, person: Person, name: str) -> Device:
    """This browser's device, made if it is new, with the person noted as one whose entries it may bring."""
    device = device_of(request, person.farm_id)
    if device is None:
        device = Device.objects.create(
            farm=Farm.objects.get(pk=person.farm_id), name=name or "Unnamed device", first_seen=timezone.now()
        )
    DevicePerson.objects.get_or_create(device=device, person=person)
    return device


def keep_device(request: HttpRequest, response: Any, device: Device) -> None:
    """Give the browser the cookie by which it is known here, and at the other farms of this house."""
    others = Device.objects.filter(pk__in=_named(request), unpaired_at=None).exclude(farm_id=device.farm_id)
    ids = [device.pk, *others.values_list("pk", flat=True)][:MOST_FARMS]
    response.set_cookie(
        COOKIE,
        signing.dumps([str(id_) for id_ in ids], salt=SALT),
        max_age=AGE_SECONDS,
        httponly=True,
        samesite="Lax",
        secure=settings.HTTPS,
    )
