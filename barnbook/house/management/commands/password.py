"""`barnbook password NAME`: a new password for somebody, by whoever holds the house's own machine."""

from __future__ import annotations

import getpass
import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from barnbook.barn.models import Person
from barnbook.house.people.joining import PasswordError, check_password_of
from barnbook.house.people.roster import ROLES


class Command(BaseCommand):
    help = "Give somebody a new password. Asks for it; their phones ask for it at the next sync, and lose nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("name", help="the name that they sign in with")

    def handle(self, **options: Any) -> None:
        people = Person.objects.filter(role__in=ROLES)
        person = people.filter(name__iexact=options["name"]).first()
        if person is None:
            names = ", ".join(people.order_by("name").values_list("name", flat=True)) or "nobody yet"
            raise SystemExit(f"There is no {options['name']} in this house. In this house: {names}.")
        try:
            password = _asked_for()
            check_password_of(person, password)
        except PasswordError as error:
            raise SystemExit(str(error)) from None
        person.set_password(password)
        person.save(update_fields=["password"])
        self.stdout.write(f"{person.name} signs in with the new password from now on.")


def _asked_for() -> str:
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    password = getpass.getpass("New password: ")
    if getpass.getpass("Once more: ") != password:
        raise PasswordError("The two were not the same: nothing was changed.")
    return password
