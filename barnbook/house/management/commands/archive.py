"""`barnbook archive FILE`: the whole of one farm as a file that any house can read."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from barnbook.barn.models import Farm
from barnbook.house.keeping.archive import write_archive


class Command(BaseCommand):
    help = "Take the whole of one farm out as a file that any house can read (docs/archive.md)."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the new file, such as three-alders.zip")
        parser.add_argument("--farm", metavar="NAME", help="which farm, where this house has several")
        parser.add_argument(
            "--with-customers", action="store_true", help="take people outside the barn along, to move house"
        )

    def handle(self, **options: Any) -> None:
        farm = farm_called(options["farm"])
        path: Path = options["file"]
        try:
            lines = write_archive(farm, path, now=timezone.now(), customers=options["with_customers"])
        except OSError as error:
            raise SystemExit(f"{path} cannot be written ({error.strerror}): give another name.") from None
        people = "with" if options["with_customers"] else "without"
        self.stdout.write(f"{farm.name} is in {path}: {lines['entries.jsonl']} entries, {people} its customers.")


def farm_called(name: str | None) -> Farm:
    """The farm of that name; without a name the only one here. Ends with a sentence where there is none."""
    farms = list(Farm.objects.order_by("example", "name"))
    found = [farm for farm in farms if farm.name == name] if name else farms
    if name is None and len(found) > 1:
        found = [farm for farm in found if not farm.example]
    if len(found) != 1:
        names = ", ".join(farm.name for farm in farms) or "none"
        raise SystemExit(f"Say which farm with --farm NAME. In this house: {names}.")
    return found[0]
