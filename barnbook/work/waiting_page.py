"""Wait or process: for cocks and for hens of a line, what each more day around the weighing age costs and brings.

The weights are the line's own growth curve, the prices and the feed the owner's (`prices_told`); the interval of the
age at which it turns comes of the curves that the weighings leave possible. A line without a curve, or without prices,
says what is missing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

import numpy as np

from barnbook.barn.models import Bird, Brood, Farm, Line, Outlay
from barnbook.figures.dressing import dressing_share
from barnbook.figures.estimate import Estimate, Missing, Reason
from barnbook.figures.growth import FORESIGHT_DAYS, GrowthCurve, draw_weights, expected_weight
from barnbook.figures.wait_or_process import WaitOrProcess, wait_or_process
from barnbook.work.bred_figures import see_line
from barnbook.work.growth_of_lines import SEXES, LineWeighed, see_weighings
from barnbook.work.shown import rounded, shown, six
from barnbook.work.standard_weights import curves_of

BEFORE_DAYS = 28  # of the weighing age
AFTER_DAYS = 28
DRAWS = 1_000
SEED = 20_260_302


@dataclass(frozen=True, slots=True)
class BroodWaiting:
    """Birds of a brood near the weighing age of whom nobody has said to keep them."""

    code: str
    id: str
    hatched_on: date
    cocks: int
    hens: int


@dataclass(frozen=True, slots=True)
class WaitingSeen:
    """What the barn knows. prices: as last told, or None.  dressing: dressed over live weight of the line's birds."""

    weighed: LineWeighed
    prices: Mapping[str, Any] | None
    dressing: Estimate
    broods: Sequence[BroodWaiting]
    feed_bought: Mapping[str, Any] | None = None  # the last feed with a price: to be proposed, never used by itself


def see_waiting(farm: Farm, line: Line, *, today: date) -> WaitingSeen:
    standard = line.weighing_age_days
    since = today - timedelta(days=standard + AFTER_DAYS)
    until = today - timedelta(days=standard - BEFORE_DAYS)
    broods = Brood.objects.of(farm).filter(line=line, hatched_on__range=(since, until)).order_by("hatched_on", "pk")
    return WaitingSeen(
        weighed=see_weighings(farm, line),
        prices=line.prices,
        dressing=dressing_share(see_line(farm, line.pk).processed),
        broods=[_waiting(farm, brood) for brood in broods],
        feed_bought=_feed_bought(farm),
    )


def _feed_bought(farm: Farm) -> dict[str, Any] | None:
    bought = Outlay.objects.of(farm).filter(sort=Outlay.Sort.BOUGHT, kg__gt=0).exclude(amount=None)
    last = bought.order_by("-day", "-entry").first()
    if last is None or last.amount is None or last.kg is None:
        return None
    return {"per_kg": six(last.amount / last.kg), "currency": last.currency, "bought_on": last.day.isoformat()}


def _waiting(farm: Farm, brood: Brood) -> BroodWaiting:
    """Of those looked at and still here, the ones not placed in a cage and not kept."""
    here = Bird.objects.of(farm).filter(brood=brood, gone=None, cage=None).exclude(decision="keep")
    sexes = list(here.values_list("sex", flat=True))
    return BroodWaiting(brood.code, str(brood.pk), brood.hatched_on, sexes.count("cock"), sexes.count("hen"))


def waiting_page(seen: WaitingSeen) -> dict[str, Any]:
    """The page of one line; see docs/wire.md."""
    curves = curves_of(seen.weighed)
    dressed = seen.prices is not None and seen.prices["sold_by"] == "dressed_kg"
    return {
        "standard_age_days": seen.weighed.standard_age_days,
        "prices": dict(seen.prices) if seen.prices else None,
        "feed_bought": dict(seen.feed_bought) if seen.feed_bought else None,
        "dressing": shown(seen.dressing, "dressing_share") if dressed else None,
        "broods": [
            {
                "brood": each.id,
                "code": each.code,
                "hatched_on": each.hatched_on.isoformat(),
                "cocks": each.cocks,
                "hens": each.hens,
            }
            for each in seen.broods
            if each.cocks + each.hens
        ],
        "sexes": {sex: _of_sex(curves[sex], sex, seen) for sex in SEXES},
    }


