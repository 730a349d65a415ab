"""Rows of the barn for tests, by factory-boy. What entries make is made by entries (see tests.scribe)."""

from __future__ import annotations

from datetime import UTC, datetime

import factory

from barnbook.barn.models import Device, DevicePerson, Farm, Person


class FarmFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Farm

    name = factory.Sequence(lambda n: f"Farm {n}")
    zone = "America/New_York"


class PersonFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Person
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"Person {n}")
    role = "owner"
    farm = factory.SubFactory(FarmFactory)
    password = factory.django.Password("quail-in-the-reeds")


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
