"""Effective number: how many unrelated breeders would close the line on itself as fast as these do.

    from a cage:      Ne = 4 Nm Nf / (Nm + Nf)        dF = 1 / (2 Ne)        F_t = 1 - (1 - dF)^t
    uneven shares:    Nm = 1 / sum of squared shares of the chicks (Nf likewise)
    from a pedigree:  dF_i = 1 - (1 - F_i)^(1 / (t_i - 1))                   Ne = 1 / (2 mean dF)

Wright 1931 for the first line. t_i is the number of whole generations known behind a bird, half the sum of (1 + t)
of its parents (Maignel, Boichard & Verrier 1996); dF_i the inbreeding a generation of one bird (Gutierrez, Cervantes
& Goyache 2009, J. Anim. Breed. Genet. 126:327). All formulas from memory. The count tells what a cage does if its
cocks and hens do their equal parts; the pedigree tells what has happened.
Checked in: fixtures/checks/effective_number.csv
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason
from barnbook.figures.inbreeding import Inbreeding, inbreeding
from barnbook.figures.pedigree import FloatArray, Pedigree

LEAST_GENERATIONS = 2.0  # inbreeding cannot show before a bird's parents can share a parent
LEAST_MATINGS = 3


def effective_number(cocks: float, *, hens: float) -> float:
    """Effective number of breeders of `cocks` and `hens` (counts, or effective counts of one sex) [birds].

    Raises ValueError unless both are above 0 and finite: without a cock or without a hen no chick hatches.
    """
    if not (np.isfinite(cocks) and np.isfinite(hens) and cocks > 0 and hens > 0):
        raise ValueError(f"An effective number needs cocks and hens: got {cocks} cocks and {hens} hens.")
    return float(4 * cocks * hens / (cocks + hens))


def effective_count(shares: Sequence[float]) -> float:
    """Effective number of one sex from the chicks (or share of chicks) of each of its birds: (sum)^2 / sum of
    squares.

    shares: at least 0, finite, not all 0. Raises ValueError otherwise.
    """
    parts = np.asarray(shares, dtype=np.float64)
    if parts.size == 0 or not np.isfinite(parts).all() or (parts < 0).any() or parts.sum() == 0:
        raise ValueError("The shares of the chicks must be numbers of at least 0, one of them above 0.")
    return float(parts.sum() ** 2 / (parts @ parts))


def effective_number_over(numbers: Sequence[float]) -> float:
    """Effective number over several generations: their harmonic mean [birds]. Raises ValueError unless all
    are above 0."""
    each = np.asarray(numbers, dtype=np.float64)
    if each.size == 0 or not np.isfinite(each).all() or (each <= 0).any():
        raise ValueError("Give the effective number of each generation, each above 0.")
    return float(each.size / np.sum(1 / each))


def inbreeding_a_generation(effective: float) -> float:
    """Inbreeding added each generation by `effective` breeders, 1 / (2 Ne) [share]. Raises ValueError unless
    Ne >= 1/2."""
    if not (np.isfinite(effective) and effective >= 0.5):
        raise ValueError(f"The effective number is {effective}: it must be at least a half.")
    return 1 / (2 * effective)


def inbreeding_after(generations: float, *, a_generation: float) -> float:
    """Inbreeding reached after some generations from unrelated, not inbred founders, 1 - (1 - dF)^t
    [share]. Raises ValueError for generations below 0 or not finite, or a share outside 0 to 1."""
    if not (0 <= generations < np.inf and 0 <= a_generation <= 1):
        raise ValueError("Generations must be at least 0 and the inbreeding a generation from 0 to 1.")
    return float(1 - (1 - a_generation) ** generations)


def generations_known(pedigree: Pedigree) -> FloatArray:
    """Equivalent complete generations behind each bird, shape (n,); 0 for founders."""
    known = np.zeros(len(pedigree.birds))
    for number in range(1, int(pedigree.generation.max(initial=0)) + 1):
        birds = np.flatnonzero(pedigree.generation == number)
        origins, origin = np.unique(pedigree.origin_of[birds], return_inverse=True)
        known[birds] = (pedigree.origin_parents[origins] @ (1 + known))[origin]
    return known


def realised_inbreeding_a_generation(
    pedigree: Pedigree, birds: Sequence[str], *, known: Inbreeding | None = None
) -> Estimate:
    """Inbreeding a generation that the pedigree of `birds` (those living, say) shows [share].

    Birds with fewer than two generations known are left out. It is a count of what happened to these birds and has no
    interval: few close matings carry most of it, so limits for other birds of the line would not keep their word
    (simulated from 10 matings: a 95 % interval covered 73 to 88 %). Missing below three matings. ValueError: unknown
    bird.
    """
    known = known or inbreeding(pedigree)
    rows = pedigree.rows(list(birds))
    depth = generations_known(pedigree)[rows]
    deep = depth >= LEAST_GENERATIONS - 1e-9
    used = rows[deep]
    left_out = LeftOut("birds", int(rows.size - used.size), "fewer_than_two_generations_known")
    matings = np.unique(pedigree.origin_of[used])
    if matings.size < LEAST_MATINGS:
        missing = Missing(Reason.TOO_FEW_GROUPS, what="matings", have=int(matings.size), need=LEAST_MATINGS)
        return Estimate("share", n=int(used.size), n_of="birds", left_out=(left_out,), missing=missing)
    of_bird = -np.expm1(np.log1p(-known.f[used]) / (depth[deep] - 1))
    return Estimate(
        "share",
        float(of_bird.mean()),
        n=int(used.size),
        n_of="birds",
        method="mean_of_birds_own_rates",
        left_out=(left_out,) if left_out.count else (),
        notes=("what_happened", "founders_taken_as_unrelated", f"matings:{matings.size}"),
    )


def realised_effective_number(inbreeding_rate: Estimate) -> Estimate:
    """Effective number behind a realised inbreeding a generation: 1 / (2 dF) [birds].

    Missing with NO_VARIATION while no inbreeding has shown at all: any number would fit.
    """
    if inbreeding_rate.value is None:
        return Estimate("birds", n=inbreeding_rate.n, n_of="birds", missing=inbreeding_rate.missing)
    if inbreeding_rate.value <= 0:
        missing = Missing(
            Reason.NO_VARIATION, what="inbred birds", have=0, need=1, detail="no inbreeding has shown yet"
        )
        return Estimate("birds", n=inbreeding_rate.n, n_of="birds", missing=missing)
    return Estimate(
        "birds",
        1 / (2 * inbreeding_rate.value),
        n=inbreeding_rate.n,
        n_of="birds",
        method="one_over_twice_the_rate",
        left_out=inbreeding_rate.left_out,
        notes=inbreeding_rate.notes,
    )
