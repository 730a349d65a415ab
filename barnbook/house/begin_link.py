"""The one-time link: whoever reads the house's screen may begin the book, and nobody else on the network.

A new one is drawn at each start while nobody owns a book; only its hash is kept.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets

from django.utils import timezone

from barnbook.barn.models import Person, Role
from barnbook.house.models import BeginLink


def is_claimed() -> bool:
    """Whether somebody owns a book here; the example farm is nobody's."""
    return Person.objects.filter(farm__example=False, role=Role.OWNER).exists()


def draw() -> str | None:
    """The token of a new link, which ends any earlier one; None when somebody owns a book here."""
    if is_claimed():
        BeginLink.objects.all().delete()
        return None
    token = secrets.token_urlsafe(24)
    BeginLink.objects.update_or_create(id=1, defaults={"token_sha256": _hash(token), "made_at": timezone.now()})
    return token


def opens(token: str) -> bool:
    """Whether that token is the link's, compared in constant time."""
    link = BeginLink.objects.filter(id=1).first()
    return link is not None and hmac.compare_digest(link.token_sha256, _hash(token))


def use_up(token: str) -> bool:
    """End the link; True for the one caller who ended it. Call it in the transaction that makes the owner."""
    return BeginLink.objects.filter(id=1, token_sha256=_hash(token)).delete()[0] == 1


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()
