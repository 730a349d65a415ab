"""Counts of classes in groups whose members are alike: chicks of one cage, birds of one brood.

    shares of group j    ~  Dirichlet(p (1 - rho) / rho)
    counts of group j    ~  multinomial(n_j, shares of j)
    variance of a count  =  n p (1 - p) (1 + (n - 1) rho)

p: the class shares of the line.  rho: how alike two chicks of one group are beyond chance; 0 when each chick
is a draw of its own (plain multinomial), 1 when a group is all of one class.  With two classes this is the
beta-binomial. Sources: Mosimann (1962) Biometrika 49:65-82; Kish (1965) for the design effect (both from
memory). Checked against R's VGAM betabinomial and scipy.stats in tests/figures/test_dirichlet_multinomial.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import minimize
from scipy.special import gammaln

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]

NO_LIKENESS = 1e-9
"""rho at or below this is the plain multinomial: the likelihood cannot tell the two apart."""
LIKENESS_GRID: Floats = np.concatenate(([0.0], np.geomspace(0.002, 0.6, 24)))
"""Values of rho between which `likeness_posterior` divides what is possible."""


@dataclass(frozen=True, slots=True, eq=False)
class GroupedShares:
    """Maximum-likelihood class shares, shape (k,), the likeness rho, and the log likelihood they reach."""

    shares: Floats
    rho: float
    log_likelihood: float


def checked_counts(counts: ArrayLike) -> Counts:
    """Counts as whole numbers, shape (groups, classes), groups without a member dropped.

    Raises ValueError for counts that are negative, broken or not finite, for fewer than two classes, or no
    member.
    """
    table = np.atleast_2d(np.asarray(counts, dtype=float))
    if table.ndim != 2 or table.shape[1] < 2:
        raise ValueError("Shares need at least two classes: give the count of each class in each group.")
    if not (np.all(np.isfinite(table)) and np.all(table >= 0) and np.all(table == np.rint(table))):
        raise ValueError("A count of chicks is negative, broken or not a number: give whole counts of 0 or more.")
    whole: Counts = table.astype(np.int64)
    whole = whole[whole.sum(axis=1) > 0]
    if len(whole) == 0:
        raise ValueError("No chick was counted: give at least one group with a chick.")
    return np.asarray(whole)


def log_likelihood(counts: Counts, *, shares: Floats, rho: float) -> float:
    """Log probability of the counts, multinomial coefficients included; -inf when a class of share 0 was
    seen.

    counts: shape (groups, classes). shares: shape (classes,), summing to 1. rho: 0 <= rho < 1.
    """
    n = counts.sum(axis=1)
    ways = float(np.sum(gammaln(n + 1)) - np.sum(gammaln(counts + 1)))
    seen = shares > 0
    if np.any(counts[:, ~seen]):
        return -math.inf
    x, p = counts[:, seen], shares[seen]
    if rho <= NO_LIKENESS:
        return ways + float(np.sum(x * np.log(p)))
    alpha = p * (1 - rho) / rho
    total = (1 - rho) / rho
    group = np.sum(gammaln(total) - gammaln(n + total))
    return ways + float(group + np.sum(gammaln(x + alpha) - gammaln(alpha)))


def fit_shares(counts: Counts) -> GroupedShares:
    """Shares and likeness of greatest likelihood. A class never seen has share 0.

    counts: shape (groups, classes) as from `checked_counts`, at least two groups. Raises ValueError.
    """
    if len(counts) < 2:
        raise ValueError("How alike chicks of one group are needs at least two groups: give more.")
    pooled = counts.sum(axis=0) / counts.sum()
    seen = np.flatnonzero(pooled)
    if len(seen) == 1:
        return GroupedShares(pooled, 0.0, 0.0)
    x, start = counts[:, seen], pooled[seen]

    def parameters(theta: Floats) -> tuple[Floats, float]:
        odds = np.exp(np.append(theta[:-1], 0.0) - np.max(np.append(theta[:-1], 0.0)))
        return odds / odds.sum(), float(1 / (1 + np.exp(-theta[-1])))

    def misfit(theta: Floats) -> float:
        shares, rho = parameters(theta)
        return -log_likelihood(x, shares=shares, rho=rho)

    plain = GroupedShares(pooled, 0.0, log_likelihood(x, shares=start, rho=0.0))
    best = plain
    for rho in (0.01, 0.1):
        theta = np.append(np.log(start[:-1] / start[-1]), math.log(rho / (1 - rho)))
        found = minimize(misfit, theta, method="BFGS", options={"gtol": 1e-7})
        shares, likeness = parameters(found.x)
        if -found.fun > best.log_likelihood + 1e-9:
            whole = np.zeros(len(pooled))
            whole[seen] = shares
            best = GroupedShares(whole, likeness, -float(found.fun))
    return best


def likeness(counts: Counts, *, shares: Floats | None = None) -> Floats:
    """rho by moments: the value at which Pearson's X2 is what it was expected to be, not below 0.

        X2 = sum_j sum_i (x_ij - n_j p_i)^2 / (n_j p_i)

    counts: shape (..., groups, classes). shares: shape (classes,), the p_i if they are claimed; None takes
    the pooled shares, and counts their own uncertainty. Returns shape (...). Classes without a member count
    for nothing.
    """
    n = counts.sum(axis=-1).astype(float)
    total = n.sum(axis=-1, keepdims=True)
    if shares is None:
        p = counts.sum(axis=-2) / total
        chance, per_rho = _spread_about_pooled(np.ones_like(n), n), _spread_about_pooled(n - 1, n)
    else:
        p = np.broadcast_to(shares, counts.shape[:-2] + shares.shape)
        chance, per_rho = np.full(n.shape[:-1], float(n.shape[-1])), (n - 1).sum(axis=-1)
    classes = (p > 0).sum(axis=-1)
    expected = n[..., None] * p[..., None, :]
    with np.errstate(divide="ignore", invalid="ignore"):
        x2 = np.where(expected > 0, (counts - expected) ** 2 / expected, 0.0).sum(axis=(-1, -2))
        rho = (x2 / np.maximum(classes - 1, 1) - chance) / per_rho
    return np.asarray(np.clip(np.nan_to_num(rho), 0.0, 0.999))


def _spread_about_pooled(inflation: Floats, n: Floats) -> Floats:
    """sum_j E (x_j - n_j p^)^2 / (n_j p (1 - p)) for a variance n_j p (1 - p) inflation_j, p^ the pooled
    share.
    """
    total = n.sum(axis=-1, keepdims=True)
    of_pooled = (n * inflation).sum(axis=-1, keepdims=True) / total**2
    return np.asarray((inflation * (1 - 2 * n / total) + n * of_pooled).sum(axis=-1))


def likeness_posterior(counts: Counts, *, shares: Floats) -> Floats:
    """How probable each rho of LIKENESS_GRID is after the counts, shape (25,), summing to 1.

    counts: shape (groups, classes). shares: shape (classes,), summing to 1, the claimed or the pooled ones; a class
    that was seen has a share above 0. Prior density 1 / sqrt(rho): groups are more often alike than not. Where a
    class is rare a table says little of rho, and the one best value (`likeness`) is often 0 by luck.
    """
    n = counts.sum(axis=1)
    seen = shares > 0
    x, p = counts[:, seen], shares[seen]
    total = ((1 - LIKENESS_GRID[1:]) / LIKENESS_GRID[1:])[:, None]
    alpha = total[..., None] * p
    group = (gammaln(total) - gammaln(n + total)).sum(axis=1)
    alike = group + (gammaln(x + alpha) - gammaln(alpha)).sum(axis=(1, 2))
    fits = np.concatenate(([float(np.sum(x * np.log(p)))], alike))
    weight = np.gradient(np.sqrt(LIKENESS_GRID)) * np.exp(fits - fits.max())
    return np.asarray(weight / weight.sum())


def likeness_degrees_of_freedom(counts: Counts) -> float:
    """Degrees of freedom behind `likeness`: (groups - 1)(classes - 1), fewer when a class is rare.

    Satterthwaite's 2 E^2 / V of Pearson's X2 of one group, its variance 2 (k - 1) + (sum 1/p - k^2 - 2 k +
    2) / n (Haldane 1937, from memory), times groups - 1, and at least groups - 1. counts: shape (groups,
    classes), at least two groups.
    """
    total = counts.sum(axis=0)
    p = total[total > 0] / total.sum()
    k = len(p)
    if k < 2:
        return float(len(counts) - 1)
    variance = 2 * (k - 1) + (float(np.sum(1 / p)) - k * k - 2 * k + 2) / float(counts.sum(axis=1).mean())
    return (len(counts) - 1) * max(1.0, 2 * (k - 1) ** 2 / variance)


def design_effect(group_sizes: ArrayLike, *, rho: ArrayLike) -> Floats:
    """How many times wider than by chance alone the variance of a pooled share is: sum n (1 + (n - 1) rho) /
    sum n.

    group_sizes: shape (..., groups). rho: shape (...). Returns shape (...).
    """
    n = np.asarray(group_sizes, dtype=float)
    likeness = np.asarray(rho, dtype=float)[..., None]
    return np.asarray((n * (1 + (n - 1) * likeness)).sum(-1) / n.sum(-1))


def draw_counts(rng: np.random.Generator, *, group_sizes: Counts, shares: Floats, rho: float, draws: int) -> Counts:
    """Counts that such groups might have given, shape (draws, groups, classes)."""
    shape = (draws, len(group_sizes))
    if rho <= NO_LIKENESS:
        p: Floats = np.broadcast_to(shares, (*shape, len(shares)))
    else:
        gamma = rng.standard_gamma(np.maximum(shares * (1 - rho) / rho, 1e-300), size=(*shape, len(shares)))
        total = gamma.sum(axis=-1, keepdims=True)
        p = np.where(total > 0, gamma / np.where(total > 0, total, 1.0), shares)
    return np.asarray(rng.multinomial(np.broadcast_to(group_sizes, shape), p))
