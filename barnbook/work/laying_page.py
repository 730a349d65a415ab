"""Laying at the house: each cage against its own usual and its line, and each cohort's curve by age of hen.

A cage's rate is the long-run rate of the 28 days up to the last day of lay that its counts reach, with the line's
variance; its usual is that of the 84 days before, of the same hens. A week of age is 1 from the day of hatch.

Where no cage was counted in the last 28 days no cage is judged; the line's rate stands, with the span that it is of.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np

from barnbook.barn.models import Brood, Cage, EggWeighing, Farm, HeadEvent, Line
from barnbook.barn.reads import stocked_empty_days
from barnbook.figures import egg_weight as eggs
from barnbook.figures.estimate import Estimate, Missing, Reason
from barnbook.figures.hen_days import CollectionInterval, collection_intervals, intervals_in_span
from barnbook.figures.lay_curve import LayCurves, fit_lay_curve
from barnbook.figures.lay_fell_off import MOST_BASELINE_DAYS, USUAL_DISPERSION, WATCHED_DAYS, FellOff, lay_fell_off
from barnbook.figures.lay_long_run import LineVariance, line_lay_rate, line_variance
from barnbook.figures.laying import Collection, HeadEventKind, lay_rate
from barnbook.figures.laying import HeadEvent as HensChange
from barnbook.figures.laying_year import eggs_a_hen, forecast_eggs, start_of_lay, weekly_rates
from barnbook.work.cages import CageSeen, see_cages
from barnbook.work.cohorts import HensIn, Stood, stays_of_hens
from barnbook.work.shown import Shown, rounded, shown, six

RECENT_DAYS = WATCHED_DAYS + MOST_BASELINE_DAYS  # what the line's variance, and a cage's usual, stand on
FORECAST_EACH_WEEKS = 2
FORECAST_TO_WEEK = 104  # in lay
EGG_WEIGHT_DAYS = 365
WEIGHT_BAND_WHERE_NONE = (2.0, 40.0)  # what an egg may weigh at all: its share inside is not shown


@dataclass(frozen=True, slots=True)
class CageOfLine:
    """A cage of the line: what stands there and what was counted. stays: of its hens, in their order."""

    id: uuid.UUID
    code: str
    hens: int
    seen: CageSeen
    stays: Sequence[Stood]


@dataclass(frozen=True, slots=True)
class BroodOfLine:
    code: str
    hatched_on: date


@dataclass(frozen=True, slots=True)
class LayingSeen:
    """What the barn knows of a line's laying. weighed: (grams, eggs, group) of the year's egg weighings."""

    cages: Sequence[CageOfLine]
    broods: Mapping[uuid.UUID, BroodOfLine]
    laying_life_weeks: int | None
    band_g: tuple[float, float] | None
    weighed: Sequence[tuple[date, float, int, str]]


def see_laying(farm: Farm, line: Line, *, today: date) -> LayingSeen:
    cages = {cage.pk: cage for cage in Cage.objects.of(farm).filter(line=line)}
    seen = see_cages(farm, cages)
    changes: dict[uuid.UUID, list[HensIn]] = {id_: [] for id_ in cages}
    for event in HeadEvent.objects.of(farm).filter(cage__in=cages).order_by("cage", "place"):
        changes[event.cage].append(HensIn(event.day, event.kind, event.hens, event.brood))
    stays = {id_: stays_of_hens(id_, each) for id_, each in changes.items()}
    named = {stay.brood for each in stays.values() for stay in each if stay.brood is not None}
    broods = Brood.objects.of(farm).in_bulk(list(named))
    weighed = EggWeighing.objects.of(farm).filter(cage__in=cages, day__gte=today - timedelta(days=EGG_WEIGHT_DAYS))
    codes = {id_: cage.code for id_, cage in cages.items()}
    return LayingSeen(
        cages=[
            CageOfLine(id_, cage.code, cage.hens, seen[id_], stays[id_])
            for id_, cage in sorted(cages.items(), key=lambda each: (each[1].place, each[1].code))
        ],
        broods={id_: BroodOfLine(brood.code, brood.hatched_on) for id_, brood in broods.items()},
        laying_life_weeks=line.laying_life_weeks,
        band_g=None if line.egg_low_g is None or line.egg_high_g is None else (line.egg_low_g, line.egg_high_g),
        weighed=[
            (each.day, each.grams, each.eggs, f"{codes[each.cage]} {each.day}")
            for each in weighed.order_by("day", "cage", "entry")
        ],
    )


@dataclass(frozen=True, slots=True)
class Counted:
    """A cage's counts as the figures want them."""

    collections: Sequence[Collection]
    changes: Sequence[HensChange]
    stocked: Sequence[date]
    intervals: Sequence[CollectionInterval]

    def between(self, first_day: date, last_day: date) -> tuple[CollectionInterval, ...]:
        return intervals_in_span(self.intervals, first_day=first_day, last_day=last_day)[0]


