"""Hatching at the house: fertility and hatch by cage, by setting and by the eggs' age; home, shipped.

A cage whose male may be failing is judged on the eggs candled in the last 84 days. A tray's age is the mean of its
eggs' days in store, where every egg's day of lay is known.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from barnbook.barn.models import Cage, Farm, Line, Tray
from barnbook.figures import hatching, shipped
from barnbook.figures.clustered_share import UsualSpread, usual_spread
from barnbook.figures.estimate import Estimate, LeftOut, Missing
from barnbook.figures.hatching import MaleAtFault
from barnbook.work.bred_figures import TraySeen, read_tray
from barnbook.work.shipped import ParcelSeen, see_shipped, shipped_figures
from barnbook.work.shown import Shown, rounded, shown, six

YEAR_DAYS = 365
LATELY_DAYS = 84
DRAWN_TO_DAYS = 21
FAILING_SHOWN = 0.5  # a cage is named once its male is more likely failing than not


@dataclass(frozen=True, slots=True)
class TrayOfLine:
    """A tray of the line's eggs. days_stored: mean over its eggs; None where a day of lay is unknown."""

    setting: uuid.UUID
    code: str
    cage: uuid.UUID | None
    seen: TraySeen
    days_stored: float | None


@dataclass(frozen=True, slots=True)
class HatchingSeen:
    trays: Sequence[TrayOfLine]
    codes: dict[uuid.UUID, str]
    sent: Sequence[ParcelSeen]


def see_hatching(farm: Farm, line: Line) -> HatchingSeen:
    trays = []
    for row in (
        Tray.objects.of(farm).filter(line=line.pk).select_related("setting").order_by("setting__set_on", "place")
    ):
        seen = TraySeen(row.setting.set_on, row.candled_on, read_tray(row))
        stored = _stored(row.laid, row.setting.set_on)
        trays.append(TrayOfLine(row.setting_id, row.setting.code, row.cage, seen, stored))
    codes = dict(Cage.objects.of(farm).values_list("pk", "code"))
    return HatchingSeen(trays, codes, see_shipped(farm, line))


def _stored(laid: Sequence[dict[str, Any]], set_on: date) -> float | None:
    if not laid or any(each["laid_on"] is None for each in laid):
        return None
    eggs = sum(each["eggs"] for each in laid)
    days = sum((set_on - date.fromisoformat(each["laid_on"])).days * each["eggs"] for each in laid)
    return days / eggs if eggs and days >= 0 else None


def hatching_page(seen: HatchingSeen, *, today: date) -> dict[str, Any]:
    """The page of one line; see docs/wire.md."""
    year = [each for each in seen.trays if each.seen.day >= today - timedelta(days=YEAR_DAYS - 1)]
    cages: dict[uuid.UUID, list[TrayOfLine]] = defaultdict(list)
    settings: dict[uuid.UUID, list[TrayOfLine]] = defaultdict(list)
    for tray in year:
        settings[tray.setting].append(tray)
        if tray.cage is not None:
            cages[tray.cage].append(tray)
    late = _lately(cages, today)
    return {
        "home": _three(year, f"{YEAR_DAYS}d"),
        "shipped": _shipped(seen.sent, today),
        "cages": [
            {
                "cage": str(cage),
                "code": seen.codes.get(cage, "?"),
                "figures": _three(trays, f"{YEAR_DAYS}d"),
                "male": _male(late, str(cage)),
            }
            for cage, trays in sorted(cages.items(), key=lambda each: seen.codes.get(each[0], "?"))
        ],
        "settings": [
            {
                "setting": str(setting),
                "code": trays[0].code,
                "set_on": trays[0].seen.day.isoformat(),
                "figures": _three(trays, "all", only=("fertility", "hatch_of_set")),
            }
            for setting, trays in settings.items()
        ],
        "egg_age": _egg_age(year),
    }


THREE = {
    "fertility": hatching.fertility,
    "hatch_of_fertile": hatching.hatch_of_fertile,
    "hatch_of_set": hatching.hatch_of_set,
}


def _three(trays: Sequence[TrayOfLine], span: str, *, only: Sequence[str] = tuple(THREE)) -> list[Shown]:
    good = [each.seen.tray for each in trays if each.seen.tray is not None]
    days = [each.seen.day for each in trays]
    wrong = len(trays) - len(good)
    return [shown(_over(THREE[name](good).share, days, wrong), name, span) for name in only]


def _over(estimate: Estimate, days: Sequence[date], wrong: int = 0) -> Estimate:
    left_out = estimate.left_out + ((LeftOut("trays", wrong, "numbers_contradict"),) if wrong else ())
    return replace(estimate, first_day=min(days, default=None), last_day=max(days, default=None), left_out=left_out)


