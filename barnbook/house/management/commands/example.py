"""`barnbook example`: makes the example farm, once."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand
from tqdm import tqdm

from barnbook.house import example


class Command(BaseCommand):
    help = "Make the example farm, an invented place, beside whatever else is in the book."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--quiet", action="store_true", help="no progress bar")

    def handle(self, **options: Any) -> None:
        call_command("migrate", interactive=False, verbosity=0)
        with tqdm(desc="Making the example farm", unit="", leave=False, disable=options["quiet"]) as bar:

            def tell(done: int, total: int) -> None:
                bar.total = total
                bar.update(done - bar.n)

            try:
                example.make(tell=tell)
            except Exception as error:
                raise SystemExit(f"The example farm could not be made: {error}.") from error
