"""`barnbook rebuild`: makes the barn again from the journal alone."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.db import transaction
from django.utils import timezone

from barnbook.barn.models import Farm
from barnbook.barn.to_reckon import reckon_again
from barnbook.journal.rebuild import differences, rebuild
from barnbook.work.nudge import nudge


class Command(BaseCommand):
    help = "Make what stands in the barn again from the entries alone. Entries are never touched."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--check", action="store_true", help="change nothing: only say what would come out different"
        )

    def handle(self, **options: Any) -> None:
        found = False
        for farm in Farm.objects.order_by("name"):
            differ = differences(farm)
            found = found or bool(differ)
            if not options["check"]:
                _rebuild(farm)
            made = "" if options["check"] else ", and was made again from them"
            stood = "stood otherwise than its entries give" if differ else "stands as its entries give"
            self.stdout.write(f"{farm.name} {stood}{made}.")
            for sentence in differ:
                self.stdout.write(f"  {sentence}")
        if found and options["check"]:
            raise SystemExit("Run `barnbook rebuild` to make it again from the entries.")


def _rebuild(farm: Farm) -> None:
    with transaction.atomic():
        rebuild(farm)
        reckon_again(Farm.objects.locked(farm.pk), {"farm"}, timezone.now())
    nudge()
