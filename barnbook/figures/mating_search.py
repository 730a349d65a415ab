"""A good mating plan for shared cages, quickly: what the exact programme is measured against.

In turn, the hens are put to the cocks as they stand and the cocks to the hens as they stand; each step is
exact (an assignment problem), so the total kinship never rises. Then pairs of cocks are exchanged as long as
that helps. Begun
anew from many random placings, always from the same seed: the same birds give the same plan.
Pairs above the limit cost a penalty that no kinship outweighs, so their number is brought down first.
"""

from __future__ import annotations

import itertools
import time

import numpy as np

from barnbook.figures.mating_exact import Placed, Problem, fill, total
from barnbook.figures.pedigree import FloatArray, IntArray

PENALTY = 1_000.0  # coancestry is at most 1 a hen
SEED = 20_240_501
ROUNDS = 40


def search(problem: Problem, *, seconds: float, good_enough: float) -> Placed | None:
    """The best placing found, or None if none was; stops at `good_enough` (a total) or when the time is
    over.
    """
    F = problem.F + PENALTY * ~problem.allowed
    rng = np.random.default_rng(SEED)
    until = time.perf_counter() + seconds
    best: Placed | None = None
    least = np.inf
    for _ in range(ROUNDS):
        placed = _one_round(problem, F, rng)
        if placed is not None and total(problem, placed, F=F) < least - 1e-12:
            placed = _exchange(problem, F, placed, until)
            best, least = placed, total(problem, placed, F=F)
        if least <= good_enough + 1e-12 or time.perf_counter() > until:
            break
    return best


def _one_round(problem: Problem, F: FloatArray, rng: np.random.Generator) -> Placed | None:
    used = _cages_to_use(problem, rng)
    if used is None:
        return None
    cages = np.repeat(used, problem.cocks_in[used])
    cage_of_cock = np.full(F.shape[1], -1, dtype=np.int64)
    cage_of_cock[rng.permutation(F.shape[1])[: cages.size]] = cages
    hens = _place_hens(problem, F, cage_of_cock)
    before = np.inf
    while hens is not None:
        placed = Placed(cage_of_cock, hens)
        now = total(problem, placed, F=F)
        if now >= before - 1e-12:
            return placed
        before = now
        moved = _place_cocks(problem, F, hens, used)
        cage_of_cock = cage_of_cock if moved is None else moved
        hens = _place_hens(problem, F, cage_of_cock)
    return None


def _cages_to_use(problem: Problem, rng: np.random.Generator) -> IntArray | None:
    """Cages, in a random order, that the cocks to be placed fill, with room for all hens."""
    for _ in range(50):
        order = rng.permutation(problem.cocks_in.size)
        taken, left = [], problem.placed
        for cage in order:
            if problem.cocks_in[cage] <= left:
                taken.append(int(cage))
                left -= int(problem.cocks_in[cage])
        enough = problem.hens_in[taken].sum() >= problem.F.shape[0]
        if enough and left == 0:
            return np.array(taken, dtype=np.int64)
    return None


def _place_hens(problem: Problem, F: FloatArray, cage_of_cock: IntArray) -> IntArray | None:
    used = np.unique(cage_of_cock[cage_of_cock >= 0])
    cost = np.stack([F[:, cage_of_cock == cage].mean(axis=1) for cage in used], axis=1)
    least, most = np.empty(used.size, dtype=np.int64), np.empty(used.size, dtype=np.int64)
    for at, cage in enumerate(used):
        k, there = int(problem.cocks_in[cage]), cage_of_cock == cage
        least[at] = int(np.ceil(k * problem.least[there].max() - 1e-9))
        most[at] = int(min(problem.hens_in[cage], np.floor(min(k * problem.most[there].min(), 1e9) + 1e-9)))
    group = fill(cost, least=least, most=most)
    return None if group is None else used[group]


def _place_cocks(problem: Problem, F: FloatArray, cage_of_hen: IntArray, used: IntArray) -> IntArray | None:
    k = problem.cocks_in[used]
    hens = np.array([(cage_of_hen == cage).sum() for cage in used])
    cost = np.stack([F[cage_of_hen == cage].sum(axis=0) for cage in used], axis=1) / k
    each = hens / k
    outside = (each < problem.least[:, None] - 1e-9) | (each > problem.most[:, None] + 1e-9)
    cost = np.where(outside, np.inf, cost)
    spare = F.shape[1] - int(k.sum())
    cost = np.concatenate((cost, np.zeros((F.shape[1], 1))), axis=1)
    group = fill(cost, least=np.append(k, spare), most=np.append(k, spare))
    return None if group is None else np.append(used, -1)[group]


def _exchange(problem: Problem, F: FloatArray, placed: Placed, until: float) -> Placed:
    """Exchange two cocks and put the hens anew, as long as that helps."""
    now = total(problem, placed, F=F)
    better = True
    while better and time.perf_counter() < until:
        better = False
        for one, other in itertools.combinations(range(F.shape[1]), 2):
            if placed.cage_of_cock[one] == placed.cage_of_cock[other]:
                continue
            cage_of_cock = placed.cage_of_cock.copy()
            cage_of_cock[[one, other]] = cage_of_cock[[other, one]]
            hens = _place_hens(problem, F, cage_of_cock)
            if hens is None:
                continue
            tried = Placed(cage_of_cock, hens)
            cost = total(problem, tried, F=F)
            if cost < now - 1e-12:
                placed, now, better = tried, cost, True
            if time.perf_counter() > until:
                break
    return placed
