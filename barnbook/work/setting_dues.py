"""Dues of a setting: to candle, to lock down, to hatch, by the days of the lines whose eggs it holds."""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Collection as Some
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from barnbook.barn.models import Farm, Line, Setting, Tray
from barnbook.work.dues import DueNow

SPARE_DAYS = 1  # hatch on day 17 or 18, lockdown on 14 or 15 (docs/wire.md has the sources and says which are weak)

CANDLE = "candle"
LOCKDOWN = "lockdown"
HATCH = "hatch"


@dataclass(frozen=True, slots=True)
class LineDays:
    """The days of incubation of a line, counted from the day of setting. candle None: it is not candled."""

    candle: int | None
    lockdown: int
    hatch: int


@dataclass(frozen=True, slots=True)
class SettingSeen:
    """What the barn knows of a setting. candled, hatched: of how many of its trays that is written."""

    set_on: date
    lines: Sequence[LineDays]
    trays: int
    candled: int
    locked_down: bool
    hatched: int


def see_settings(farm: Farm, ids: Some[uuid.UUID]) -> dict[uuid.UUID, SettingSeen]:
    """Those of the settings that stand, as the barn has them now."""
    settings = Setting.objects.of(farm).in_bulk(list(ids))
    lines_of: dict[uuid.UUID, set[uuid.UUID]] = defaultdict(set)
    for setting, line in Tray.objects.of(farm).filter(setting_id__in=settings).values_list("setting_id", "line"):
        lines_of[setting].add(line)
    lines = Line.objects.of(farm).in_bulk({line for each in lines_of.values() for line in each})
    return {
        id_: SettingSeen(
            set_on=setting.set_on,
            lines=[
                LineDays(lines[line].candle_on_day, lines[line].lockdown_on_day, lines[line].hatch_on_day)
                for line in lines_of[id_]
                if line in lines
            ],
            trays=setting.trays,
            candled=setting.candled,
            locked_down=setting.locked_down_on is not None,
            hatched=setting.hatched_trays,
        )
        for id_, setting in settings.items()
    }


def setting_dues(setting: SettingSeen) -> list[DueNow]:
    """What is due of the setting. With lines of several days, from the earliest first to the latest last day."""
    begun = setting.hatched > 0
    candle_days = [line.candle for line in setting.lines if line.candle is not None]
    candle_left = 0 if begun or setting.locked_down else setting.trays - setting.candled
    found = [DueNow(CANDLE, candle_left, _days(setting, candle_days))] if candle_days else []
    if setting.lines:
        lockdown = _days(setting, [line.lockdown for line in setting.lines])
        hatch = _days(setting, [line.hatch for line in setting.lines])
        found.append(DueNow(LOCKDOWN, 0 if begun or setting.locked_down else 1, lockdown))
        found.append(DueNow(HATCH, setting.trays - setting.hatched, hatch))
    return found


def _days(setting: SettingSeen, days: Sequence[int]) -> tuple[date, date]:
    return (
        setting.set_on + timedelta(days=min(days)),
        setting.set_on + timedelta(days=max(days) + SPARE_DAYS),
    )
