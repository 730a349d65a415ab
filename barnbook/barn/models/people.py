"""People who write and read the book, and the phones they do it on."""

from __future__ import annotations

import uuid
from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models, transaction

from barnbook.barn.models.farm import Farm
from barnbook.barn.models.row import Row, changed


class Role(models.TextChoices):
    OWNER = "owner"
    HELPER = "helper"
    ONLOOKER = "onlooker"
    CUSTOMER = "customer"  # nobody in person: the author of what customers report; cannot sign in


A_CUSTOMER = "A customer"


class People(BaseUserManager["Person"]):
    def of(self, farm: models.Model | uuid.UUID) -> models.QuerySet[Person]:
        return self.filter(farm_id=farm if isinstance(farm, uuid.UUID) else farm.pk)

    def join(self, farm_id: uuid.UUID, *, name: str, role: str, password: str | None) -> Person:
        """Somebody new at the farm; phones learn of it. password None: nobody can sign in as this person yet."""
        with transaction.atomic():
            farm = Farm.objects.locked(farm_id)
            person = Person(farm=farm, name=name, role=role)
            person.set_password(password)
            changed(farm, [person])
            person.save()
            farm.save(update_fields=["last_seq"])
        return person

    def customer_of(self, farm_id: uuid.UUID) -> Person:
        """Who stands as the author of what customers report: nobody in person, one a farm, made at the first report."""
        there = self.of(farm_id).filter(role=Role.CUSTOMER).first()
        if there is not None:
            return there
        taken = self.filter(name__iexact=A_CUSTOMER).exists()
        return self.join(
            farm_id, name=f"{A_CUSTOMER} ({farm_id})" if taken else A_CUSTOMER, role=Role.CUSTOMER, password=None
        )

    def get_by_natural_key(self, username: str | None) -> Person:
        return self.get(name__iexact=username)


class Person(AbstractBaseUser):
    """Somebody of one farm. The name is also what they sign in with, so it is unique in the house."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    farm = models.ForeignKey("barn.Farm", on_delete=models.CASCADE, related_name="people")
    name = models.CharField(max_length=80, unique=True)
    role = models.CharField(max_length=10, choices=Role.choices)
    is_active = models.BooleanField(default=True)
    seq = models.BigIntegerField(default=0)

    USERNAME_FIELD = "name"
    REQUIRED_FIELDS: ClassVar[list[str]] = []
    objects = People()

    class Meta:
        indexes = [models.Index(fields=["farm", "seq"])]

    def row(self) -> dict[str, Any]:
        return {"id": str(self.id), "name": self.name, "role": self.role, "active": self.is_active}


class Device(Row):
    """A phone or laptop that has signed in here. It is known by a signed cookie, never by what it says it is."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    name = models.CharField(max_length=120)
    first_seen = models.DateTimeField()
    last_seen = models.DateTimeField(null=True)
    app = models.CharField(max_length=40, default="")
    waiting = models.PositiveIntegerField(default=0)
    clock_offset_ms = models.BigIntegerField(default=0)
    last_device_seq = models.BigIntegerField(default=0)
    unpaired_at = models.DateTimeField(null=True)
    people: models.ManyToManyField[Person, DevicePerson] = models.ManyToManyField(
        Person, through="barn.DevicePerson", related_name="devices"
    )


class DevicePerson(models.Model):
    """Who has signed in on this device: whose entries it may bring."""

    device = models.ForeignKey(Device, on_delete=models.CASCADE)
    person = models.ForeignKey(Person, on_delete=models.CASCADE)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["device", "person"], name="once_a_device")]