def counted(cage: CageSeen) -> Counted:
    collections = [Collection(each.last_day_of_lay, each.eggs, each.clash) for each in cage.counts]
    changes = [HensChange(each.day, HeadEventKind(each.kind), each.hens) for each in cage.changes]
    stocked = stocked_empty_days(cage.changes)
    return Counted(
        collections, changes, stocked, collection_intervals(collections, changes, stocked_empty_days=stocked)
    )


def laying_page(seen: LayingSeen, *, today: date) -> dict[str, Any]:
    """The page of one line; see docs/wire.md."""
    counts = {cage.id: counted(cage.seen) for cage in seen.cages}
    cohorts = _cohorts(seen, counts)
    reached = max((each.intervals[-1].last_day for each in counts.values() if each.intervals), default=None)
    cages: list[dict[str, Any]] = []
    recent = [] if reached is None else _of_hens_on(reached, seen, counts)
    first = (reached or today) - timedelta(days=WATCHED_DAYS - 1)
    last_weeks = [[i for i in each if i.first_day >= first] for each in recent]
    figures = [shown(line_lay_rate([each for each in last_weeks if each]), "lay_rate", "28d")]
    if reached is not None and reached >= today - timedelta(days=WATCHED_DAYS):
        variance = line_variance(recent)
        cages = [
            _cage(cage, counts[cage.id], seen, reached=reached, variance=variance, cohorts=cohorts)
            for cage in seen.cages
            if cage.hens > 0
        ]
        cages.sort(key=lambda each: each["change"] if each["change"] is not None else 1.0)
        cages.sort(key=lambda each: each["fell"] is None)
    figures += _egg_weights(seen)
    return {
        "reached": reached.isoformat() if reached else None,
        "figures": figures,
        "cages": cages,
        "cohorts": [each.page for each in sorted(cohorts, key=lambda each: each.hatched_on, reverse=True)],
    }


def _of_hens_on(
    day: date, seen: LayingSeen, counts: Mapping[uuid.UUID, Counted]
) -> list[tuple[CollectionInterval, ...]]:
    """The intervals, up to that day, of the hens that stood in each cage on it."""
    first = day - timedelta(days=RECENT_DAYS - 1)
    stood = [
        (cage.id, stay)
        for cage in seen.cages
        for stay in cage.stays
        if stay.from_day <= day and (stay.to_day is None or stay.to_day > day)
    ]
    found = (counts[id_].between(max(first, stay.from_day), day) for id_, stay in stood)
    return [each for each in found if each]


def _of_present_hens(cage: CageOfLine, counts: Counted, first: date, last: date) -> tuple[CollectionInterval, ...]:
    """The intervals of the hens that stand there now."""
    if not cage.stays or cage.stays[-1].to_day is not None:
        return ()
    return counts.between(max(first, cage.stays[-1].from_day), last)


