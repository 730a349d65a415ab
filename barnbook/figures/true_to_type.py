"""True to type: what share of the chicks is of each plumage class, and whether the line hatches as it is
claimed to.

    share   = chicks of the class / chicks seen
    limits  = Wilson's, at 1 - 0.05 / classes each: all classes at once hold with 95 % (Goodman 1965);
              at 0.95 for two classes, which have one share between them

Chicks of one mating are draws of their own; chicks of several matings are not, because the chicks of a cage
have their parents in common. With several cages n is divided by the design effect of their likeness rho
(dirichlet_multinomial.py), and the limits are the wider of two:

    rho by moments, Student's t for the normal quantile     classes that most cages have: rho is seen
    rho by its posterior mean, the normal quantile          rare classes: rho is hardly seen, and may be 0 by luck

The claim is then tested by parametric bootstrap instead of exactly. A class never seen has the share 0 and an
upper limit above it. Simulated coverage (tests/figures/coverage.py, docs/figures.md): 93 to 97 % for cages that
differ, a rare class of 10 cages or more among them; up to 99 % on the safe side for five or six cages, or cages
that do not differ at all.

Sources: Goodman (1965) Technometrics 7:247-254; the exact test sums the probabilities of all outcomes no
more likely than the one seen (Radlow & Alf 1975), both from memory. Checked against R, Mendel's counts and
statsmodels in tests/figures/test_true_to_type.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import gammaln, ndtr

from barnbook.figures import dirichlet_multinomial as grouped
from barnbook.figures import interval
from barnbook.figures.dirichlet_multinomial import Counts, Floats
from barnbook.figures.estimate import Estimate, Missing, Reason

MIN_CHICKS = 20
MIN_CAGES = 3
ENUMERATED = 300_000
"""Most outcomes that the exact test lists; beyond it draws them."""
DRAWS = 20_000
AS_LIKELY = 1e-9
"""Two outcomes whose probabilities differ by less than this part are held equally likely: rounding, not
chance.
"""


@dataclass(frozen=True, slots=True)
class ClaimTest:
    """Test of the class shares that the line is sold as.

    p_value: chance of a hatch at least as far off if the claim holds; None when `missing` says why there is
    none. method: "exact_multinomial", "monte_carlo_multinomial", "bootstrap_dirichlet_multinomial".
    monte_carlo_error: the standard error of a drawn p_value, 0 for an exact one. rho: likeness of chicks of
    one cage, None for one mating.
    """

    p_value: float | None
    method: str = ""
    n: int = 0
    monte_carlo_error: float = 0.0
    rho: float | None = None
    missing: Missing | None = None


def class_shares(counts: ArrayLike, *, classes: Sequence[str]) -> dict[str, Estimate]:
    """Share of each plumage class [0 to 1] with limits that hold for all classes at once.

    counts: shape (cages, classes), chicks by cage; one row when all chicks are of one mating [chicks].
    classes: shape (classes,), their names. Missing: no chick (NO_RECORDS), fewer than 20 (TOO_FEW_RECORDS),
    two cages (TOO_FEW_GROUPS: their likeness cannot be told; give them apart). Notes: "one_mating" when the
    limits speak of that mating alone. Raises ValueError for counts that are none, or names that do not fit.
    """
    if len(set(classes)) != len(classes):
        raise ValueError("Two plumage classes have the same name: give each its own.")
    missing, table = _table(counts, len(classes))
    if missing is not None or table is None:
        n = 0 if table is None else int(table.sum())
        return {name: Estimate("share", n=n, n_of="chicks", missing=missing) for name in classes}
    n = int(table.sum())
    # Two classes have one share between them: nothing is asked at once.
    level = 1 - 0.05 / (len(classes) if len(classes) > 2 else 1)
    one_mating = len(table) == 1
    ways = [(1.0, level)] if one_mating else _over_cages(table, level)
    method = "goodman_simultaneous" if len(classes) > 2 else "wilson"
    method += "" if one_mating else "_effective_n_t"
    shares = {}
    for name, seen in zip(classes, table.sum(axis=0), strict=True):
        found = [interval.wilson(float(seen) / effect, n / effect, level=at) for effect, at in ways]
        shares[name] = Estimate(
            "share",
            float(seen) / n,
            min(limits.low for limits in found),
            max(limits.high for limits in found),
            n=n,
            n_of="chicks",
            method=method,
            notes=("one_mating",) if one_mating else (),
        )
    return shares


def _over_cages(table: Counts, level: float) -> list[tuple[float, float]]:
    """Design effect and level of the two ways at the top of this file, rho by moments first."""
    sizes = table.sum(axis=1)
    t = interval.t_quantile(grouped.likeness_degrees_of_freedom(table), level=level)
    posterior = grouped.likeness_posterior(table, shares=table.sum(axis=0) / table.sum())
    mean = float(posterior @ grouped.LIKENESS_GRID)
    by_moments, by_posterior = (float(grouped.design_effect(sizes, rho=r)) for r in (grouped.likeness(table), mean))
    return [(by_moments, 2 * float(ndtr(t)) - 1), (by_posterior, level)]


def claim_test(counts: ArrayLike, *, claim: ArrayLike, seed: int, draws: int = DRAWS) -> ClaimTest:
    """Does the line hatch as it is claimed to? Null: the classes come in the claimed shares.

    counts: as in `class_shares`. claim: shape (classes,), shares or parts (97, 2, 1), 0 or more, summing
    above 0. seed, draws: of the drawn tests. One mating: exact multinomial up to 300,000 outcomes, beyond it
    drawn. Several cages (at least three): parametric bootstrap of the pooled X2 over its design effect, the
    likeness estimated anew in each draw. A claimed share of 0 that was seen: p 0. Raises ValueError for a
    claim that is none, or fewer than one draw.
    """
    if not draws >= 1:
        raise ValueError(f"{draws} draws test nothing: ask for one or more.")
    shares = _claimed(claim)
    missing, table = _table(counts, len(shares), least=1)
    if missing is not None or table is None:
        return ClaimTest(None, missing=missing)
    n = int(table.sum())
    if np.any(table[:, shares == 0]):
        return ClaimTest(0.0, "claimed_never_yet_seen", n)
    if len(table) > 1:
        return _bootstrap(table, shares, seed, draws)
    outcomes = math.comb(n + len(shares) - 1, len(shares) - 1)
    if outcomes <= ENUMERATED:
        return ClaimTest(exact_multinomial_p(table[0], shares=shares), "exact_multinomial", n)
    likelihood = _log_probability(np.random.default_rng(seed).multinomial(n, shares, size=draws), shares)
    as_far = likelihood <= _log_probability(table, shares)[0] + AS_LIKELY
    return _drawn(int(as_far.sum()), draws, "monte_carlo_multinomial", n, rho=None)


def exact_multinomial_p(counts: ArrayLike, *, shares: Floats) -> float:
    """Sum of the probabilities of all outcomes no more likely than the counts.

    counts: shape (classes,) [chicks]. shares: shape (classes,), summing to 1. With two classes this is the
    two-sided exact binomial test by the same rule (doubling the tail would give another number). Lists every
    outcome: meant for up to some 300,000 of them. Raises ValueError for counts or shares that are none.
    """
    given = np.asarray(counts, dtype=float)
    fit = given.ndim == 1 and given.shape == np.shape(shares)
    if not fit or not (np.min(shares) >= 0 and abs(float(np.sum(shares)) - 1) <= 1e-9):
        raise ValueError("Counts and shares do not fit: give one share for each class, none below 0, summing to 1.")
    if not (np.isfinite(given).all() and (given >= 0).all() and (given == np.rint(given)).all()):
        raise ValueError("A count of chicks is negative, broken or not a number: give whole counts of 0 or more.")
    seen = given.astype(np.int64)
    n = int(seen.sum())
    with np.errstate(divide="ignore"):
        log_share = np.log(shares)
    left = np.array([n])
    log_p = gammaln(np.array([n + 1.0]))
    for log_q in log_share[:-1]:
        parent = np.repeat(np.arange(len(left)), left + 1)
        first = np.cumsum(left + 1) - (left + 1)
        here = np.arange(len(parent)) - first[parent]
        log_p = log_p[parent] + _term(here, log_q)
        left = left[parent] - here
    log_p = log_p + _term(left, log_share[-1])
    own = float(gammaln(n + 1) + sum(_term(np.array([x]), q)[0] for x, q in zip(seen, log_share, strict=True)))
    return min(1.0, float(np.exp(log_p[log_p <= own + AS_LIKELY]).sum()))


def smallest_hatch(share: float, *, sure: float = 0.95) -> int:
    """Least number of chicks among which a class of this share is seen at least once with probability `sure`.

        n = ceil(ln(1 - sure) / ln(1 - share))

    share, sure: strictly between 0 and 1. For chicks that are draws of their own; of few cages more are
    needed. Raises ValueError.

    >>> smallest_hatch(0.01)
    299
    """
    if not (0 < share < 1 and 0 < sure < 1):
        raise ValueError(f"A share of {share} at {sure} sure cannot be looked for: give both between 0 and 1.")
    return math.ceil(math.log1p(-sure) / math.log1p(-share) - 1e-12)


def _table(counts: ArrayLike, classes: int, *, least: int = MIN_CHICKS) -> tuple[Missing | None, Counts | None]:
    raw = np.atleast_2d(np.asarray(counts, dtype=float))
    if raw.size and raw.shape[-1] != classes:
        raise ValueError(f"{raw.shape[-1]} counts stand beside {classes} classes: give one for each.")
    if not raw.size or not np.any(raw):
        return Missing(Reason.NO_RECORDS, "chicks", 0, least), None
    table = grouped.checked_counts(raw)
    n = int(table.sum())
    if n < least:
        return Missing(Reason.TOO_FEW_RECORDS, "chicks", n, least), table
    if 1 < len(table) < MIN_CAGES:
        return Missing(Reason.TOO_FEW_GROUPS, "cages", len(table), MIN_CAGES), table
    return None, table


def _claimed(claim: ArrayLike) -> Floats:
    parts = np.asarray(claim, dtype=float)
    if parts.ndim != 1 or len(parts) < 2 or not np.all(np.isfinite(parts)) or np.any(parts < 0) or not parts.sum() > 0:
        raise ValueError("The claim is not a set of shares: give a part of 0 or more for each class, not all 0.")
    return np.asarray(parts / parts.sum())


def _term(x: Counts, log_share: float) -> Floats:
    """ln(share^x / x!), with 0^0 = 1."""
    if log_share == -math.inf:
        return np.where(x == 0, 0.0, -math.inf)
    return np.asarray(x * log_share - gammaln(x + 1))


def _log_probability(counts: Counts, shares: Floats) -> Floats:
    inside = shares > 0
    return np.asarray(
        gammaln(counts.sum(axis=1) + 1)
        + (counts[:, inside] * np.log(shares[inside]) - gammaln(counts[:, inside] + 1)).sum(axis=1)
    )


def _bootstrap(table: Counts, shares: Floats, seed: int, draws: int) -> ClaimTest:
    """Tables drawn as the claim would give them, each at a likeness that the own table leaves possible.

    Likeness by its posterior under the claim: with the one best value put in instead, a rare class in few cages
    was called false in 10 to 35 of 100 true claims (simulated).
    """
    n = int(table.sum())
    rng = np.random.default_rng(seed)
    sizes = table.sum(axis=1)
    times = rng.multinomial(draws, grouped.likeness_posterior(table, shares=shares))
    observed = _scaled_x2(table[None], shares)[0] * (1 - AS_LIKELY)
    as_far = 0
    for rho, count in zip(grouped.LIKENESS_GRID, times, strict=True):
        drawn = grouped.draw_counts(rng, group_sizes=sizes, shares=shares, rho=float(rho), draws=int(count))
        as_far += int(np.sum(_scaled_x2(drawn, shares) >= observed))
    own_likeness = float(grouped.likeness(table))
    return _drawn(as_far, draws, "bootstrap_dirichlet_multinomial", n, rho=own_likeness)


def _scaled_x2(tables: Counts, shares: Floats) -> Floats:
    """Pooled X2 against the claim over the design effect of each table's own likeness, shape (tables,)."""
    inside = shares > 0
    pooled = tables.sum(axis=1)[:, inside]
    expected = pooled.sum(axis=1, keepdims=True) * shares[inside]
    x2 = ((pooled - expected) ** 2 / expected).sum(axis=1)
    return np.asarray(x2 / grouped.design_effect(tables.sum(axis=2), rho=grouped.likeness(tables)))


def _drawn(as_far: int, draws: int, method: str, n: int, *, rho: float | None) -> ClaimTest:
    """p = (draws as far off + 1) / (draws + 1): never 0, the hatch itself being one of them (Davison &
    Hinkley 1997).
    """
    p = (as_far + 1) / (draws + 1)
    return ClaimTest(p, method, n, math.sqrt(p * (1 - p) / draws), rho)
