"""Kinship: how closely birds are related, also where the parents are a cage.

    A = T M T'      T = (I - Q)^-1      A^-1 = (I - Q)' M^-1 (I - Q)

A is the average numerator relationship matrix (see inbreeding.py), Q holds half the share of each possible
parent, M is the diagonal of Mendelian variances. The inverse is written down directly and is sparse
(Henderson 1976, Biometrics 32:69, carried over to shares of parents). Coancestry of two birds = a_ij / 2 =
the inbreeding expected of their chicks. Relationships of a few birds come from two passes over the pedigree
(Colleau 2002, Genet. Sel. Evol. 34:409, from memory) without ever writing the whole of A.
Checked in: fixtures/checks/kinship.csv
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from scipy.sparse import csc_array, csr_array, dia_array

from barnbook.figures.estimate import Estimate, Missing, Reason
from barnbook.figures.inbreeding import GenerationStep, Inbreeding, ancestor_shares, generation_steps, inbreeding
from barnbook.figures.pedigree import FloatArray, IntArray, Pedigree

COLUMNS_AT_ONCE = 128


def relationship(
    pedigree: Pedigree,
    birds: Sequence[str] | None = None,
    *,
    others: Sequence[str] | None = None,
    known: Inbreeding | None = None,
) -> FloatArray:
    """Average numerator relationships of `birds` (rows) with `others` (columns; the same birds unless given).

    birds: names; all birds of the pedigree unless given.  known: the inbreeding, if it is at hand.
    Returns shape (rows, columns). Raises ValueError for a bird that is not in the pedigree.
    """
    known = known or inbreeding(pedigree)
    rows = np.arange(len(pedigree.birds)) if birds is None else pedigree.rows(birds)
    columns = rows if others is None else pedigree.rows(others)
    steps = generation_steps(pedigree)
    A = np.empty((rows.size, columns.size))
    for at in range(0, columns.size, COLUMNS_AT_ONCE):
        part = slice(at, at + COLUMNS_AT_ONCE)
        A[:, part] = _columns_of_a(columns[part], steps, known.mendelian)[rows]
    return A


def _columns_of_a(columns: IntArray, steps: list[GenerationStep], mendelian: FloatArray) -> FloatArray:
    """(n, c) whole columns of A: up to the ancestors, times M, and down again."""
    v = np.zeros((mendelian.size, columns.size))
    v[columns, np.arange(columns.size)] = 1
    ancestor_shares(v, steps)
    v *= mendelian[:, None]
    for step in steps:
        v[step.birds] += (step.parents @ v[step.above])[step.origin]
    return v


def coancestry(
    pedigree: Pedigree, birds: Sequence[str], others: Sequence[str], *, known: Inbreeding | None = None
) -> FloatArray:
    """Coancestry of each of `birds` with each of `others`: the inbreeding expected of their chicks, 0 to 1.

    Returns shape (birds, others). With itself a bird has (1 + F) / 2. Raises ValueError for an unknown bird.
    """
    return relationship(pedigree, birds, others=others, known=known) / 2


def sparse_inverse(pedigree: Pedigree, *, known: Inbreeding | None = None) -> Any:
    """A^-1 as a SciPy csc_array (n, n), symmetric, birds in the order of the pedigree.

    Chicks of one origin share their row of Q, so the products run over origins and not over birds. Raises
    ValueError when the Mendelian variance of a bird is 0 (both parents certain and wholly inbred): then A has
    no inverse.
    """
    known = known or inbreeding(pedigree)
    if (known.mendelian <= 0).any():
        bird = pedigree.birds[int(np.flatnonzero(known.mendelian <= 0)[0])]
        raise ValueError(
            f"Both parents of {bird} are wholly inbred, so the relationships have no inverse: leave it out."
        )
    n = len(pedigree.birds)
    weight = 1 / known.mendelian
    hatched = np.flatnonzero(pedigree.origin_of >= 0)
    origin = pedigree.origin_of[hatched]
    Q = pedigree.origin_parents
    chick_weight = csr_array((weight[hatched], (hatched, origin)), shape=(n, Q.shape[0]))
    origin_weight = np.bincount(origin, weights=weight[hatched], minlength=Q.shape[0])
    own_to_parents = chick_weight @ Q
    among_parents = Q.T @ (dia_array((origin_weight[None, :], 0), shape=(Q.shape[0], Q.shape[0])) @ Q)
    return csc_array(dia_array((weight[None, :], 0), shape=(n, n)) - own_to_parents - own_to_parents.T + among_parents)


def inbreeding_of(pedigree: Pedigree, bird: str, *, known: Inbreeding | None = None) -> Estimate:
    """Inbreeding of one bird as a figure, with the 95 % range over which of its own possible parents it
    really has.

    The range is of the bird's own parents alone; farther back, possible parents are averaged. Founders whose
    inbreeding nobody told have no figure: NO_RECORDS, one parent known at least. Raises ValueError for an
    unknown bird.
    """
    known = known or inbreeding(pedigree)
    row = int(pedigree.rows([bird])[0])
    origin = int(pedigree.origin_of[row])
    if origin < 0:
        value = float(pedigree.founder_inbreeding[row])
        if value == 0:
            missing = Missing(Reason.NO_RECORDS, what="parents", have=0, need=1, detail=f"no parent of {bird} is known")
            return Estimate("share", n_of="possible parents", missing=missing)
        return Estimate("share", value, value, value, n=0, n_of="possible parents", method="told_for_a_founder")
    values, weights = _possible_inbreeding(pedigree, origin, known)
    low, high = _weighted_range(values, weights)
    n = int(pedigree.origin_parents[[origin]].nnz)
    return Estimate(
        "share",
        float(known.f[row]),
        low,
        high,
        n=n,
        n_of="possible parents",
        method="average_over_possible_parents",
        notes=("founders_taken_as_unrelated",),
    )


def _possible_inbreeding(pedigree: Pedigree, origin: int, known: Inbreeding) -> tuple[FloatArray, FloatArray]:
    """F of the bird for each pair of possible parents, and the chance of the pair; unknown parents give F =
    0."""
    values, weights = [], []
    for mated in np.flatnonzero(pedigree.mating_origin == origin):
        cocks, hens = pedigree.mating_cocks[[mated]], pedigree.mating_hens[[mated]]
        names_c = [pedigree.birds[row] for row in cocks.indices]
        names_h = [pedigree.birds[row] for row in hens.indices]
        chance = pedigree.mating_share[mated] * np.outer(cocks.data, hens.data)
        values.append(coancestry(pedigree, names_c, names_h, known=known).ravel())
        weights.append(chance.ravel())
    weight = np.concatenate(weights)
    unknown = max(0.0, 1 - float(weight.sum()))
    return np.concatenate([*values, [0.0]]), np.concatenate([weight, [unknown]])


def _weighted_range(values: FloatArray, weights: FloatArray) -> tuple[float, float]:
    """Least and greatest value after leaving out at most 2.5 % of the weight at each end."""
    order = np.argsort(values)
    below = np.cumsum(weights[order])
    above = np.cumsum(weights[order][::-1])
    low = values[order][int(np.searchsorted(below, 0.025, side="right"))]
    high = values[order][::-1][int(np.searchsorted(above, 0.025, side="right"))]
    return float(low), float(high)
