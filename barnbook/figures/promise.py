"""Promise: how many eggs can be promised for a date, and from which day an order can be kept.

    an order is accepted when it is kept in at least 90 of 100 possible futures, and breaks no earlier word

A future is drawn from the forecast lay rate with its interval, from week to week with the line's own unruliness
(beta-binomial weeks), and from day to day as chance has it. In each, the store is kept egg by egg by the day laid:
what was set aside to be set and what was promised before is taken out in the order of its days, oldest eggs first
within the age each use allows. Eggs laid within a withdrawal span are not sold.
Default ages for hatching eggs: at most 7 days old (Mississippi State Univ. Ext. node 24592; Shim), see docs/sources.md.
Checked in: fixtures/checks/promise.csv and by simulated months.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, logit
from scipy.stats import norm

from barnbook.figures.estimate import Estimate, Missing
from barnbook.figures.pedigree import FloatArray, IntArray

SURE = 0.9
DRAWS = 4_000
SEED = 20_240_502
DAYS_A_WEEK = 7
OLDEST_DAYS = 7
EDGE = 1e-4  # a rate of 0 or 1 is drawn from beside the edge, where its limits still say how unsure it is


@dataclass(frozen=True, slots=True)
class Use:
    """Eggs to be taken from the store on a day: an order, or eggs set aside to be set (sold=False).

    youngest_days, oldest_days: age of the eggs that day, both in; an egg laid that day is 0 days old.
    """

    name: str
    day: date
    eggs: int
    youngest_days: int = 1
    oldest_days: int = OLDEST_DAYS
    sold: bool = True


@dataclass(frozen=True, slots=True, eq=False)
class Futures:
    """Sound eggs that the line may lay. eggs: (draws, days) from first_day on."""

    first_day: date
    eggs: IntArray

    @property
    def last_day(self) -> date:
        """The last day that the forecast covers."""
        return self.first_day + timedelta(days=self.eggs.shape[1] - 1)


@dataclass(frozen=True, slots=True)
class Promise:
    """The answer to an order. sure: chance that it is kept.  accepted: at least 90 % sure and no earlier word broken.

    breaks: earlier uses that would become too unsure.  most_eggs: the largest order that could be accepted that day.
    first_day: the first day, from the one asked on, from which this order could be accepted; None within the
    forecast.
    """

    accepted: bool
    sure: Estimate
    breaks: tuple[str, ...]
    most_eggs: int
    first_day: date | None


def futures(
    rate: Estimate | Sequence[Estimate],
    *,
    hens: Sequence[int],
    first_day: date,
    dispersion: float = 1.0,
    degrees_of_freedom: float = np.inf,
    sound_share: Estimate | None = None,
    draws: int = DRAWS,
    seed: int = SEED,
) -> Futures | Missing:
    """Draw what the line may lay.

    rate: forecast eggs a hen-day, one for all days or one a day, with limits.  hens: (days,) hens by day.
    dispersion: of weekly totals over binomial chance (1 is chance alone), with its degrees of freedom.
    sound_share: share of the eggs fit to be used; all unless given.  Missing: that of the first rate that is missing.
    Raises ValueError for a rate outside 0 to 1, hens below 0, no days, or a dispersion that is not above 0.
    """
    if not len(hens) or any(not 0 <= number < np.inf or number % 1 for number in hens):
        raise ValueError("Give the hens of each day of the forecast, at least one day and never below 0 hens.")
    if not draws >= 1:
        raise ValueError(f"{draws} futures show nothing: ask for one or more.")
    if not (np.isfinite(dispersion) and dispersion > 0 and degrees_of_freedom > 0):
        raise ValueError(f"The dispersion is {dispersion} on {degrees_of_freedom} degrees of freedom: both above 0.")
    rates = [rate] * len(hens) if isinstance(rate, Estimate) else list(rate)
    if len(rates) != len(hens):
        raise ValueError(f"{len(rates)} lay rates for {len(hens)} days: give one for each day, or one for all.")
    shares = [*rates, *([] if sound_share is None else [sound_share])]
    for share in shares:
        if share.missing is not None:
            return share.missing
    rng = np.random.default_rng(seed)
    p = _drawn(rates, rng, draws)
    if sound_share is not None:
        p = p * _drawn([sound_share], rng, draws)
    birds = np.asarray(hens, dtype=np.int64)
    p = _weeks(p, birds, dispersion, degrees_of_freedom, rng)
    return Futures(first_day, rng.binomial(birds, p).astype(np.int64))


def _drawn(shares: Sequence[Estimate], rng: np.random.Generator, draws: int) -> FloatArray:
    """(draws, days) shares drawn on the logit scale; one draw is high or low on all days alike."""
    value = np.array([share.value for share in shares], dtype=np.float64)
    low = np.array([share.value if share.low is None else share.low for share in shares], dtype=np.float64)
    high = np.array([share.value if share.high is None else share.high for share in shares], dtype=np.float64)
    if not (np.isfinite(value).all() and (low >= 0).all() and (low <= high).all() and (high <= 1).all()):
        raise ValueError("A forecast lay rate or share of sound eggs lies outside 0 to 1: check what it was made from.")
    at, least, most = (logit(np.clip(x, EDGE, 1 - EDGE)) for x in (value, low, high))
    spread = (most - least) / (2 * norm.ppf(0.975))
    return np.asarray(expit(at + spread * rng.normal(size=(draws, 1))), dtype=np.float64)


def _weeks(
    p: FloatArray, hens: IntArray, dispersion: float, degrees_of_freedom: float, rng: np.random.Generator
) -> FloatArray:
    """Let each week be better or worse than the rate, so that weekly totals vary `dispersion` times binomial
    chance.
    """
    draws, days = p.shape[0], hens.size
    hen_days = DAYS_A_WEEK * float(hens.mean())
    if hen_days <= 1:
        return np.broadcast_to(p, (draws, days))
    certain = not np.isfinite(degrees_of_freedom)
    chi = np.ones(draws) if certain else rng.chisquare(degrees_of_freedom, size=draws) / degrees_of_freedom
    phi = dispersion / chi
    rho = np.clip((phi - 1) / (hen_days - 1), 1e-9, 0.999)[:, None]
    week = (np.arange(days) + rng.integers(DAYS_A_WEEK, size=(draws, 1))) // DAYS_A_WEEK
    weeks = int(week.max()) + 1
    # The week's luck is the same rank on all its days, also where the rate itself changes from day to day.
    middle = np.clip(p.mean(axis=1, keepdims=True), EDGE, 1 - EDGE)
    a, b = middle * (1 / rho - 1), (1 - middle) * (1 / rho - 1)
    luck = np.clip(rng.beta(np.broadcast_to(a, (draws, weeks)), np.broadcast_to(b, (draws, weeks))), 1e-12, 1 - 1e-12)
    step = logit(luck) - logit(middle)
    return np.asarray(
        expit(logit(np.clip(p, EDGE, 1 - EDGE)) + np.take_along_axis(step, week, axis=1)), dtype=np.float64
    )


def kept(
    drawn: Futures,
    *,
    uses: Sequence[Use],
    store: Mapping[date, int] | None = None,
    withheld: Collection[date] = (),
) -> NDArray[np.bool_]:
    """Whether each use is wholly met in each future, shape (draws, uses), uses in the order given.

    store: sound eggs in the store by the day laid, before first_day.  withheld: days laid whose eggs are not sold.
    On one day, eggs set aside go before orders, and orders in the order given. A use that falls short takes what
    there is. Raises ValueError for a use outside the forecast, or eggs or ages that cannot be.
    """
    there = _there(drawn, uses=uses, store=store, withheld=withheld)
    return np.asarray(there >= np.array([use.eggs for use in uses], dtype=np.int64))


def _there(
    drawn: Futures,
    *,
    uses: Sequence[Use],
    store: Mapping[date, int] | None,
    withheld: Collection[date],
) -> IntArray:
    """The eggs that each use finds in each future when its turn comes, shape (draws, uses)."""
    for use in uses:
        _refuse(use, drawn)
    laid, first = _laid(drawn, store or {})
    not_sold = np.array([first + timedelta(days=at) in withheld for at in range(laid.shape[1])])
    found = np.empty((laid.shape[0], len(uses)), dtype=np.int64)
    for at in sorted(range(len(uses)), key=lambda at: (uses[at].day, uses[at].sold)):
        use = uses[at]
        today = (use.day - first).days
        begin, end = max(0, today - use.oldest_days), max(0, today - use.youngest_days + 1)
        there = laid[:, begin:end] * ~(not_sold[begin:end] & use.sold)
        before = np.cumsum(there, axis=1) - there
        laid[:, begin:end] -= np.clip(use.eggs - before, 0, there)
        found[:, at] = there.sum(axis=1)
    return found


@dataclass(frozen=True, slots=True)
class Standing:
    """How a use given before stands now. sure: chance that it is met.  short: eggs it lacks in one future of ten."""

    name: str
    sure: float
    short: int


def standing(
    drawn: Futures,
    *,
    uses: Sequence[Use],
    store: Mapping[date, int] | None = None,
    withheld: Collection[date] = (),
    sure: float = SURE,
) -> list[Standing]:
    """How each of the uses stands, in the order given. Raises ValueError as `kept`."""
    there = _there(drawn, uses=uses, store=store, withheld=withheld)
    return [
        Standing(use.name, float((there[:, at] >= use.eggs).mean()), max(0, use.eggs - _least(there[:, at], sure)))
        for at, use in enumerate(uses)
    ]


def most_by_day(
    drawn: Futures,
    *,
    days: Sequence[date],
    oldest_days: int = OLDEST_DAYS,
    before: Sequence[Use] = (),
    store: Mapping[date, int] | None = None,
    withheld: Collection[date] = (),
    sure: float = SURE,
) -> list[int]:
    """The largest order that `promise` would accept for each of the days. Raises ValueError as `kept`.

    Where no earlier word comes later, it is what the order would find in all but 1 - sure of the futures; elsewhere
    it is sought below that, by halving.
    """
    base = kept(drawn, uses=before, store=store, withheld=withheld).mean(axis=0)
    need = np.minimum(sure, base) - 1e-12
    found = []
    for day in days:

        def hurts(eggs: int, day: date = day) -> bool:
            asked = Use("asked", day, eggs, oldest_days=oldest_days)
            met = kept(drawn, uses=[*before, asked], store=store, withheld=withheld)[:, :-1].mean(axis=0)
            return bool((met < need).any())

        nothing = Use("asked", day, 0, oldest_days=oldest_days)
        most = _least(_there(drawn, uses=[*before, nothing], store=store, withheld=withheld)[:, -1], sure)
        if most > 0 and any(use.day > day for use in before) and hurts(most):
            low, high = 0, most
            while high - low > 1:
                middle = (low + high) // 2
                low, high = (low, middle) if hurts(middle) else (middle, high)
            most = low
        found.append(most)
    return found


def _least(there: IntArray, sure: float) -> int:
    """The most eggs that are there in at least `sure` of the futures. Raises ValueError unless 0 < sure < 1."""
    if not 0 < sure < 1:
        raise ValueError(f"An order cannot be {sure} sure: say how sure, between 0 and 1.")
    ordered = np.sort(there)[::-1]
    return int(ordered[int(np.ceil(sure * len(ordered) - 1e-9)) - 1])


def _refuse(use: Use, drawn: Futures) -> None:
    if not drawn.first_day <= use.day <= drawn.last_day:
        raise ValueError(f"{use.name} is for {use.day}, outside the forecast {drawn.first_day} to {drawn.last_day}.")
    whole = all(0 <= number < np.inf and not number % 1 for number in (use.eggs, use.youngest_days, use.oldest_days))
    if not whole or use.youngest_days > use.oldest_days:
        raise ValueError(
            f"{use.name} asks for {use.eggs} eggs of {use.youngest_days} to {use.oldest_days} days: correct it."
        )


def _laid(drawn: Futures, store: Mapping[date, int]) -> tuple[IntArray, date]:
    """(draws, days) eggs by the day laid, those in the store before the forecast, and the first of the days."""
    if any(day >= drawn.first_day for day in store) or any(
        not 0 <= eggs < np.inf or eggs % 1 for eggs in store.values()
    ):
        raise ValueError(
            f"Eggs in the store were laid before {drawn.first_day} and are whole, never below 0: correct the store."
        )
    first = min(store, default=drawn.first_day)
    old = np.zeros((drawn.first_day - first).days, dtype=np.int64)
    for day, eggs in store.items():
        old[(day - first).days] = eggs
    return np.hstack((np.broadcast_to(old, (drawn.eggs.shape[0], old.size)), drawn.eggs)), first


def promise(
    order: Use,
    *,
    drawn: Futures | Missing,
    before: Sequence[Use] = (),
    store: Mapping[date, int] | None = None,
    withheld: Collection[date] = (),
    sure: float = SURE,
) -> Promise:
    """Whether an order can be promised, after all that was promised and set aside `before` (whatever its day).

    With a forecast that is missing nothing is accepted, and the figure says what is missing. Raises ValueError for an
    order or use outside the forecast, or numbers that cannot be.
    """
    if not 0 < sure < 1:
        raise ValueError(f"An order cannot be {sure} sure: say how sure, between 0 and 1.")
    if isinstance(drawn, Missing):
        return Promise(False, Estimate("share", n_of="futures", missing=drawn), (), 0, None)

    base = kept(drawn, uses=before, store=store, withheld=withheld).mean(axis=0)

    def answer(asked: Use) -> tuple[float, tuple[str, ...]]:
        met = kept(drawn, uses=[*before, asked], store=store, withheld=withheld).mean(axis=0)
        hurt = [use.name for use, now, then in zip(before, met, base, strict=False) if now < min(sure, then) - 1e-12]
        return float(met[-1]), tuple(hurt)

    def acceptable(asked: Use) -> bool:
        chance, hurt = answer(asked)
        return chance >= sure and not hurt

    chance, hurt = answer(order)
    days = (drawn.last_day - order.day).days
    later = (order.day + timedelta(days=wait) for wait in range(days + 1))
    return Promise(
        accepted=chance >= sure and not hurt,
        sure=Estimate(
            "share",
            chance,
            n=drawn.eggs.shape[0],
            n_of="futures",
            method="simulated_store",
            first_day=drawn.first_day,
            last_day=order.day,
        ),
        breaks=hurt,
        most_eggs=_most(order, acceptable, int(drawn.eggs.sum(axis=1).max()) + sum((store or {}).values())),
        first_day=next((day for day in later if acceptable(replace(order, day=day))), None),
    )


def _most(order: Use, acceptable: Callable[[Use], bool], ceiling: int) -> int:
    """The largest acceptable order that day, by halving: more eggs are never surer."""
    low, high = 0, ceiling + 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if acceptable(replace(order, eggs=middle)) else (low, middle)
    return low
