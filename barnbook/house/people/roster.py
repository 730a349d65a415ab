"""Who is at the farm: asked in, given another name or role, taken off. A farm always keeps an owner."""

from __future__ import annotations

import uuid
from datetime import datetime

from django.db import transaction

from barnbook.barn.models import Device, Farm, Person, Role
from barnbook.barn.models.row import changed
from barnbook.barn.rights import note_person, note_unpaired
from barnbook.house.models import JoinCode

ROLES = (Role.OWNER, Role.HELPER, Role.ONLOOKER)


class RosterError(Exception):
    """What was asked cannot be done: the text says why, `field` where."""

    def __init__(self, sentence: str, *, field: str) -> None:
        super().__init__(sentence)
        self.field = field


def everybody(farm_id: uuid.UUID) -> list[Person]:
    """Those who work or worked at the farm, by name; not who stands for its customers."""
    return list(Person.objects.of(farm_id).filter(role__in=ROLES).order_by("-is_active", "name"))


def ask_in(farm_id: uuid.UUID, *, name: str, role: str) -> Person:
    """Somebody new, who cannot sign in until they have used a code. Raises RosterError."""
    name = _checked_name(name)
    with transaction.atomic():
        person = Person.objects.join(farm_id, name=name, role=role, password=None)
        note_person(person)
    return person


def change(farm_id: uuid.UUID, person_id: uuid.UUID, *, name: str, role: str, active: bool) -> Person:
    """Another name or role; taken off the book (active False: what they wrote stays), or back on it.

    Raises RosterError; Person.DoesNotExist.
    """
    with transaction.atomic():
        farm = Farm.objects.locked(farm_id)
        person = Person.objects.of(farm).filter(role__in=ROLES).get(pk=person_id)
        if name != person.name:
            person.name = _checked_name(name, but=person)
        if person.role == Role.OWNER and (role != Role.OWNER or not active):
            others = Person.objects.of(farm).filter(role=Role.OWNER, is_active=True).exclude(pk=person.pk)
            if not any(other.has_usable_password() for other in others):
                raise RosterError(
                    f"{person.name} is the only owner who can sign in: make somebody else an owner first.",
                    field="active" if not active else "role",
                )
        person.role, person.is_active = role, active
        changed(farm, [person])
        person.save()
        farm.save(update_fields=["last_seq"])
        note_person(person)
        if not active:
            JoinCode.objects.filter(person=person).delete()
    return person


def unpair(farm_id: uuid.UUID, device_id: uuid.UUID, *, now: datetime) -> Device:
    """That phone is known no more: whoever picks it up must sign in. What it has not sent stays on it.

    Raises Device.DoesNotExist.
    """
    device: Device = Device.objects.of(farm_id).get(pk=device_id)
    if device.unpaired_at is None:
        device.unpaired_at = now
        with transaction.atomic():
            device.save(update_fields=["unpaired_at"])
            note_unpaired(device)
    return device


def _checked_name(name: str, *, but: Person | None = None) -> str:
    name = name.strip()
    if not 0 < len(name) <= 80 or "\x00" in name:
        raise RosterError("Give a name of 1 to 80 characters: it is what they sign in with.", field="name")
    others = Person.objects.filter(name__iexact=name)
    if (others.exclude(pk=but.pk) if but else others).exists():
        raise RosterError(f"There is a '{name}' in this house already: choose another name.", field="name")
    return name