def _of_sex(curve: GrowthCurve | Missing, sex: str, seen: WaitingSeen) -> dict[str, Any]:
    weighings = [each for each in seen.weighed.weighings if each.sex == sex]
    days = [each.day for each in weighings]

    def over(estimate: Estimate) -> Estimate:
        return replace(estimate, first_day=min(days, default=None), last_day=max(days, default=None))

    def nothing(missing: Missing) -> dict[str, Any]:
        none = Estimate("days", n=len(weighings), n_of="weighings", missing=missing)
        return {"turns": shown(over(none), "process_at", sex), "weight": None, "steps": []}

    if isinstance(curve, Missing):
        return nothing(curve)
    ages = _ages(curve, seen.weighed.standard_age_days)
    if len(ages) < 2:
        detail = "The weighings of this sex do not reach the weighing age."
        return nothing(Missing(Reason.OUT_OF_RANGE, detail=detail))
    weight = expected_weight(curve, age_days=min(seen.weighed.standard_age_days, ages[-1]))
    standard = shown(over(weight), "weight_at_standard_age", sex)
    if seen.prices is None:
        detail = "Say what feed costs, and what a bird brings."
        return {**nothing(Missing(Reason.NO_RECORDS, "prices", detail=detail)), "weight": standard}
    if seen.prices["sold_by"] == "dressed_kg" and seen.dressing.missing is not None:
        return {**nothing(seen.dressing.missing), "weight": standard}
    found = reckon_waiting(curve, ages, sex=sex, prices=seen.prices, dressing=seen.dressing.value or 1.0)
    turns = replace(found.process_at, n=len(weighings), n_of="weighings")
    return {"turns": shown(over(turns), "process_at", sex), "weight": standard, "steps": _steps(curve, found)}


def _ages(curve: GrowthCurve, standard: int) -> list[float]:
    """Day by day around the weighing age, as far as the curve may be shown."""
    first = max(standard - BEFORE_DAYS, int(np.ceil(curve.fit.first_age_days)))
    ages = range(first, standard + AFTER_DAYS + 1)
    reach = curve.fit.last_age_days + (FORESIGHT_DAYS if curve.seen_whole else 0)
    return [float(age) for age in ages if age <= reach and expected_weight(curve, age_days=age).missing is None]


def reckon_waiting(
    curve: GrowthCurve, ages: Sequence[float], *, sex: str, prices: Mapping[str, Any], dressing: float
) -> WaitOrProcess:
    """By the owner's prices. dressing: dressed over live weight, used where birds are sold by the kg dressed."""
    sold = prices["sold_by"]
    return wait_or_process(
        curve.fit.weight_g(ages),
        age_days=ages,
        feed_g=prices[f"{sex}_feed_g_a_day"] * np.diff(ages),
        feed_price_per_kg=prices["feed_per_kg"],
        price_per_kg=None if sold == "bird" else prices["price"],
        price_per_bird=prices["price"] if sold == "bird" else None,
        share_dressed=dressing if sold == "dressed_kg" else 1.0,
        labour_per_bird_day=prices["labour_a_bird_day"],
        place_per_bird_day=prices["place_a_bird_day"],
        drawn_weight_g=draw_weights(curve, age_days=ages, draws=DRAWS, seed=SEED),
    )


def _steps(curve: GrowthCurve, found: WaitOrProcess) -> list[list[float]]:
    """[age at the end of the day, weight then, gain, feed, brings, costs], one a day."""
    return [
        rounded(
            [
                step.to_age_days,
                float(curve.fit.weight_g(step.to_age_days)),
                step.gain_g,
                step.feed_g,
                step.brings,
                step.costs,
            ]
        )
        for step in found.steps
    ]