def _cage(
    cage: CageOfLine,
    counts: Counted,
    seen: LayingSeen,
    *,
    reached: date,
    variance: LineVariance | Missing,
    cohorts: Sequence[Cohort],
) -> dict[str, Any]:
    pooled = None if isinstance(variance, Missing) else variance
    stay = cage.stays[-1] if cage.stays and cage.stays[-1].to_day is None else None
    since = stay.from_day if stay else date.min

    def rate(first_day: date, last_day: date) -> Estimate:
        if last_day < since:
            return Estimate(unit="eggs/hen-day", n_of="hen-days", missing=_too_new(since, reached))
        return lay_rate(
            counts.collections,
            counts.changes,
            first_day=max(first_day, since),
            last_day=last_day,
            stocked_empty_days=counts.stocked,
            pooled_variance=pooled,
        )

    watched = reached - timedelta(days=WATCHED_DAYS - 1)
    now = rate(watched, reached)
    usual = rate(watched - timedelta(days=MOST_BASELINE_DAYS), watched - timedelta(days=1))
    cohort = next((each for each in cohorts if stay and each.brood == stay.brood), None)
    own = _of_present_hens(cage, counts, reached - timedelta(days=RECENT_DAYS - 1), reached)
    fell = lay_fell_off(
        own,
        last_day=reached,
        dispersion=pooled.dispersion(WATCHED_DAYS) if pooled else USUAL_DISPERSION,
        decline_a_week=cohort.decline_a_week(reached) if cohort else 0.0,
    )
    brood = seen.broods.get(stay.brood) if stay and stay.brood else None
    hatched = brood.hatched_on if brood else None
    week = [i for i in own if i.first_day > reached - timedelta(days=7)]
    return {
        "cage": str(cage.id),
        "code": cage.code,
        "hens": cage.hens,
        "hatched_on": hatched.isoformat() if hatched else None,
        "cohort": str(stay.brood) if stay and stay.brood else None,
        "rate": shown(now, "lay_rate", "28d"),
        "usual": shown(usual, "lay_rate", "usual"),
        "change": six(now.value / usual.value - 1) if now.value is not None and usual.value else None,
        "week": {
            "eggs": sum(i.eggs for i in week),
            "days": sum(i.days for i in week),
            "usual": six(usual.value * sum(i.hen_days for i in week)) if usual.value is not None else None,
        },
        "fell": _fell(fell),
        "watch_missing": None if isinstance(fell, FellOff) else shown(fell, "lay_fell_off", "28d")["missing"],
        "last_day": _last_day(hatched, seen.laying_life_weeks),
    }


def _too_new(since: date, reached: date) -> Missing:
    have = max((reached - since).days - WATCHED_DAYS, 0)
    return Missing(Reason.TOO_FEW_DAYS, "days", have=have, need=7)


def _fell(fell: FellOff | Missing) -> Shown | None:
    if isinstance(fell, Missing) or not fell.fell or fell.drop is None:
        return None
    return shown(fell.drop, "lay_fell_off", "28d")


def _last_day(hatched: date | None, weeks: int | None) -> str | None:
    return (hatched + timedelta(weeks=weeks)).isoformat() if hatched and weeks else None


def _egg_weights(seen: LayingSeen) -> list[Shown]:
    low, high = seen.band_g or WEIGHT_BAND_WHERE_NONE
    weighed = [eggs.EggWeighing(grams, eggs=number, group=group) for _, grams, number, group in seen.weighed]
    found = eggs.egg_weight(weighed, band_low_g=low, band_high_g=high)
    days = [day for day, *_ in seen.weighed]
    parts = [("egg_weight", found.mean), ("egg_weight_sd", found.sd)]
    if seen.band_g is not None:
        parts.append(("eggs_inside_band", found.inside_band))
    return [{**shown(each, name, "365d"), **_span(days)} for name, each in parts]


def _span(days: Sequence[date]) -> dict[str, str | None]:
    return {"first_day": min(days).isoformat(), "last_day": max(days).isoformat()} if days else {}


@dataclass(frozen=True, slots=True)
class Cohort:
    """Hens of one brood. page: what is shown of them."""

    brood: uuid.UUID
    hatched_on: date
    start: date | Missing
    curves: LayCurves | Missing
    page: dict[str, Any]

    def decline_a_week(self, day: date) -> float:
        """What its curve says lay loses each week from that day on, 0 to 0.19; 0 where it has none."""
        if isinstance(self.curves, Missing) or isinstance(self.start, Missing):
            return 0.0
        week = (day - self.start).days / 7 + 1
        return float(min(max(self.curves.best.decline_a_week(week), 0.0), 0.19))


