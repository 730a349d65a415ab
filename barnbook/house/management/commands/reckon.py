"""`barnbook reckon`: computes what is written down to be computed again."""

from __future__ import annotations

import os
import signal
import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand


class Command(BaseCommand):
    help = "Reckon the figures and dues that are written down to be reckoned. The house does this by itself."
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--stand-by",
            type=float,
            metavar="SECONDS",
            help="then wait so long for a line on standard input, and reckon again (how the house uses it)",
        )

    def handle(self, **options: Any) -> None:
        from barnbook.work.reckon import reckon
        from barnbook.work.standing_by import stand_by

        if options["stand_by"] is None:
            outcome = reckon()
            self.stdout.write(f"{outcome.done} cages and broods reckoned.")
            if outcome.failed:
                raise SystemExit(f"{len(outcome.failed)} could not be reckoned: see the log above.")
            return
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the house's to answer; it closes our input
        if hasattr(os, "nice"):
            os.nice(5)  # who taps a count must not wait for a figure
        # Unbuffered: a thread that still waits on a buffered input when Python ends makes it abort.
        with open(sys.stdin.fileno(), "rb", buffering=0, closefd=False) as nudges:
            well = stand_by(nudges, seconds=options["stand_by"])
        if not well:
            raise SystemExit(3)