def _shipped(sent: Sequence[ParcelSeen], today: date) -> list[Shown]:
    """The same figures as the line's own of its shipped eggs; see `shipped`."""
    figures = {each.name: each.estimate for each in shipped_figures(sent, today=today) if each.span == "all"}
    parts = {
        "shipped_hatch_of_sent": shipped.hatch_of_sent([]).share,
        "shipped_hatch_of_set": shipped.hatch_of_set([]).share,
        "shipments_reported": shipped.reported([]),
    }
    return [shown(figures.get(name, none_sent), name, "all") for name, none_sent in parts.items()]


@dataclass(frozen=True, slots=True)
class Lately:
    """Of each cage, by its id: eggs fertile and eggs read at its candlings of late, and the trays of those."""

    fertile: dict[str, int]
    read: dict[str, int]
    trays: dict[str, list[TrayOfLine]]

    def days(self, cage: str) -> list[date]:
        return [each.seen.candled_on for each in self.trays[cage] if each.seen.candled_on is not None]


def _lately(cages: dict[uuid.UUID, list[TrayOfLine]], today: date) -> Lately:
    since = today - timedelta(days=LATELY_DAYS - 1)
    late = Lately({}, {}, defaultdict(list))
    for cage, trays in cages.items():
        name = str(cage)
        for each in trays:
            on, tray = each.seen.candled_on, each.seen.tray
            if on is None or on < since or tray is None or not tray.read:
                continue
            late.read[name] = late.read.get(name, 0) + tray.read
            late.fertile[name] = late.fertile.get(name, 0) + tray.read - tray.clear
            late.trays[name].append(each)
    return late


def _male(late: Lately, cage: str) -> dict[str, Any] | None:
    """None where no egg of the cage was candled lately. Its span is from its first such candling to its latest."""
    if cage not in late.read:
        return None
    found = hatching.failing_male(late.fertile, late.read, cage=cage)
    if isinstance(found, Missing):
        return {"missing": shown(found, "failing_male", f"{LATELY_DAYS}d")["missing"]}
    assert isinstance(found, MaleAtFault)
    others = [trays for name, trays in late.trays.items() if name != cage]
    spread = usual_spread([_fertile_of_read(trays) for trays in others])
    return {
        "missing": None,
        "failing": found.probability >= FAILING_SHOWN,
        "probability": six(found.probability),
        "fertility": six(found.fertility),
        "others": six(found.others),
        "limits": _limits(late.trays[cage], spread),
        "others_limits": _limits([tray for trays in others for tray in trays], None),
        "read": found.read,
        "first_day": min(late.days(cage)).isoformat(),
        "last_day": max(late.days(cage)).isoformat(),
    }


def _fertile_of_read(trays: Sequence[TrayOfLine]) -> tuple[list[int], list[int]]:
    read = [tray for each in trays if (tray := each.seen.tray) is not None and tray.read]
    return [tray.read - tray.clear for tray in read], [tray.read for tray in read]


def _limits(trays: Sequence[TrayOfLine], spread: UsualSpread | None) -> list[float] | None:
    """The 95 % limits of their fertility; None where it may not be shown.

    spread: of the trays within the line's other cages, lent to the two or three of one cage.
    """
    share = hatching.fertility([tray for each in trays if (tray := each.seen.tray) is not None], usual=spread).share
    return None if share.low is None or share.high is None else rounded([share.low, share.high])


def _egg_age(trays: Sequence[TrayOfLine]) -> dict[str, Any]:
    """How hatch falls with the days in store. points: [days, eggs set, hatched] of each tray; drawn: [days, hatch]."""
    groups = [
        (each.days_stored, tray.hatched, tray.eggs_set, each.seen.day)
        for each in trays
        if each.days_stored is not None and (tray := each.seen.tray) is not None and tray.hatched is not None
    ]
    found = hatching.egg_age([g[0] for g in groups], [g[1] for g in groups], [g[2] for g in groups])
    days_drawn = range(min(int(max((g[0] for g in groups), default=0.0)) + 2, DRAWN_TO_DAYS))
    drawn = [(day, found.hatch(day)) for day in days_drawn]
    return {
        "slope": shown(_over(found.slope, [g[3] for g in groups]), "hatch_by_egg_age", f"{YEAR_DAYS}d"),
        "points": [[six(days), eggs, hatched] for days, hatched, eggs, _ in groups],
        "drawn": [[day, six(hatch)] for day, hatch in drawn if hatch is not None],
    }
