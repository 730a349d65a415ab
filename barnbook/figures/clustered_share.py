"""A share over several groups (trays, shipments, broods) that differ from one another.

Eggs of one tray share its place, turning and parents, so k of n over several trays is worth less than n eggs.
One group gets Wilson's interval; several get limits on the logit scale:

    p = sum k / sum n
    phi = sum (k_i - p n_i)^2 / (n_i p (1 - p)) / (m - 1)                             (Pearson)
    SE = max( sqrt(phi p (1 - p) / sum n),  sqrt(m / (m - 1) sum (k_i - p n_i)^2) / sum n )
    half width = max( t SE,  z sqrt(p (1 - p) / sum n) ) / (p (1 - p)),   t with m - 1 degrees of freedom

SE is the larger of the quasi-binomial and the ratio estimator, for the first is too small when groups differ
much in size. Groups that by luck agree better than chance would have them never give narrower limits than as
many independent eggs (z); Student's t is not laid on top of that floor, for the binomial variance is known.
The beta-binomial fit (mean mu, correlation rho within a group) describes the groups, and what the next may bring.

Simulated coverage (tests/figures/coverage.py, docs/figures.md): 93 to 97 % for three groups or more that differ
(rho 0.05 and above); 97 to 98 % for two groups, and up to 98.5 % for few groups that do not differ at all: there
the floor makes the limits wide, on the safe side.

Sources: McCullagh & Nelder (1989) section 4.5; Cochran (1977) ch. 6; beta-binomial, Crowder (1978) Appl.
Statist. 27:34; moderated variance, Smyth (2004) Stat. Appl. Genet. Mol. Biol. 3:3 (all forms from memory).
Checked against R, VGAM and SciPy in tests/figures/test_clustered_share.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.special import gammaln

from barnbook.figures.interval import expit, logit, normal_quantile, t_quantile, wilson

Array = NDArray[np.float64]

ASSUMED_RHO = 0.05
"""Correlation within a group where the groups cannot tell (none or all hatched); the note
`dispersion_assumed` says so. Between the 0.002 to 0.017 of Crowder's seeds and the 0.12 of cbpp
(fixtures/data)."""

LEAST_LOGIT_RHO = -18.0  # stands for none


@dataclass(frozen=True, slots=True)
class UsualSpread:
    """What earlier groups of the same kind say of the spread: rho, and the degrees of freedom it stands on.

    Raises ValueError unless 0 <= rho <= 1 and the degrees of freedom are above 0 and finite.
    """

    rho: float
    degrees_of_freedom: float

    def __post_init__(self) -> None:
        if not (0 <= self.rho <= 1 and 0 < self.degrees_of_freedom < math.inf):
            raise ValueError(f"{self} is no spread: give a correlation of 0 to 1 and degrees of freedom above 0.")


@dataclass(frozen=True, slots=True)
class ClusteredShare:
    """A share with its limits, [0 to 1].

    dispersion: phi, variance over that of independent eggs, at least 1; None for a single group.  groups, n: what it
    stands on.  method: `wilson`, `logit_quasi_binomial_t` or `wilson_effective_n`.
    """

    value: float
    low: float
    high: float
    method: str
    groups: int
    n: int
    dispersion: float | None


@dataclass(frozen=True, slots=True)
class BetaBinomial:
    """Maximum-likelihood fit: mean mu, correlation within a group rho = 1 / (a + b + 1), log-likelihood.

    The log-likelihood counts the binomial coefficients.
    """

    mu: float
    rho: float
    log_likelihood: float

    @property
    def a(self) -> float:
        """First parameter of the beta distribution of the groups' shares; infinite when rho is 0."""
        return self.mu * (1 - self.rho) / self.rho if self.rho > 0 else math.inf

    @property
    def b(self) -> float:
        """Second parameter."""
        return (1 - self.mu) * (1 - self.rho) / self.rho if self.rho > 0 else math.inf


def clustered_share(k: Sequence[int], n: Sequence[int], *, usual: UsualSpread | None = None) -> ClusteredShare:
    """Share over groups with its 95 % limits.

    k, n: shape (m,), 0 <= k_i <= n_i, n_i > 0 [counts].  usual: the spread of earlier groups; it lends its
    degrees of freedom, so that two or three trays need not stand alone. When every k is 0, or every one n,
    the groups cannot tell how they differ: Wilson on n / phi with the usual, or assumed, spread. Raises
    ValueError.
    """
    counts, sizes = checked_groups(k, n)
    m, total = len(sizes), float(sizes.sum())
    share = float(counts.sum() / total)
    if m == 1:
        plain = wilson(float(counts[0]), total)
        return ClusteredShare(plain.value, plain.low, plain.high, plain.method, 1, int(total), None)
    known = _dispersion_of(usual.rho if usual else ASSUMED_RHO, sizes)
    if share in (0, 1):
        worth = wilson(share * total / known, total / known)
        return ClusteredShare(share, worth.low, worth.high, "wilson_effective_n", m, int(total), known)
    chance = share * (1 - share) / total
    missed = (counts - share * sizes) ** 2
    dispersion = float((missed / sizes).sum()) / (share * (1 - share) * (m - 1))
    own = max(dispersion, m / (m - 1) * float(missed.sum()) / total**2 / chance)
    freedom = float(m - 1)
    if usual is not None:
        freedom = usual.degrees_of_freedom + m - 1
        dispersion = own = (usual.degrees_of_freedom * known + (m - 1) * own) / freedom
    wide = max(t_quantile(freedom) * math.sqrt(own), normal_quantile())
    step = wide * math.sqrt(chance) / (share * (1 - share))
    low, high = expit(logit(share) - step), expit(logit(share) + step)
    return ClusteredShare(share, low, high, "logit_quasi_binomial_t", m, int(total), max(dispersion, 1.0))


