"""What an off-type weighs against the type, and what culling it costs the line in weight.

    weight = brood + sex + difference * (1 if off-type else 0) + chance       [g, at the standard age]
    cost of culling = - share of off-types * difference                       [g in the mean of the birds kept]

Ordinary least squares with each brood and sex its own level, so that an off-type from a heavy brood is
compared with its own hatch mates. Limits by Student's t. Source: any text on linear models (Searle 1971,
from memory); checked against statsmodels in tests/figures/test_off_type_weight.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barnbook.figures import interval
from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason

Floats = NDArray[np.float64]
MIN_BIRDS = 5
"""Least birds of each of the two, type and off-type, in broods that hold both."""


def weight_difference(
    weight_g: ArrayLike,
    *,
    off_type: Sequence[bool] | NDArray[np.bool_],
    sexes: Sequence[str] | NDArray[Any],
    broods: Sequence[Any] | NDArray[Any],
) -> Estimate:
    """Weight of the off-type less that of the type, sex and brood held equal [g].

    weight_g: shape (n,), at the standard age. off_type, sexes, broods: shape (n,). A brood that holds
    only one of the two say nothing of the difference; n counts those of the others, the rest is left out and
    counted. Missing: no bird (NO_RECORDS), fewer than 5 of either (TOO_FEW_BIRDS), off-type mixed up with
    brood or sex (NOT_IDENTIFIED), every weight as sex and brood foretell (NO_VARIATION). Raises ValueError
    for weights not above 0, NaN, infinity or lists of differing length.
    """
    weight, off, sex, brood = _checked(weight_g, off_type, sexes, broods)
    if len(weight) == 0:
        return Estimate("g", n=0, n_of="birds", missing=Missing(Reason.NO_RECORDS, "birds", 0, 2 * MIN_BIRDS))
    telling = _holds_both(off, brood)
    left_out: tuple[LeftOut, ...] = ()
    if not telling.all():
        left_out = (LeftOut("birds", int((~telling).sum()), "brood_without_both"),)
    weight, off, sex, brood = weight[telling], off[telling], sex[telling], brood[telling]
    least = int(min(off.sum(), (~off).sum()))
    if least < MIN_BIRDS:
        what = "off-types" if off.sum() <= (~off).sum() else "birds of the type"
        missing = Missing(Reason.TOO_FEW_BIRDS, what, least, MIN_BIRDS)
        return Estimate("g", n=len(weight), n_of="birds", missing=missing, left_out=left_out)
    design = np.column_stack((_levels(brood), _levels(sex)[:, 1:], off.astype(float)))
    free = len(weight) - design.shape[1]
    # A bird's off-type once brood and sex are taken out of it: what is left tells the difference.
    others = design[:, :-1]
    own = design[:, -1] - others @ np.linalg.lstsq(others, design[:, -1], rcond=None)[0]
    spread = float(own @ own)
    if spread < 1e-9 * len(weight) or free < 1:
        missing = Missing(Reason.NOT_IDENTIFIED, detail="the off-type goes with a sex or a brood")
        return Estimate("g", n=len(weight), n_of="birds", missing=missing, left_out=left_out)
    residual = weight - design @ np.linalg.lstsq(design, weight, rcond=None)[0]
    rss = float(residual @ residual)
    if rss <= 1e-18 * float(weight @ weight):
        missing = Missing(Reason.NO_VARIATION, "weights", detail="no weight differs from its sex and brood")
        return Estimate("g", n=len(weight), n_of="birds", missing=missing, left_out=left_out)
    value = float(own @ weight) / spread
    half = interval.t_quantile(free) * (rss / free / spread) ** 0.5
    method = "least_squares_sex_brood_t"
    return Estimate("g", value, value - half, value + half, len(weight), "birds", method, left_out=left_out)


def cost_of_culling(difference: Estimate, *, share_off_type: float) -> Estimate:
    """Change of the line's mean weight when its off-types are not kept [g a bird].

    difference: from `weight_difference`. share_off_type: of the birds, from `true_to_type.class_shares`,
    taken as known. Negative where the off-type is the heavier one: that is what culling it costs. What is
    missing there is missing here. Raises ValueError for a share outside 0 to 1.
    """
    if not 0 <= share_off_type <= 1:
        raise ValueError(f"A share of {share_off_type} is none: give the share of off-types from 0 to 1.")
    if difference.value is None or difference.low is None or difference.high is None:
        return Estimate("g", n=difference.n, n_of=difference.n_of, missing=difference.missing)
    low, high = -share_off_type * difference.high, -share_off_type * difference.low
    return Estimate(
        "g",
        -share_off_type * difference.value,
        low,
        high,
        difference.n,
        difference.n_of,
        difference.method,
        left_out=difference.left_out,
        notes=("share_taken_as_known",),
    )


def _levels(labels: NDArray[Any]) -> Floats:
    """One column of 0 and 1 for each label."""
    names, place = np.unique(labels, return_inverse=True)
    return np.asarray(np.eye(len(names))[place])


def _holds_both(off: NDArray[np.bool_], brood: NDArray[Any]) -> NDArray[np.bool_]:
    _, place = np.unique(brood, return_inverse=True)
    some_off = np.bincount(place, weights=off) > 0
    some_type = np.bincount(place, weights=~off) > 0
    return np.asarray((some_off & some_type)[place])


def _checked(
    weight_g: ArrayLike, off_type: Sequence[bool] | NDArray[np.bool_], sexes: Any, broods: Any
) -> tuple[Floats, NDArray[np.bool_], NDArray[Any], NDArray[Any]]:
    weight = np.asarray(weight_g, dtype=float)
    off, sex, brood = np.asarray(off_type, dtype=bool), np.asarray(sexes), np.asarray(broods)
    for name, given in (("off-type marks", off), ("sexes", sex), ("broods", brood)):
        if given.shape != weight.shape:
            raise ValueError(f"{weight.size} weights stand beside {given.size} {name}: give one for each.")
    for place in np.flatnonzero(~(np.isfinite(weight) & (weight > 0))):
        raise ValueError(f"Bird {place + 1} weighs {weight[place]} g: give grams above 0 or leave it out.")
    return weight, off, sex, brood
