"""Bringing an older book up to date at the first start after an upgrade: never without a back-up of it."""

from __future__ import annotations

from datetime import datetime

from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from barnbook.barn.models import Farm
from barnbook.house.keeping.backing_up import BackUpError, back_up
from barnbook.house.keeping.shelf import BackUp


class UpgradeError(Exception):
    """The book was left as it is: the text says why, and what to do."""


def bring_up_to_date(now: datetime) -> BackUp | None:
    """Make the tables, or bring those of an older Barnbook up to date. Returns the back-up made before, if one was.

    Raises UpgradeError where the book is of a newer Barnbook, or where no back-up could be made: then nothing is
    changed.
    """
    executor = MigrationExecutor(connection)
    newer = set(executor.loader.applied_migrations) - set(executor.loader.disk_migrations)
    ours = sorted(f"{app}.{name}" for app, name in newer if app in ("barn", "journal", "work", "house"))
    if ours:
        raise UpgradeError(
            f"This book was written by a newer Barnbook ({ours[-1]}): install that one again, or put an older back-up "
            "back with `barnbook restore`."
        )
    made = None
    if executor.migration_plan(executor.loader.graph.leaf_nodes()) and _somebodys_book_is_here():
        try:
            made = back_up("upgrade", now=now)
        except BackUpError as error:
            raise UpgradeError(f"The book is of an older Barnbook and was not touched. {error}") from None
    call_command("migrate", interactive=False, verbosity=0)
    return made


def _somebodys_book_is_here() -> bool:
    return "barn_farm" in connection.introspection.table_names() and bool(Farm.objects.values_list("pk").first())
