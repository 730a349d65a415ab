"""The id of an entry that came from a row of a sheet: the same row gives the same id, whatever file it stands in.

So the same file read in twice writes nothing twice (law 1). The id is a UUID of version 8 (RFC 9562, 5.8) whose 122
free bits are those of a SHA-256 over what the row says.
"""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Mapping
from typing import Any


def row_id(farm: uuid.UUID, *said: Any) -> uuid.UUID:
    """said: what the row says, in JSON's own types."""
    text = json.dumps([str(farm), *said], sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return version_8(hashlib.sha256(text.encode()).digest()[:16])


def version_8(octets: bytes) -> uuid.UUID:
    """Sixteen octets as a UUID: the version and the variant laid over them."""
    number = int.from_bytes(octets, "big")
    number = number & ~(0xF << 76) | (8 << 76)
    number = number & ~(0x3 << 62) | (0x2 << 62)
    return uuid.UUID(int=number)


class Times:
    """How often the same thing was said so far: two eggs of 12 g of one cage and day are two eggs."""

    def __init__(self) -> None:
        self._seen: dict[str, int] = {}
        self._of_this_row: list[str] = []

    def new_row(self) -> None:
        self._of_this_row = []

    def forget_the_row(self) -> None:
        """As if it had not been read: mended later, it must be told from no other row than now."""
        for key in self._of_this_row:
            self._seen[key] -= 1
        self._of_this_row = []

    def of(self, said: Mapping[str, Any]) -> int:
        key = json.dumps(said, sort_keys=True)
        self._seen[key] = self._seen.get(key, 0) + 1
        self._of_this_row.append(key)
        return self._seen[key]
