"""Eggs to set: the least number from which enough keepers of each sex come out, at 90 % sure.

An egg becomes a cock that is kept with probability c, a hen that is kept with probability h:

    c = hatch x live x cock x cut_cock
    h = hatch x live x (1 - cock) x cut_hen
    (cocks, hens, the rest) of N eggs ~ Multinomial(N; c, h, 1 - c - h)
    N* = least N with  E[ P(cocks >= a and hens >= b | c, h) ] >= 0.90

where the mean is over all that is not known: each rate's own uncertainty and how the next hatch differs from
the last. Nothing is plugged in: with few records behind the rates the answer is larger, as it should be.

Sources: predictive probability of a beta-binomial, Gelman et al. (2013) Bayesian Data Analysis ch. 5 (from
memory); a setting succeeds when both sexes suffice. Checked by simulation in
tests/figures/test_eggs_to_set.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import betainc, betaln, gammaln, xlog1py, xlogy

from barnbook.figures.clustered_share import checked_groups
from barnbook.figures.estimate import Missing, Reason

Array = NDArray[np.float64]

SURE = 0.90
DRAWS = 4000
MOST_EGGS = 5000
LEAST_EGGS = 30
"""Eggs set in the past, below which the hatch is not known well enough to plan on."""
LEAST_BIRDS = 10
RHO_PRIOR = 15.0
"""Correlation within a hatch before anything is seen: Beta(1, 15), mean 0.06 (Crowder's seeds and cbpp span it)."""


@dataclass(frozen=True, slots=True)
class PastGroups:
    """k of n in each past hatch or brood: chicks of eggs set, chicks alive of chicks hatched, cocks of sexed, ..."""

    k: tuple[int, ...]
    n: tuple[int, ...]

    def __post_init__(self) -> None:
        checked_groups(self.k, self.n)


@dataclass(frozen=True, slots=True)
class PastRates:
    """What is known of the way from egg to keeper.

    hatch: chicks of eggs set, by setting.  live: chicks alive at the weighing age, of those hatched, by
    brood. cocks: cocks of birds sexed, by brood.  cut_cocks, cut_hens: birds that made the cut weight, of
    those weighed.
    """

    hatch: PastGroups
    live: PastGroups
    cocks: PastGroups
    cut_cocks: PastGroups
    cut_hens: PastGroups


@dataclass(frozen=True, slots=True)
class EggsToSet:
    """The answer. eggs: N*.  probability: of enough at N*; one_fewer: at N* - 1.

    cocks, hens: expected numbers kept of N* eggs.  draws: Monte Carlo draws behind it.
    """

    eggs: int
    probability: float
    one_fewer: float
    cocks: float
    hens: float
    draws: int = DRAWS


def eggs_to_set(
    past: PastRates, *, cocks_wanted: int, hens_wanted: int, sure: float = SURE, seed: int = 0
) -> EggsToSet | Missing:
    """Least number of eggs from which at least so many cocks and hens that make the cut come, at `sure`.

    cocks_wanted, hens_wanted: 0 or more, not both 0 [birds].  Missing: TOO_FEW_RECORDS under 30 eggs set
    before, or under 10 birds behind another rate (`what` names it); OUT_OF_RANGE when 5,000 eggs would not
    do. The Monte Carlo error of the probability is about sqrt(p (1 - p) / draws), half a point at most.
    Raises ValueError.
    """
    return eggs_to_set_each(past, [(cocks_wanted, hens_wanted)], sure=sure, seed=seed)[0]


def eggs_to_set_each(
    past: PastRates, wanted: Sequence[tuple[int, int]], *, sure: float = SURE, seed: int = 0
) -> list[EggsToSet | Missing]:
    """`eggs_to_set` for each (cocks, hens) wanted, all from the same draws: as if asked one by one, and quicker.

    Missing and errors as there.
    """
    for birds in wanted:
        if any(not 0 <= each < math.inf or each % 1 for each in birds) or not sum(birds) or not 0 < sure < 1:
            raise ValueError(
                "Say how many cocks and hens are wanted, at least one bird, and how sure, between 0 and 1."
            )
    missing = _too_little(past)
    if missing is not None:
        return [missing] * len(wanted)
    cock, hen = draw_shares(past, draws=DRAWS, rng=np.random.default_rng(seed))
    return [_least(cock, hen, cocks, hens, sure) for cocks, hens in wanted]


def _least(cock: Array, hen: Array, cocks_wanted: int, hens_wanted: int, sure: float) -> EggsToSet | Missing:
    if cocks_wanted + hens_wanted > MOST_EGGS:
        return _not_with_so_many()

    def enough(eggs: int) -> float:
        return float(np.mean(probability_of_enough(eggs, cock, hen, cocks_wanted, hens_wanted)))

    low, high = cocks_wanted + hens_wanted - 1, 2 * (cocks_wanted + hens_wanted)
    while enough(high) < sure:
        low, high = high, 2 * high
        if high > MOST_EGGS:
            return _not_with_so_many()
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) >= sure else (middle, high)
    return EggsToSet(
        eggs=high,
        probability=enough(high),
        one_fewer=enough(high - 1) if high > 1 else 0.0,
        cocks=high * float(cock.mean()),
        hens=high * float(hen.mean()),
    )


