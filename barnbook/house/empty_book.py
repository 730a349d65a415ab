"""Beginning an empty book: a farm, its owner, and the farm's settings as the book's first entry."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from typing import Any

import uuid6
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from rest_framework import serializers

from barnbook.barn.models import Farm, Person, Role
from barnbook.barn.models.farm import one_round
from barnbook.house import begin_link
from barnbook.journal.intake import Arrival, take
from barnbook.journal.kinds.farm.farm import Body as FarmSettings

PASSWORD_SENTENCES = {
    "password_too_short": "Choose a longer password: at least 8 characters.",
    "password_too_common": "Choose another password: this one is among those that are tried first.",
    "password_entirely_numeric": "Choose a password that is not made of digits alone.",
    "password_too_similar": "Choose a password that is less like the name.",
}


@dataclass(frozen=True, slots=True)
class Asked:
    """What the first owner typed."""

    farm_name: str
    zone: str
    name: str
    password: str


class BeginError(Exception):
    """What was asked cannot be done: the text says why, `field` where."""

    def __init__(self, sentence: str, *, field: str) -> None:
        super().__init__(sentence)
        self.field = field


class LinkEndedError(Exception):
    """The one-time link has been used meanwhile."""


def begin_empty(asked: Asked, *, token: str) -> Person:
    """Make the farm and its owner, and use the link up; all or nothing. Returns the owner.

    Raises BeginError on what was typed, LinkEndedError when somebody was first.
    """
    farm_name, name = asked.farm_name.strip(), asked.name.strip()
    body: dict[str, Any] = {"name": farm_name, "zone": asked.zone, "weight_unit": "g", "rounds": one_round()}
    _check_farm(body)
    _check_owner(name, asked.password)
    with transaction.atomic():
        if not begin_link.use_up(token):
            raise LinkEndedError
        farm = Farm.objects.found(name=farm_name, zone=asked.zone)
        owner = Person.objects.join(farm.pk, name=name, role=Role.OWNER, password=asked.password)
        _write_first_entry(owner, body)
    return owner


def _check_farm(body: dict[str, Any]) -> None:
    settings = FarmSettings(data=body)
    if not settings.is_valid():
        field = next(iter(settings.errors))
        sentences = {
            "name": "Give the farm a name of 1 to 120 characters.",
            "zone": f"'{str(body['zone'])[:64]}' is no time zone: choose one such as Europe/Vienna.",
        }
        fields = {"name": "farm_name", "zone": "zone"}
        if field not in sentences:
            raise serializers.ValidationError(settings.errors)  # a fault of ours: nobody types the rest
        raise BeginError(sentences[field], field=fields[field])


def _check_owner(name: str, password: str) -> None:
    if not 0 < len(name) <= 80 or "\x00" in name:
        raise BeginError("Give your own name, 1 to 80 characters: it is what you sign in with.", field="name")
    if Person.objects.filter(name__iexact=name).exists():
        raise BeginError(f"There is a '{name}' in this house already: choose another name.", field="name")
    try:
        validate_password(password, user=Person(name=name))
    except ValidationError as error:
        first = error.error_list[0]
        sentence = PASSWORD_SENTENCES.get(first.code or "", " ".join(first.messages))
        raise BeginError(sentence, field="password") from None


def _write_first_entry(owner: Person, body: dict[str, Any]) -> None:
    now = timezone.now()
    entry = {
        "id": str(uuid6.uuid7()),
        "author": str(owner.pk),
        "device_seq": 0,
        "kind": "farm",
        "version": 1,
        "day": now.astimezone(owner.farm.tz).date().isoformat(),
        "stamp": int(now.timestamp() * 1000),
        "zone": owner.farm.zone,
        "body": body,
    }
    authors: dict[uuid.UUID, Person] = {owner.pk: owner}
    (verdict,) = take(owner.farm_id, [entry], Arrival(authors=authors, now=now))
    if verdict.verdict != "written":
        raise RuntimeError(f"The farm's settings were not taken: {verdict.detail}")
