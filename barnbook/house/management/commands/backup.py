"""`barnbook backup`: makes a back-up now."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from barnbook.house.keeping import shelf
from barnbook.house.keeping.backing_up import BackUpError, back_up


class Command(BaseCommand):
    help = "Make a back-up of the book now, while the house serves or not. Each night one is made by itself."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--to",
            type=Path,
            metavar="FOLDER",
            help="put it there, on a stick or another disk; default: beside the others",
        )
        parser.add_argument("--list", action="store_true", help="make none: only say which there are")

    def handle(self, **options: Any) -> None:
        if options["list"]:
            self._list()
            return
        try:
            made = back_up("hand", now=timezone.now(), to=options["to"])
        except BackUpError as error:
            raise SystemExit(str(error)) from None
        self.stdout.write(f"The book is backed up in {made.path} ({megabytes(made.size)}), opened and found whole.")
        self.stdout.write("Whoever has this file can read the book: keep it as you keep the house's key.")

    def _list(self) -> None:
        found = shelf.found()
        for each in found:
            when = each.made_at.astimezone().strftime("%Y-%m-%d %H:%M")
            self.stdout.write(f"{when}  {each.reason:<8}{megabytes(each.size):>10}  {each.path}")
        if not found:
            self.stdout.write(f"There is no back-up in {shelf.folder()} yet.")


def megabytes(size: int) -> str:
    return f"{size / 1e6:.1f} MB"
