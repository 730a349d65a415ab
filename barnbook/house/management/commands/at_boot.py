"""`barnbook at_boot`: prints what makes the house open when this machine starts."""

from __future__ import annotations

import shutil
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from barnbook.house.at_boot import SYSTEMS, at_boot, this_system


class Command(BaseCommand):
    help = "Print what makes the house open when this machine starts: for systemd, launchd (macOS) or Windows."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--for", dest="system", choices=sorted(SYSTEMS.values()), help="default: this machine's")

    def handle(self, **options: Any) -> None:
        program = shutil.which(sys.argv[0]) or shutil.which("barnbook") or sys.argv[0]
        made = at_boot(options["system"] or this_system(), program=Path(program).absolute(), data=Path(settings.DATA))
        self.stdout.write(made.text)
        self.stderr.write(f"Put this into {made.where}, then run:")
        for command in made.then:
            self.stderr.write(f"  {command}")
