"""Wait or process: what each more day brings and costs, and the age at which waiting stops paying.

    brings = price a kg * share dressed * gain / 1000         [money, from one age to the next, for one bird]
           or the rise of the price a bird
    costs  = feed price a kg * feed / 1000 + days * (labour a bird-day + place a bird-day)
    margin = brings - costs

Birds are best processed at the age where the sum of the margins from now on is greatest: the age at which the
marginal cost passes the marginal return. It is reckoned for one sex at a time, because hens of Coturnix gain
longer. What the place would earn with the next brood belongs into `place_per_bird_day`: without it the rule
is that of the best margin a bird, which is not that of the best margin a year (USDA ERS-246, 1965, summary).
Prices are the owner's. Numbers: Indian J. Anim. Res. BF-1579 (docs/sources.md), checked in
tests/figures/test_wait_or_process.py. Processing: local rules on slaughter and sale decide, not this figure.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barnbook.figures.estimate import Estimate, Missing, Reason

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Step:
    """One bird kept from one age to the next: gain and feed [g], the rest [money].

    feed_per_gain: feed eaten for each gram gained; None when nothing was gained.
    """

    from_age_days: float
    to_age_days: float
    gain_g: float
    feed_g: float
    brings: float
    costs: float
    feed_per_gain: float | None

    @property
    def margin(self) -> float:
        """What keeping the bird over this step leaves [money]."""
        return self.brings - self.costs


@dataclass(frozen=True, slots=True)
class WaitOrProcess:
    """The steps, and the age at which to process [days from hatch]: the first age when no step pays."""

    steps: tuple[Step, ...]
    process_at: Estimate


def wait_or_process(
    weight_g: ArrayLike,
    *,
    age_days: ArrayLike,
    feed_g: ArrayLike,
    feed_price_per_kg: float,
    price_per_kg: float | None = None,
    price_per_bird: ArrayLike | None = None,
    share_dressed: float = 1.0,
    labour_per_bird_day: float = 0.0,
    place_per_bird_day: float = 0.0,
    drawn_weight_g: Floats | None = None,
) -> WaitOrProcess:
    """Margin of every step and the age of the greatest sum of margins, for birds of one sex.

    weight_g, age_days: shape (m,), m >= 2, ages rising; the expected weight at each age [g, days from hatch].
    feed_g: shape (m - 1,), feed one bird eats over each step [g]. price_per_kg: of what is sold [money per
    kg]; live with `share_dressed` 1, dressed with the dressing share. price_per_bird: one price or shape
    (m,) [money]. Exactly one of the two prices. drawn_weight_g: shape (draws, m), curves the weighings leave
    possible (growth.draw_weights); they give the interval of the age (2.5 and 97.5 % of the draws).

    process_at: NOT_IDENTIFIED when the drawn curves turn at ages that the fitted one lies outside of, for then the
    weighings do not fix it. OUT_OF_RANGE when the greatest sum lies at the last age given (waiting still pays there:
    give more ages). Ties go to the earlier age. Notes: "place_not_counted" when `place_per_bird_day` is 0,
    "a_later_step_pays" when a step past the age found pays again by itself, "no_interval" without draws.
    Raises ValueError for weights, ages, feed or prices that are negative, not finite or of differing length.
    """
    age = _rising(age_days)
    weight = _amounts("weight", weight_g, len(age))
    feed = _amounts("feed", feed_g, len(age) - 1)
    money = {"feed price": feed_price_per_kg, "labour": labour_per_bird_day, "price of the place": place_per_bird_day}
    for name, amount in money.items():
        _amounts(name, [amount], 1)
    if not 0 < share_dressed <= 1:
        raise ValueError(f"A dressing share of {share_dressed} is none: give a share above 0 and at most 1.")
    if (price_per_kg is None) == (price_per_bird is None):
        raise ValueError("Give either a price a kg or a price a bird, not both and not none.")
    days = np.diff(age)
    costs = feed_price_per_kg * feed / 1000 + days * (labour_per_bird_day + place_per_bird_day)

    def brings(weights: Floats) -> Floats:
        if price_per_kg is not None:
            _amounts("price a kg", [price_per_kg], 1)
            return np.asarray(np.diff(weights) * price_per_kg * share_dressed / 1000)
        price = np.broadcast_to(np.asarray(price_per_bird, dtype=float), age.shape)
        return np.diff(_amounts("price a bird", price, len(age))) + np.zeros((*np.shape(weights)[:-1], 1))

    brought = brings(weight)
    steps = tuple(
        Step(
            from_age_days=float(age[i]),
            to_age_days=float(age[i + 1]),
            gain_g=float(weight[i + 1] - weight[i]),
            feed_g=float(feed[i]),
            brings=float(brought[i]),
            costs=float(costs[i]),
            feed_per_gain=float(feed[i] / (weight[i + 1] - weight[i])) if weight[i + 1] > weight[i] else None,
        )
        for i in range(len(days))
    )
    notes: tuple[str, ...] = () if place_per_bird_day else ("place_not_counted",)
    best = _best(brought - costs)
    if any(step.margin > 0 for step in steps[int(best) :]):
        notes += ("a_later_step_pays",)
    if best == len(days):
        missing = Missing(Reason.OUT_OF_RANGE, "days", float(age[-1]), None, "waiting still pays at the last age given")
        return WaitOrProcess(steps, Estimate("days", n=len(age), n_of="ages", missing=missing, notes=notes))
    low = high = None
    if drawn_weight_g is None:
        notes += ("no_interval",)
    else:
        drawn = np.asarray(drawn_weight_g, dtype=float)
        if drawn.ndim != 2 or drawn.shape[1] != len(age) or len(drawn) == 0 or not np.all(np.isfinite(drawn)):
            raise ValueError(
                f"The drawn curves do not fit {len(age)} ages: give one weight a draw and age, all numbers."
            )
        ages_found = age[_best(brings(drawn) - costs)]
        low, high = (float(q) for q in np.quantile(ages_found, [0.025, 0.975], method="inverted_cdf"))
        if not low <= age[best] <= high:
            detail = (
                "the weighings do not tell the days between well enough: weigh some birds of more broods every week"
            )
            missing = Missing(Reason.NOT_IDENTIFIED, "days", detail=detail)
            return WaitOrProcess(steps, Estimate("days", n=len(age), n_of="ages", missing=missing, notes=notes))
    method = "greatest_sum_of_margins"
    found = Estimate("days", float(age[best]), low, high, n=len(age), n_of="ages", method=method, notes=notes)
    return WaitOrProcess(steps, found)


def _best(margin: Floats) -> NDArray[np.intp]:
    """Place of the greatest sum of margins, the earliest of equals; 0 when none pays. Over the last axis."""
    total = np.concatenate((np.zeros((*margin.shape[:-1], 1)), np.cumsum(margin, axis=-1)), axis=-1)
    return np.asarray(np.argmax(total, axis=-1))


def _rising(age_days: ArrayLike) -> Floats:
    age = np.asarray(age_days, dtype=float)
    if age.ndim != 1 or len(age) < 2:
        raise ValueError("Waiting needs at least two ages: give the age now and a later one.")
    if not (np.all(np.isfinite(age)) and age[0] >= 0 and np.all(np.diff(age) > 0)):
        raise ValueError("The ages do not rise from 0 days or more: give each age once, in order.")
    return age


def _amounts(name: str, amounts: ArrayLike, n: int) -> Floats:
    values = np.asarray(amounts, dtype=float)
    if values.shape != (n,):
        raise ValueError(f"{values.size} values of {name} stand where {n} are needed: give one for each.")
    if not (np.all(np.isfinite(values)) and np.all(values >= 0)):
        raise ValueError(f"A value of {name} is negative or not a number: give 0 or more.")
    return values
