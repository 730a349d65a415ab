"""Many things asked of the book some hundred at a time: a database takes only so many values in one query."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import TypeVar

CHUNK = 500

T = TypeVar("T")


def chunks(things: Iterable[T], size: int = CHUNK) -> Iterator[list[T]]:
    iterator = iter(things)
    while chunk := list(islice(iterator, size)):
        yield chunk
