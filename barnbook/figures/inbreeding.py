"""Inbreeding of every bird, also where the parents are a cage.

    F_i  = 1/2 sum over (s, d) of P(s, d) a_sd            a_ii = 1 + F_i
    m_i  = 1 + F_i - q_i A q_i'                            q_i  = half the share of each possible parent

F is the inbreeding, m the Mendelian part of the variance: what the two draws from the parents add, together
with not knowing which parents they were. A is the average numerator relationship matrix (Henderson 1988, J.
Dairy Sci. 71, rule from memory), which is the mean of the ordinary matrix over every possible parentage.
Founders: F as given, else 0, and m = 1 + F. An unknown parent is unrelated to all and not inbred.

The birds are taken generation by generation. Only relationships among birds that are still to be parents are
kept, in slots that are used again, so memory follows the square of the parents that stand at once, not of the
pedigree. Where more than `most_at_once` would stand, the ancestors of each origin are traced instead
(Meuwissen & Luo 1992, Genet. Sel. Evol. 24:305, in batches): slower, and the memory stays small.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.sparse import csr_array

from barnbook.figures.pedigree import FloatArray, IntArray, Pedigree, ranges

MOST_AT_ONCE = 8_000  # birds; the square of it is 512 MB
TRACED_AT_ONCE = 64  # origins a batch; 100,000 birds x 64 x 8 bytes = 51 MB
PAIRS_AT_ONCE = 4_000_000
ORIGINS_AT_ONCE = 256


@dataclass(frozen=True, slots=True, eq=False)
class Inbreeding:
    """f: (n,) inbreeding, 0 to 1.  mendelian: (n,) m above, in units of the genetic variance of the
    founders."""

    f: FloatArray
    mendelian: FloatArray


def inbreeding(pedigree: Pedigree, *, most_at_once: int = MOST_AT_ONCE) -> Inbreeding:
    """Inbreeding and Mendelian variance of each bird of the pedigree, shapes (n,).

    most_at_once: how many parents may be held at once before the slower method is taken [birds].
    """
    plan = _slot_plan(pedigree)
    few = plan.capacity <= most_at_once
    of_origin = _by_generation(pedigree, plan) if few else _by_tracing(pedigree)
    return _spread(pedigree, *of_origin)


def _spread(pedigree: Pedigree, f_origin: FloatArray, mendelian_origin: FloatArray) -> Inbreeding:
    f = pedigree.founder_inbreeding.copy()
    mendelian = 1 + f
    hatched = pedigree.origin_of >= 0
    f[hatched] = f_origin[pedigree.origin_of[hatched]]
    mendelian[hatched] = mendelian_origin[pedigree.origin_of[hatched]]
    return Inbreeding(f, mendelian)


def generation_of_origins(pedigree: Pedigree) -> IntArray:
    """Generation of the chicks of each origin, shape (k,)."""
    generation = np.zeros(pedigree.origin_parents.shape[0], dtype=np.int64)
    hatched = pedigree.origin_of >= 0
    generation[pedigree.origin_of[hatched]] = pedigree.generation[hatched]
    return generation


@dataclass(frozen=True, slots=True, eq=False)
class _SlotPlan:
    """When each bird is first and last wanted as a parent (0: never), and the most that are held at once."""

    origin_generation: IntArray
    enters: IntArray
    last_use: IntArray
    capacity: int


def _slot_plan(pedigree: Pedigree) -> _SlotPlan:
    parents = pedigree.origin_parents
    origin_generation = generation_of_origins(pedigree)
    use = np.repeat(origin_generation, np.diff(parents.indptr))
    last_use = np.zeros(len(pedigree.birds), dtype=np.int64)
    np.maximum.at(last_use, parents.indices, use)
    first_use = np.full(len(pedigree.birds), np.iinfo(np.int64).max)
    np.minimum.at(first_use, parents.indices, use)
    # A founder depends on nobody: it enters only when it is wanted, so a bird bought in late takes no slot
    # early.
    enters = np.where(pedigree.origin_of < 0, first_use, pedigree.generation + 1)
    wanted = last_use > 0
    last = int(origin_generation.max(initial=0))
    held = np.bincount(enters[wanted], minlength=last + 2) - np.bincount(last_use[wanted] + 1, minlength=last + 2)
    return _SlotPlan(origin_generation, enters, last_use, int(np.cumsum(held).max(initial=0)))


def _grouped(number: IntArray, groups: int) -> list[IntArray]:
    """Rows of each group 0 .. groups - 1."""
    order = np.argsort(number, kind="stable")
    return np.split(order, np.searchsorted(number[order], np.arange(1, groups)))


def _by_generation(pedigree: Pedigree, plan: _SlotPlan) -> tuple[FloatArray, FloatArray]:
    """F and m of each origin, shapes (k,), with the relationships A of the birds that are parents now or
    later."""
    parents, origin_of = pedigree.origin_parents, pedigree.origin_of
    last = int(plan.origin_generation.max(initial=0))
    f_origin = np.zeros(parents.shape[0])
    m_origin = np.zeros(parents.shape[0])
    wanted = np.flatnonzero(plan.last_use > 0)
    founders = _grouped(np.where(origin_of[wanted] < 0, plan.enters[wanted], 0), last + 1)
    chicks = _grouped(np.where(origin_of[wanted] >= 0, pedigree.generation[wanted], 0), last + 1)
    leaving = _grouped(plan.last_use[wanted], last + 1)
    origins = _grouped(plan.origin_generation, last + 1)
    matings = _grouped(plan.origin_generation[pedigree.mating_origin], last + 1)
    A = np.zeros((plan.capacity, plan.capacity))
    slot = np.full(len(pedigree.birds), -1, dtype=np.int64)
    free = list(range(plan.capacity))[::-1]
    held = np.zeros(plan.capacity, dtype=np.bool_)

    def take(birds: IntArray) -> IntArray:
        slot[birds] = [free.pop() for _ in range(birds.size)]
        held[slot[birds]] = True
        return slot[birds]

    for number in range(1, last + 1):
        new_founders = wanted[founders[number]]
        at = take(new_founders)
        A[at, :] = 0
        A[:, at] = 0
        A[at, at] = 1 + pedigree.founder_inbreeding[new_founders]

        of = origins[number]
        left = wanted[leaving[number]]
        free.extend(slot[left].tolist())
        free.sort(reverse=True)  # lowest first again, so that new birds mostly stand side by side
        held[slot[left]] = False
        new, kept = wanted[chicks[number]], np.flatnonzero(held)
        needed, row = np.unique(np.searchsorted(of, origin_of[new]), return_inverse=True)
        Q = _rows_in_slots(parents, of, slot, plan.capacity)
        sib, to_kept, among = _relationships(Q, A, needed, kept)
        f_origin += _inbreeding_of_matings(pedigree, matings[number], slot, A)
        m_origin[of] = 1 + f_origin[of] - sib
        if new.size:
            at = take(new)
            if kept.size:
                old = to_kept[row]
                A[at[:, None], kept] = old
                A[kept[:, None], at] = old.T
            _put(A, at, among, row)
            A[at, at] += m_origin[origin_of[new]]
    return f_origin, m_origin


def _relationships(
    Q: Any, A: FloatArray, needed: IntArray, kept: IntArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Of chicks, by their origins: between two of one origin, to the parents kept, and between different origins.

    Q: (o, slots).  needed: origins whose chicks become parents.  Returns shapes (o,), (needed, kept), (needed,
    needed). Some origins at a time, so that what is gathered twice is still near at hand the second time.
    """
    sib = np.empty(Q.shape[0])
    to_kept = np.empty((needed.size, kept.size))
    among = np.empty((needed.size, needed.size))
    of_needed = Q[needed]
    for first in range(0, Q.shape[0], ORIGINS_AT_ONCE):
        part = Q[first : first + ORIGINS_AT_ONCE]
        to_all = part @ A  # relationship of a chick of each origin to every parent held
        sib[first : first + part.shape[0]] = _row_dots(part, to_all)
        begin, end = np.searchsorted(needed, [first, first + part.shape[0]])
        of_part = to_all[needed[begin:end] - first]
        to_kept[begin:end] = of_part[:, kept]
        among[:, begin:end] = of_needed @ np.ascontiguousarray(of_part.T)
    return sib, to_kept, among


