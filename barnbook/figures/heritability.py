"""Heritability: the share of the differences in weight that parents pass on.

    h^2 = s_a^2 / (s_a^2 + other random variances + s_e^2)

From an animal model by restricted maximum likelihood (Patterson & Thompson 1971, Biometrika 58:545, from
memory), with the interval of the profile likelihood: every h^2 whose deviance lies within 3.84 of the least. That
interval knows that h^2 cannot pass 0 or 1. From dams within sires by the nested analysis of variance (Becker 1984;
Henderson's method 1 for unequal numbers, from memory): h^2 = 4 s_sire^2 / s_p^2 and so on; it is the older
way and here the check of the newer.
Checked in: fixtures/checks/heritability.csv
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq, minimize, minimize_scalar
from scipy.stats import chi2

from barnbook.figures.estimate import Estimate, Missing, Reason
from barnbook.figures.mixed_model import MixedModel, solve
from barnbook.figures.pedigree import FloatArray

LEAST_SHARE = 1e-6  # stands for none: ratios stay finite
LEAST_RECORDS = 20
DEVIANCE_95 = float(chi2.ppf(0.95, 1))


@dataclass(frozen=True, slots=True)
class Shares:
    """Shares of the variance, one a random term, the rest residual; with the variances in squared units of
    y.
    """

    shares: tuple[float, ...]
    variances: tuple[float, ...]
    residual_variance: float
    deviance: float


def ratios_of(shares: Sequence[float]) -> list[float]:
    """Ratios s_e^2 / s_k^2 from the shares of the terms. Raises ValueError unless each is above 0, the sum
    below 1.
    """
    rest = 1 - sum(shares)
    if not (rest > 0 and all(share > 0 for share in shares)):
        raise ValueError(f"The shares of the variance are {list(shares)}: each above 0, together below 1.")
    return [rest / share for share in shares]


def deviance(model: MixedModel, shares: Sequence[float]) -> float:
    """Minus twice the restricted log-likelihood at given shares of the variance, one a random term of the model.

    Raises ValueError as `ratios_of`, and for a model that is not factored.
    """
    value = solve(model, ratios_of(shares)).deviance
    if value is None:
        raise ValueError("The likelihood needs factored equations: there are too many parents for that.")
    return value


def likely_shares(model: MixedModel) -> Shares:
    """Restricted maximum likelihood shares of one or two random terms. A share of 1e-6 stands for none."""
    # The deviance may have two hollows (all genes or all brood): begin in the deeper one.
    grid = [np.array(point) for point in itertools.product((-4.0, -2.0, -0.5, 1.0), repeat=len(model.sizes))]
    start = min(grid, key=lambda t: deviance(model, _shares(t)))
    options = {"xatol": 1e-5, "fatol": 1e-9}
    best = minimize(lambda t: deviance(model, _shares(t)), start, method="Nelder-Mead", options=options)
    shares = _shares(best.x)
    residual = solve(model, ratios_of(shares)).residual_variance
    rest = 1 - sum(shares)
    return Shares(shares, tuple(residual * share / rest for share in shares), residual, float(best.fun))


def _shares(t: FloatArray) -> tuple[float, ...]:
    """Free numbers to shares that are above 0 and leave something over."""
    odds = np.exp(np.clip(t, -14, 14))
    return tuple(float(share) for share in np.maximum(odds / (1 + odds.sum()), LEAST_SHARE))


def deviance_at(model: MixedModel, share: float) -> tuple[float, float]:
    """Least deviance with the first term's share held, and the share of the second term there (0 without
    one).
    """
    if len(model.sizes) == 1:
        return deviance(model, [share]), 0.0
    found = minimize_scalar(
        lambda other: deviance(model, [share, other]),
        bounds=(LEAST_SHARE, (1 - share) * 0.999),
        method="bounded",
        options={"xatol": 1e-3},
    )
    at_none = deviance(model, [share, LEAST_SHARE])
    return (at_none, LEAST_SHARE) if at_none < found.fun else (float(found.fun), float(found.x))


def heritability(model: MixedModel, *, n_of: str = "weighings") -> Estimate:
    """h^2 of a model whose first random term is the animal, with its profile interval.

    Missing: TOO_FEW_RECORDS below 20 records; NO_VARIATION when all records are alike but for the fixed
    effects.
    """
    n = int(model.y.size)
    if n < LEAST_RECORDS:
        missing = Missing(Reason.TOO_FEW_RECORDS, what=n_of, have=n, need=LEAST_RECORDS)
        return Estimate("share", n=n, n_of=n_of, missing=missing)
    if _left_over(model) <= 1e-12 * float(model.y @ model.y):
        missing = Missing(Reason.NO_VARIATION, what=n_of, have=n, detail="all weights are alike")
        return Estimate("share", n=n, n_of=n_of, missing=missing)
    best = likely_shares(model)
    value = best.shares[0]

    def above(share: float) -> float:
        return deviance_at(model, share)[0] - best.deviance - DEVIANCE_95

    return Estimate(
        "share",
        value if value > 2 * LEAST_SHARE else 0.0,
        _limit(above, value, LEAST_SHARE, end=0.0),
        _limit(above, value, 1 - 1e-3, end=1.0),
        n=n,
        n_of=n_of,
        method="reml_profile",
    )


def _left_over(model: MixedModel) -> float:
    """Sum of squares about the fixed effects alone."""
    X = model.X.toarray()
    fitted = X @ np.linalg.lstsq(X, model.y, rcond=None)[0]
    return float(np.sum((model.y - fitted) ** 2))


def _limit(above: Callable[[float], float], inside: float, outside: float, *, end: float) -> float:
    """Where the deviance passes its 95 % mark between the best share and the end of the scale."""
    if abs(inside - outside) < 1e-9 or above(outside) <= 0:
        return end
    return float(brentq(above, inside, outside, xtol=1e-3))


@dataclass(frozen=True, slots=True)
class NestedComponents:
    """Dams within sires. df, ss, ms: sires, dams, progeny. component: variances in squared units, may be
    below 0.

    h2_sire, h2_dam, h2_both: 4 s^2 / total variance; not held within 0 and 1, so that a bad one is seen.
    """

    df: tuple[int, int, int]
    ss: tuple[float, float, float]
    ms: tuple[float, float, float]
    component: tuple[float, float, float]
    h2_sire: float
    h2_dam: float
    h2_both: float


def nested_components(
    weight_g: Sequence[float], *, sire: Sequence[str], dam: Sequence[str]
) -> NestedComponents | Missing:
    """Variance between sires, between dams within sires, and within dams, from weights of progeny [g].

    All of one length. Missing with TOO_FEW_GROUPS unless there are two sires, one sire with two dams and one
    dam with two progeny. Raises ValueError for weights that are not finite, or a dam under two sires.
    """
    y = np.asarray(weight_g, dtype=np.float64)
    if not (y.size == len(sire) == len(dam)):
        raise ValueError(f"{y.size} weights, {len(sire)} sires and {len(dam)} dams: give one of each for every bird.")
    if not np.isfinite(y).all():
        raise ValueError("A weight is not a finite number: correct or leave out that bird.")
    dams, of_dam = np.unique(np.asarray(dam), return_inverse=True)
    sires, of_sire = np.unique(np.asarray(sire), return_inverse=True)
    sire_of = np.zeros(dams.size, dtype=np.int64)
    sire_of[of_dam] = of_sire
    if not np.array_equal(sire_of[of_dam], of_sire):
        name = dams[of_dam[np.flatnonzero(sire_of[of_dam] != of_sire)[0]]]
        raise ValueError(f"Dam {name} stands under two sires: name her apart for each, or use the animal model.")
    df = (sires.size - 1, dams.size - sires.size, y.size - dams.size)
    if min(df) < 1:
        what, have = (
            ("sires", "dams", "progeny")[int(np.argmin(df))],
            (sires.size, dams.size, y.size)[int(np.argmin(df))],
        )
        return Missing(Reason.TOO_FEW_GROUPS, what=what, have=have, need=have + 1 - min(df))
    n_dam, n_sire = np.bincount(of_dam), np.bincount(of_sire)
    mean_dam = np.bincount(of_dam, weights=y) / n_dam
    mean_sire = np.bincount(of_sire, weights=y) / n_sire
    ss = (
        float(n_sire @ (mean_sire - y.mean()) ** 2),
        float(n_dam @ (mean_dam - mean_sire[sire_of]) ** 2),
        float(np.sum((y - mean_dam[of_dam]) ** 2)),
    )
    ms = (ss[0] / df[0], ss[1] / df[1], ss[2] / df[2])
    share = float(np.sum(n_dam**2 / n_sire[sire_of]))
    k1 = (y.size - share) / df[1]
    k2 = (share - float(np.sum(n_dam**2)) / y.size) / df[0]
    k3 = (y.size - float(np.sum(n_sire**2)) / y.size) / df[0]
    between_dams = (ms[1] - ms[2]) / k1
    between_sires = (ms[0] - ms[2] - k2 * between_dams) / k3
    total = between_sires + between_dams + ms[2]
    if not total > 0:
        return Missing(Reason.NO_VARIATION, what="progeny", have=y.size, detail="all weights are alike")
    return NestedComponents(
        df=df,
        ss=ss,
        ms=ms,
        component=(between_sires, between_dams, ms[2]),
        h2_sire=4 * between_sires / total,
        h2_dam=4 * between_dams / total,
        h2_both=2 * (between_sires + between_dams) / total,
    )
