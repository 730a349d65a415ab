"""`barnbook restore FILE`: puts a back-up in the place of the book."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.utils import timezone

from barnbook.house.data_folder import DataFolderError, hold
from barnbook.house.keeping.restoring import RestoreError, restore


class Command(BaseCommand):
    help = "Put a back-up in the place of the book. The book that is here is kept aside. Close the house first."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the back-up, a zip file")

    def handle(self, **options: Any) -> None:
        try:
            held = hold(settings.DATA)
        except DataFolderError as error:
            raise SystemExit(str(error)) from None
        with held:
            try:
                done = restore(options["file"].expanduser().absolute(), now=timezone.now())
            except RestoreError as error:
                raise SystemExit(str(error)) from None
        self.stdout.write(f"The book is that of {done.made_at}, with {done.entries} entries.")
        if done.aside is not None:
            self.stdout.write(f"The book that was here is kept in {done.aside}.")
        if done.other_house:
            self.stdout.write("It was another house's: its phones will say so, and wait till they are paired anew.")
        for sentence in done.told:
            self.stdout.write(sentence)
        self.stdout.write("Run `barnbook serve`: every phone then sends again what it wrote in the last 180 days.")
