"""Lay rates of many cages at once: the arithmetic of `laying.lay_rate` over arrays, for a whole barn and years of it.

The same definitions, thresholds and limits; tests/figures/test_laying_many.py holds the two to the same
answers. Days are numbered from 0, the first column of `hens`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammaincinv, stdtrit

from barnbook.figures.estimate import Reason
from barnbook.figures.interval import DISPERSION_FLOOR, LEVEL
from barnbook.figures.laying import LEAST_DAYS, LEAST_INTERVALS

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class LayRates:
    """Lay rates [eggs/hen-day] with 95 % limits, hen-days and intervals of each cage, shape (cages,) each.

    value, low, high are NaN where `reason` says why the rate may not be shown; elsewhere reason is None.
    """

    value: Array
    low: Array
    high: Array
    hen_days: Array
    intervals: NDArray[np.int64]
    reason: NDArray[np.object_]


def lay_rates(
    cage: ArrayLike,
    day: ArrayLike,
    eggs: ArrayLike,
    *,
    hens: ArrayLike,
    first_day: int,
    last_day: int,
    clash: ArrayLike | None = None,
    stocked_empty: tuple[ArrayLike, ArrayLike] | None = None,
) -> LayRates:
    """What happened in each cage from first_day to last_day, both in.

    cage, day, eggs, clash: one of each a count, shape (n,), in any order; day is the last day of lay [column
    of hens]. hens: alive at the start of each day, shape (cages, days), from `laying.hens_by_day`; below zero
    where entries contradict. stocked_empty: (cage, day) of stockings. Reasons as `laying.lay_rate`. Raises
    ValueError on counts or days that cannot be.
    """
    alive = np.asarray(hens)
    if alive.ndim != 2 or not (np.isfinite(alive).all() and (alive == np.rint(alive)).all()):
        raise ValueError("Hens are whole numbers by cage and day, shape (cages, days): see `laying.hens_by_day`.")
    if not all(np.isfinite(np.asarray(each, dtype=float)).all() for each in (cage, day)):
        raise ValueError("A count names no cage or no day: give both as places in `hens`.")
    cages, days = alive.shape
    of, at, laid = np.asarray(cage, dtype=np.int64), np.asarray(day, dtype=np.int64), np.asarray(eggs, dtype=float)
    if not of.shape == at.shape == laid.shape:
        raise ValueError(f"{of.size} cages, {at.size} days and {laid.size} counts: give one of each a count.")
    if of.size and not (of.min() >= 0 and of.max() < cages and at.min() >= 0 and at.max() < days):
        raise ValueError("A count names a cage or a day that `hens` does not have: give hens for every day counted.")
    if not (np.isfinite(laid).all() and (laid >= 0).all()) or not 0 <= first_day <= last_day < days:
        raise ValueError("Eggs are whole numbers of 0 or more, and the span lies within the days of `hens`.")
    place = of * days + at
    eggs_on = np.bincount(place, laid, cages * days)
    counted = np.bincount(place, minlength=cages * days) > 0
    ends = counted.copy()
    if stocked_empty is not None:
        ends[np.asarray(stocked_empty[0]) * days + np.asarray(stocked_empty[1])] = True
    settled = np.ones(cages * days, dtype=bool)
    if clash is not None:
        settled[place[np.asarray(clash, dtype=bool)]] = False

    end = np.flatnonzero(ends)
    row, until = np.divmod(end, days)
    follows = np.concatenate(([False], row[1:] == row[:-1])) & counted[end]
    since = np.concatenate(([0], until[:-1]))
    use = follows & (since >= first_day - 1) & (until <= last_day) & settled[end]
    total = np.concatenate((np.zeros((cages, 1)), np.cumsum(alive, axis=1)), axis=1)
    row, since, until, y = row[use], since[use], until[use], eggs_on[end[use]]
    h = total[row, until + 1] - total[row, since + 1]
    stood = h != 0
    row, since, until, y, h = row[stood], since[stood], until[stood], y[stood], h[stood]

    intervals = np.bincount(row, minlength=cages)
    hen_days, eggs_of = np.bincount(row, h, cages), np.bincount(row, y, cages)
    length = np.bincount(row, until - since, cages)
    with np.errstate(divide="ignore", invalid="ignore"):
        rate = eggs_of / hen_days
        expected = rate[row] * h
        chi2 = np.bincount(row, (y - expected) ** 2 / expected, cages)
        dispersion = np.maximum(chi2 / (intervals - 1), DISPERSION_FLOOR)
        step = stdtrit(np.maximum(intervals - 1, 1), 0.5 + LEVEL / 2) * np.sqrt(dispersion / eggs_of)
        none = eggs_of == 0
        low = np.where(none, 0.0, rate * np.exp(-step))
        high = np.where(none, gammaincinv(1, 0.5 + LEVEL / 2) / hen_days, rate * np.exp(step))

    reason = np.full(cages, None, dtype=object)
    reason[rate > 1] = Reason.OUT_OF_RANGE
    reason[intervals < LEAST_INTERVALS] = Reason.TOO_FEW_RECORDS
    reason[length < LEAST_DAYS] = Reason.TOO_FEW_DAYS
    reason[_below_zero(alive, row, since, until)] = Reason.CONTRADICTION
    reason[intervals == 0] = Reason.NO_RECORDS
    hidden = reason != None  # noqa: E711  (element by element)
    value, low, high = (np.where(hidden, np.nan, x) for x in (rate, low, np.minimum(high, 1.0)))
    return LayRates(value, low, high, hen_days.astype(np.float64), intervals.astype(np.int64), reason)


def _below_zero(
    hens: NDArray[np.generic], row: NDArray[np.int64], since: NDArray[np.int64], until: NDArray[np.int64]
) -> NDArray[np.bool_]:
    """Cages with fewer than no hens on a day from their first used to their last used interval."""
    cages, days = hens.shape
    first, last = np.full(cages, days), np.full(cages, -1)
    np.minimum.at(first, row, since + 1)
    np.maximum.at(last, row, until)
    bad, on = np.nonzero(np.asarray(hens) < 0)
    found = np.zeros(cages, dtype=bool)
    found[bad[(on >= first[bad]) & (on <= last[bad])]] = True
    return found
