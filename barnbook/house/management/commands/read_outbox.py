"""`barnbook read_outbox FILE`: reads an outbox that a phone saved as a file into the book."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from barnbook.house.saved_outbox import UnreadableOutboxError, read_in
from barnbook.work.nudge import nudge


class Command(BaseCommand):
    help = "Read an outbox that a phone saved as a file into the book. What is in it already counts once."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path, help="the file that the phone's outbox page saved")

    def handle(self, **options: Any) -> None:
        path: Path = options["file"]
        try:
            found = read_in(path.read_text(encoding="utf-8"), now=timezone.now())
        except OSError as error:
            raise SystemExit(f"{path} cannot be read: {error.strerror}.") from None
        except UnicodeDecodeError:
            raise SystemExit(f"{path} is no saved outbox: it is not text.") from None
        except UnreadableOutboxError as error:
            raise SystemExit(str(error)) from None
        nudge()
        new = sum(found.counts[word] for word in ("written", "questioned", "waits"))
        self.stdout.write(
            f"{found.farm.name}: {new} entries were read in, {found.counts['already']} were in the book already, "
            f"{len(found.refused)} were set aside."
        )
        for verdict in found.refused:
            self.stdout.write(f"  {verdict.detail}")
