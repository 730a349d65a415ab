"""How far the book had come when the house last answered a phone, kept in a small file beside the book.

A back-up that was put back by hand is behind that mark. The house then draws a new `book`, so that every phone sends
once more what the back-up lost (see docs/wire.md). The mark is never ahead of what was committed; one that was not
written (the disk full, the house killed) only makes such a return harder to notice.
"""

from __future__ import annotations

import json
import logging
import os
import threading
import uuid
from pathlib import Path

from django.conf import settings
from django.db import transaction

from barnbook.barn.models import Farm, House

log = logging.getLogger(__name__)

_lock = threading.Lock()


def _file() -> Path:
    return Path(settings.DATA) / "high-water.json"


def note(farm_id: uuid.UUID) -> None:
    """Raise that farm's mark to the newest place in its changes; after the commit, before the phone is answered."""
    seq = Farm.objects.values_list("last_seq", flat=True).get(pk=farm_id)
    with _lock:
        marks = _read()
        if marks.get(str(farm_id), 0) >= seq:
            return
        marks[str(farm_id)] = seq
        _write(marks)


def book_here() -> House:
    """This house, with a new book when a farm of it is behind its mark. To be asked at each start."""
    marks = _read()
    if any(seq < marks.get(farm, 0) for farm, seq in _places().items()):
        log.warning(
            "The book is behind what this house had answered before: an older copy was put back. "
            "Every phone is asked to send again what it wrote."
        )
        return new_book()
    return House.here()


def new_book() -> House:
    """This house with another `book`, and its marks where the book is now: after an older copy was put back."""
    with transaction.atomic():
        House.here()
        house = House.objects.select_for_update().get(id=1)
        house.book = uuid.uuid4()
        house.save(update_fields=["book"])
    with _lock:
        _write(_places())
    return house


def _places() -> dict[str, int]:
    return {str(id_): seq for id_, seq in Farm.objects.values_list("pk", "last_seq")}


def _read() -> dict[str, int]:
    try:
        marks = json.loads(_file().read_text(encoding="ascii"))
        return {str(farm): int(seq) for farm, seq in marks.items()}
    except (OSError, ValueError, AttributeError):
        return {}


def _write(marks: dict[str, int]) -> None:
    new = _file().with_suffix(f".{os.getpid()}")
    try:
        new.write_text(json.dumps(marks), encoding="ascii")
        os.replace(new, _file())
    except OSError:
        log.warning("The high-water mark could not be written to %s", _file())
