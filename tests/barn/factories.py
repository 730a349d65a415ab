"""Rows of the barn for tests, by factory-boy. What entries make is made by entries (see tests.scribe)."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import factory

from barnbook.barn.models import Device, DevicePerson, Farm, Person


class FarmFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Farm

    name = factory.Sequence(lambda n: f"Farm {n}")
    zone = "America/New_York"

    @classmethod
    def _create(cls, model_class: type[Farm], *args: Any, **kwargs: Any) -> Farm:
        return Farm.objects.found(**kwargs)


class PersonFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Person

    name = factory.Sequence(lambda n: f"Person {n}")
    role = "owner"
    farm = factory.SubFactory(FarmFactory)
    password = "quail-in-the-reeds"

    @classmethod
    def _create(cls, model_class: type[Person], *args: Any, farm: Farm, **kwargs: Any) -> Person:
        return Person.objects.join(farm.pk, **kwargs)


class DeviceFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Device

    name = "phone"
    first_seen = datetime(2026, 1, 1, tzinfo=UTC)


def a_farm(**kwargs: object) -> Farm:
    return FarmFactory(**kwargs)


def a_person(**kwargs: object) -> Person:
    return PersonFactory(**kwargs)


def a_device(person: Person) -> Device:
    """A phone on which that person has signed in."""
    device = DeviceFactory(farm=person.farm)
    DevicePerson.objects.create(device=device, person=person)
    return device
