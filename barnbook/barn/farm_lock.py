"""Whoever changes rows of a farm holds its lock."""

from __future__ import annotations

import uuid

from barnbook.barn.models import Farm


def locked_farm(farm_id: uuid.UUID) -> Farm:
    """The farm's row, locked until the transaction ends. Save its `last_seq` after `changed`."""
    return Farm.objects.select_for_update().get(pk=farm_id)
