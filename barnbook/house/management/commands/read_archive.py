"""`barnbook read_archive FILE`: reads a farm's archive into this house."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.utils import timezone

from barnbook.barn.models import Person, Role
from barnbook.house.keeping.archive_in import ArchiveError, read_archive
from barnbook.work.nudge import nudge


class Command(BaseCommand):
    help = "Read a farm's archive into this house, beside whatever else is here."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the file that `barnbook archive` made")

    def handle(self, **options: Any) -> None:
        call_command("migrate", interactive=False, verbosity=0)
        try:
            read = read_archive(options["file"], now=timezone.now())
        except ArchiveError as error:
            raise SystemExit(str(error)) from None
        nudge()
        self.stdout.write(f"{read.farm.name} was read in, whole, with {read.lines['entries.jsonl']} entries.")
        for old, new in read.renamed.items():
            self.stdout.write(f"There is a {old} in this house already: {old} of {read.farm.name} signs in as {new}.")
        for owner in Person.objects.of(read.farm).filter(role=Role.OWNER, is_active=True).order_by("name"):
            self.stdout.write(f"Passwords stay behind. Give one with: barnbook password '{owner.name}'")