def _put(A: FloatArray, at: IntArray, among: FloatArray, row: IntArray) -> None:
    """A[at, at] = among[row, row], without the gathering where slots and rows run on one after the other."""
    in_order = at.size == among.shape[0] and np.array_equal(row, np.arange(at.size))
    if in_order and at[-1] - at[0] == at.size - 1 and (np.diff(at) == 1).all():
        A[at[0] : at[-1] + 1, at[0] : at[-1] + 1] = among
    else:
        A[at[:, None], at] = among[row[:, None], row]


def _rows_in_slots(matrix: Any, rows: IntArray, slot: IntArray, capacity: int) -> Any:
    part = matrix[rows]
    return csr_array((part.data, slot[part.indices], part.indptr), shape=(rows.size, capacity))


def _row_dots(sparse: Any, dense: FloatArray) -> FloatArray:
    """Sum over columns of sparse * dense, row by row."""
    row = np.repeat(np.arange(sparse.shape[0]), np.diff(sparse.indptr))
    products: FloatArray = sparse.data * dense[row, sparse.indices]
    return np.bincount(row, weights=products, minlength=sparse.shape[0]).astype(np.float64)


def _inbreeding_of_matings(pedigree: Pedigree, matings: IntArray, slot: IntArray, A: FloatArray) -> FloatArray:
    """Sum over the pairs (cock, hen) of each mating of half their relationship; by origin, shape (k,)."""
    cocks, hens = pedigree.mating_cocks[matings], pedigree.mating_hens[matings]
    n_cocks, n_hens = np.diff(cocks.indptr), np.diff(hens.indptr)
    f = np.zeros(pedigree.origin_parents.shape[0])
    part = np.cumsum(n_cocks * n_hens) // PAIRS_AT_ONCE
    for rows in np.split(np.arange(matings.size), np.flatnonzero(np.diff(part)) + 1):
        pairs = n_cocks[rows] * n_hens[rows]
        in_pair = ranges(np.zeros_like(pairs), pairs)
        row = np.repeat(rows, pairs)
        cock = cocks.indptr[row] + in_pair // np.maximum(n_hens[row], 1)
        hen = hens.indptr[row] + in_pair % np.maximum(n_hens[row], 1)
        related = A[slot[cocks.indices[cock]], slot[hens.indices[hen]]]
        weight = pedigree.mating_share[matings[row]] * cocks.data[cock] * hens.data[hen] / 2
        f += np.bincount(pedigree.mating_origin[matings[row]], weights=weight * related, minlength=f.size)
    return f