def fit_beta_binomial(k: Sequence[int], n: Sequence[int]) -> BetaBinomial:
    """Beta-binomial fitted by maximum likelihood; rho is 0 when the groups differ less than chance would have them.

    k, n: shape (m,), m >= 2, as `clustered_share`; every k 0 or every k n gives mu 0 or 1 and rho 0. Raises
    ValueError.
    """
    counts, sizes = checked_groups(k, n)
    if len(sizes) < 2:
        raise ValueError("One group says nothing of how groups differ: give at least two.")
    share = float(counts.sum() / sizes.sum())
    if share in (0, 1):
        return BetaBinomial(share, 0.0, 0.0)

    groups = _Groups(counts, sizes)
    moments = usual_spread([(k, n)])
    rho = min(max(moments.rho if moments else 0.05, 0.005), 0.5)
    fit = minimize(
        groups.loss,
        np.array([logit(share), logit(rho)]),
        jac=True,
        method="L-BFGS-B",
        bounds=[(-30.0, 30.0), (LEAST_LOGIT_RHO, -LEAST_LOGIT_RHO)],
        options={"ftol": 0.0, "gtol": 1e-9, "maxiter": 500},
    )
    choices = float((gammaln(sizes + 1) - gammaln(counts + 1) - gammaln(sizes - counts + 1)).sum())
    best = BetaBinomial(share, 0.0, choices - groups.loss(np.array([logit(share), -math.inf]))[0])
    found = BetaBinomial(expit(float(fit.x[0])), expit(float(fit.x[1])), choices - float(fit.fun))
    return found if found.log_likelihood > best.log_likelihood + 1e-9 and found.rho > 1e-6 else best


class _Groups:
    """The beta-binomial likelihood of groups, less its binomial coefficients, written as sums of logarithms:

        sum_j  R_j log(mu + j t) + S_j log(1 - mu + j t) - T_j log(1 + j t),   t = rho / (1 - rho)

    R_j, S_j, T_j: how many groups have more than j hatched, more than j not hatched, more than j in all. It is the
    same as differences of log beta functions, holds at rho = 0 too, and has its slope beside it.
    """

    def __init__(self, k: Array, n: Array) -> None:
        self.j = np.arange(float(n.max()))
        self.more = [_more_than(each, self.j) for each in (k, n - k, n)]

    def loss(self, x: Array) -> tuple[float, Array]:
        """Minus the log-likelihood and its slope. x: logit of mu, logit of rho (minus infinity: independent eggs)."""
        mu, t = expit(float(x[0])), math.exp(float(x[1]))
        hatched, not_hatched, every = self.more
        spread = self.j * t
        parts = mu + spread, (1 - mu) + spread, 1 + spread
        value = hatched @ np.log(parts[0]) + not_hatched @ np.log(parts[1]) - every @ np.log(parts[2])
        a, b, c = hatched / parts[0], not_hatched / parts[1], every / parts[2]
        slope = [(a.sum() - b.sum()) * mu * (1 - mu), (a + b - c) @ spread]
        return -float(value), -np.array(slope)


def _more_than(counts: Array, j: Array) -> Array:
    """How many of the counts are above each j."""
    return (len(counts) - np.searchsorted(np.sort(counts), j, side="right")).astype(np.float64)


def usual_spread(settings: Sequence[tuple[Sequence[int], Sequence[int]]]) -> UsualSpread | None:
    """Spread of trays within earlier settings (or of shipments within customers), pooled; None when none has two.

    settings: (k, n) of the groups of each. rho by moments:  E phi_s = 1 + rho (c_s - 1),
    c_s = (sum n - sum n^2 / sum n) / (m - 1); at least 0. Settings that hatched none or all are passed over.
    """
    above = scale = freedom = 0.0
    for k, n in settings:
        counts, sizes = checked_groups(k, n)
        share, m = float(counts.sum() / sizes.sum()), len(sizes)
        if m < 2 or share in (0, 1):
            continue
        pearson = float(((counts - share * sizes) ** 2 / sizes).sum()) / (share * (1 - share))
        above += pearson - (m - 1)
        scale += float(sizes.sum() - (sizes**2).sum() / sizes.sum()) - (m - 1)
        freedom += m - 1
    if freedom == 0 or scale <= 0:
        return None
    return UsualSpread(min(max(above / scale, 0.0), 1.0), freedom)


def checked_groups(k: Sequence[int], n: Sequence[int]) -> tuple[Array, Array]:
    """k and n as arrays; ValueError unless 0 <= k <= n, n > 0, whole, finite and one of each."""
    counts, sizes = np.asarray(k, dtype=float), np.asarray(n, dtype=float)
    if counts.shape != sizes.shape or counts.ndim != 1 or counts.size == 0:
        raise ValueError(f"{counts.size} counts stand beside {sizes.size} sizes: give one of each for every group.")
    bad = ~((counts >= 0) & (counts <= sizes) & (sizes > 0) & np.isfinite(sizes))
    bad |= (np.floor(counts) != counts) | (np.floor(sizes) != sizes)
    if bad.any():
        i = int(np.argmax(bad))
        raise ValueError(f"Group {i + 1} has {k[i]} of {n[i]}: give whole numbers with 0 <= k <= n and n above 0.")
    return counts, sizes


def _dispersion_of(rho: float, sizes: Array) -> float:
    """phi of the pooled share for groups of these sizes: 1 + rho (sum n^2 / sum n - 1)."""
    return 1 + rho * float((sizes**2).sum() / sizes.sum() - 1)