def draw_shares(past: PastRates, *, draws: int, rng: np.random.Generator) -> tuple[Array, Array]:
    """Draws of (c, h) for the next setting: share of its eggs that become kept cocks, kept hens; shape (draws,)."""
    hatch, live, cocks, cut_cocks, cut_hens = (
        next_group_share(rate, draws=draws, rng=rng)
        for rate in (past.hatch, past.live, past.cocks, past.cut_cocks, past.cut_hens)
    )
    chick = hatch * live
    return chick * cocks * cut_cocks, chick * (1 - cocks) * cut_hens


def next_group_share(past: PastGroups, *, draws: int, rng: np.random.Generator) -> Array:
    """Draws of the share of the next group, given past ones: beta-binomial, its mean and correlation both uncertain.

    Posterior of (mu, rho) on a grid under Jeffreys' Beta(1/2, 1/2) for mu and Beta(1, 15) for rho; then mu,
    rho, then the next group's own share from Beta. shape (draws,).
    """
    mu = (np.arange(200) + 0.5) / 200
    rho = 0.5 * ((np.arange(60) + 0.5) / 60) ** 2  # finer near 0, up to 0.5
    k, n = (np.array(x, dtype=float)[:, None, None] for x in (past.k, past.n))
    size = (1 / rho - 1)[None, :]
    a, b = mu[:, None] * size, (1 - mu)[:, None] * size
    log_posterior = (betaln(k + a, n - k + b) - betaln(a, b)).sum(axis=0)
    log_posterior += -0.5 * np.log(mu * (1 - mu))[:, None] + ((RHO_PRIOR - 1) * np.log1p(-rho) + 0.5 * np.log(rho))
    weight = np.exp(log_posterior - log_posterior.max()).ravel()
    cell = rng.choice(weight.size, size=draws, p=weight / weight.sum())
    shift = rng.random((2, draws)) - 0.5  # spread evenly within the cell
    mean = np.clip(mu[cell // 60] + shift[0] / 200, 1e-6, 1 - 1e-6)
    within = np.clip(0.5 * ((cell % 60 + 0.5 + shift[1]) / 60) ** 2, 1e-6, None)
    return np.asarray(rng.beta(mean * (1 / within - 1), (1 - mean) * (1 / within - 1)), dtype=np.float64)


def probability_of_enough(eggs: int, cock: Array, hen: Array, cocks_wanted: int, hens_wanted: int) -> Array:
    """P(cocks >= a and hens >= b) of N eggs for given shares c and h; shape of `cock`.

        1 - P(cocks < a) - P(hens < b) + sum_(i < a) P(cocks = i) P(hens < b | cocks = i)

    Of the N - i eggs that gave no kept cock each gives a kept hen with h / (1 - c). The sum runs over the sex of
    which fewer are wanted.
    """
    if cocks_wanted > hens_wanted:
        return probability_of_enough(eggs, hen, cock, hens_wanted, cocks_wanted)
    of_the_rest = np.clip(hen / np.maximum(1 - cock, 1e-300), 0, 1)
    both = np.zeros_like(cock)
    for i in range(min(cocks_wanted, eggs + 1)):
        both += _exactly(i, eggs, cock) * _fewer(hens_wanted, eggs - i, of_the_rest)
    return np.asarray(np.clip(1 - _fewer(cocks_wanted, eggs, cock) - _fewer(hens_wanted, eggs, hen) + both, 0, 1))


def _exactly(k: int, n: int, p: Array) -> Array:
    """P(k of n), binomial."""
    choices = gammaln(n + 1) - gammaln(k + 1) - gammaln(n - k + 1)
    return np.asarray(np.exp(choices + xlogy(k, p) + xlog1py(n - k, -p)))


def _fewer(k: int, n: int, p: Array) -> Array:
    """P(fewer than k of n), binomial: the regularised incomplete beta function."""
    if k <= 0 or k > n:
        return np.full_like(p, float(k > 0))
    return np.asarray(betainc(n - k + 1, k, 1 - p))


def _not_with_so_many() -> Missing:
    return Missing(Reason.OUT_OF_RANGE, "eggs", have=MOST_EGGS, detail="even so many eggs would not do")


def _too_little(past: PastRates) -> Missing | None:
    needs: Sequence[tuple[str, PastGroups, int]] = (
        ("eggs_set", past.hatch, LEAST_EGGS),
        ("chicks_followed", past.live, LEAST_BIRDS),
        ("birds_sexed", past.cocks, LEAST_BIRDS),
        ("cocks_weighed", past.cut_cocks, LEAST_BIRDS),
        ("hens_weighed", past.cut_hens, LEAST_BIRDS),
    )
    for what, groups, need in needs:
        if sum(groups.n) < need:
            return Missing(Reason.TOO_FEW_RECORDS, what, have=sum(groups.n), need=need)
    return None