def _by_tracing(pedigree: Pedigree) -> tuple[FloatArray, FloatArray]:
    """F and m of each origin, shapes (k,), from the share of each origin's genes that began in each
    ancestor."""
    generation = generation_of_origins(pedigree)
    mendelian = 1 + pedigree.founder_inbreeding
    f_origin = np.zeros(generation.size)
    m_origin = np.zeros(generation.size)
    steps = generation_steps(pedigree)
    for number in range(1, int(generation.max(initial=0)) + 1):
        for of in _batches(np.flatnonzero(generation == number)):
            matings = np.flatnonzero(np.isin(pedigree.mating_origin, of))
            from_cocks = ancestor_shares(pedigree.mating_cocks[matings].T.toarray(), steps[: number - 1])
            from_hens = ancestor_shares(pedigree.mating_hens[matings].T.toarray(), steps[: number - 1])
            share, origin = pedigree.mating_share[matings], pedigree.mating_origin[matings]
            pair = np.einsum("ij,ij,i->j", from_cocks, from_hens, mendelian)
            f_origin += np.bincount(origin, weights=share * pair / 2, minlength=f_origin.size)
            both = np.add(from_cocks, from_hens, out=from_cocks)
            pool = csr_array(
                (share / 2, (np.arange(matings.size), np.searchsorted(of, origin))), shape=(matings.size, of.size)
            )
            q = both @ pool
            m_origin[of] = 1 + f_origin[of] - np.einsum("ij,ij,i->j", q, q, mendelian)
        of_bird = pedigree.origin_of
        born = (pedigree.generation == number) & (of_bird >= 0)
        mendelian[born] = m_origin[of_bird[born]]
    return f_origin, m_origin


def _batches(rows: IntArray) -> list[IntArray]:
    return [rows[at : at + TRACED_AT_ONCE] for at in range(0, rows.size, TRACED_AT_ONCE)]


@dataclass(frozen=True, slots=True, eq=False)
class GenerationStep:
    """The birds of one generation and their possible parents.

    birds: (b,) rows.  origin: (b,) of each bird, within this step.  above: (a,) rows of the possible parents.
    parents: (o, a) half shares by origin.  gather: (o, b) one where the bird is of the origin.
    """

    birds: IntArray
    origin: IntArray
    above: IntArray
    parents: Any
    gather: Any


def generation_steps(pedigree: Pedigree) -> list[GenerationStep]:
    """Generations 1, 2, ... of the pedigree, ready for sums up and down it."""
    steps = []
    birds_of = _grouped(pedigree.generation, int(pedigree.generation.max(initial=0)) + 1)
    for birds in birds_of[1:]:
        origins, origin = np.unique(pedigree.origin_of[birds], return_inverse=True)
        rows = pedigree.origin_parents[origins]
        above, column = np.unique(rows.indices, return_inverse=True)
        parents = csr_array((rows.data, column, rows.indptr), shape=(origins.size, above.size))
        gather = csr_array((np.ones(birds.size), (origin, np.arange(birds.size))), shape=(origins.size, birds.size))
        steps.append(GenerationStep(birds, origin, above, parents, gather))
    return steps


def ancestor_shares(start: FloatArray, steps: list[GenerationStep]) -> FloatArray:
    """Weights on birds (n, c) carried up to all their ancestors, (I - Q')^-1 start; done in place."""
    for step in reversed(steps):
        start[step.above] += step.parents.T @ (step.gather @ start[step.birds])
    return start
