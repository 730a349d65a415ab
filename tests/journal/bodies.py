"""Bodies of entries of the hatch room and of birds that come and go, for tests."""

from __future__ import annotations

from typing import Any

from tests.scribe import Scribe, new_id

Days = list[tuple[str | None, int]]  # day laid or None, eggs


def tray(line: str, *, cage: str | None, laid: Days, name: str = "1", id_: str | None = None) -> dict[str, Any]:
    eggs = [{"laid_on": day, "eggs": eggs} for day, eggs in laid]
    return {"tray": id_ or new_id(), "name": name, "line": line, "cage": cage, "eggs": eggs}


def set_eggs(scribe: Scribe, *trays: dict[str, Any], set_on: str = "2026-06-15", setting: str | None = None) -> str:
    """Write a setting; returns its id."""
    setting = setting or new_id()
    body = {"setting": setting, "code": "S-1", "incubator": "", "set_on": set_on, "trays": list(trays), "note": ""}
    scribe.expect("written", scribe.write("eggs_set", **body))
    return setting


def candling(setting: str, tray: str, **numbers: int) -> dict[str, Any]:
    none = dict.fromkeys(("read", "clear", "dead_early", "unread", "broken", "removed"), 0)
    return {"setting": setting, "tray": tray, **none, **numbers, "note": ""}


def hatching(setting: str, tray: str, hatched: int, *, pipped_dead: int = 0, dead_in_shell: int = 0) -> dict[str, Any]:
    return {
        "setting": setting,
        "tray": tray,
        "hatched": hatched,
        "pipped_dead": pipped_dead,
        "dead_in_shell": dead_in_shell,
        "note": "",
    }


def leaving(
    *,
    cage: str | None = None,
    brood: str | None = None,
    birds: list[tuple[str, str]] | None = None,
    hens: int = 0,
    cocks: int = 0,
    unsexed: int = 0,
) -> dict[str, Any]:
    """birds: (bird, brood), counted among the numbers."""
    named = [{"bird": bird, "brood": of} for bird, of in birds or []]
    return {
        "cage": cage,
        "brood": brood,
        "hens": hens,
        "cocks": cocks,
        "unsexed": unsexed,
        "birds": named,
        "note": "",
    }


NOT_WEIGHED = {"live_g": None, "live_typed": None, "dressed_g": None, "dressed_typed": None, "pluck": None}


def second(entry: dict[str, Any]) -> dict[str, Any]:
    """The entry as one of version 2."""
    return {**entry, "version": 2}