def _cohorts(seen: LayingSeen, counts: Mapping[uuid.UUID, Counted]) -> list[Cohort]:
    stays: dict[uuid.UUID, list[Stood]] = {}
    for cage in seen.cages:
        for stay in cage.stays:
            if stay.brood is not None and stay.brood in seen.broods:
                stays.setdefault(stay.brood, []).append(stay)
    codes = {cage.id: cage.code for cage in seen.cages}
    found: list[Cohort] = []
    for brood, each in sorted(stays.items(), key=lambda item: seen.broods[item[0]].hatched_on):
        found.append(_cohort(brood, each, seen, counts, codes, earlier=found))
    return found


def _cohort(
    brood: uuid.UUID,
    stays: Sequence[Stood],
    seen: LayingSeen,
    counts: Mapping[uuid.UUID, Counted],
    codes: Mapping[uuid.UUID, str],
    *,
    earlier: Sequence[Cohort],
) -> Cohort:
    code, hatched = seen.broods[brood].code, seen.broods[brood].hatched_on
    cages = [counts[stay.cage].between(stay.from_day, stay.to_day or date.max) for stay in stays]
    start = start_of_lay(cages)
    weeks, rates, hen_days = weekly_rates(cages, start=hatched)
    curves: LayCurves | Missing = (
        start if isinstance(start, Missing) else fit_lay_curve(*weekly_rates(cages, start=start))
    )
    borrowed = next((each for each in reversed(earlier) if not isinstance(each.curves, Missing)), None)
    page: dict[str, Any] = {
        "brood": str(brood),
        "code": code,
        "hatched_on": hatched.isoformat(),
        "cages": sorted({codes[stay.cage] for stay in stays}),
        "stands": any(stay.to_day is None for stay in stays),
        "start": None if isinstance(start, Missing) else start.isoformat(),
        "missing": shown(curves, "lay_curve")["missing"] if isinstance(curves, Missing) else None,
        "weeks": [[int(w), six(float(r)), int(h)] for w, r, h in zip(weeks, rates, hen_days, strict=True)],
        "last_day": _last_day(hatched, seen.laying_life_weeks),
        "years": [],
    }
    if not isinstance(start, Missing):
        for year in (1, 2):
            page["years"].append(_year(cages, start, year, curves, borrowed, seen))
        offset = (start - hatched).days / 7
        if not isinstance(curves, Missing):
            page |= _drawn(curves, offset)
    return Cohort(brood, hatched, start, curves, page)


def _year(
    cages: Sequence[Sequence[CollectionInterval]],
    start: date,
    year: int,
    curves: LayCurves | Missing,
    borrowed: Cohort | None,
    seen: LayingSeen,
) -> dict[str, Any]:
    found = eggs_a_hen(cages, start=start, year=year, curves=curves)
    if found.total.missing is not None and borrowed is not None:
        name = seen.broods[borrowed.brood].code
        with_theirs = eggs_a_hen(cages, start=start, year=year, curves=borrowed.curves, borrowed_from=name)
        found = with_theirs if with_theirs.total.missing is None else found
    name = f"eggs_in_year_{year}"
    return {
        "year": year,
        "observed": shown(found.observed, name, "counted"),
        "forecast": shown(found.forecast, name, "foreseen"),
        "total": shown(found.total, name, "together"),
    }


def _drawn(curves: LayCurves, offset_weeks: float) -> dict[str, Any]:
    """The curve through the weeks seen, and beyond them with its limits; weeks by age of hen."""
    seen = np.arange(1.0, curves.last_week + 1)
    ahead = np.arange(curves.last_week + 1, FORECAST_TO_WEEK + 1, FORECAST_EACH_WEEKS)
    forecast = []
    for week in ahead:
        eggs_, low, high = forecast_eggs(curves, np.arange((week - 1) * 7 + 1, week * 7 + 1))
        forecast.append(rounded([week + offset_weeks, eggs_ / 7, low / 7, high / 7]))
    best = curves.best
    return {
        "model": str(best.model),
        "fitted": [rounded(each) for each in zip(seen + offset_weeks, best.rate(seen), strict=True)],
        "forecast": forecast,
        "peak": rounded([best.peak_week + offset_weeks, best.peak_rate]),
    }
