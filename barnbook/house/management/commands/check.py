"""`barnbook check`: whether the house is well. With Django's own options (--deploy, ...) Django's check of the code."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.commands import check
from django.utils import timezone

from barnbook.house.health import look

DJANGO_S = ("--deploy", "--tag", "-t", "--list-tags", "--fail-level", "--database")


class Command(check.Command):
    help = "Say in plain words whether the house is well. Ends with 1 where something is to be done."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--house", action="store_true", help="look at the house, whatever else is given")
        super().add_arguments(parser)  # type: ignore[arg-type]

    def handle(self, *app_labels: Any, **options: Any) -> None:
        asked = any(word.split("=")[0] in DJANGO_S for word in sys.argv[1:])
        if (app_labels or asked) and not options["house"]:
            super().handle(*app_labels, **options)
            return
        found = look(timezone.now())
        for each in found:
            self.stdout.write(f"{'well ' if each.well else 'LOOK '} {each.about:<12}{each.sentence}")
        if not all(each.well for each in found):
            raise SystemExit(1)
