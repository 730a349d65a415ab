"""Every plan there is for a few birds, random plans for many, and lines to plan for."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np

from barnbook.figures.kinship import coancestry
from barnbook.figures.mating_exact import Placed, Problem, pairs_together
from barnbook.figures.pedigree import Origin, mating, pedigree


def problem_of(
    F: np.ndarray,
    cages: list[tuple[int, int]],
    *,
    limit: float = 1.0,
    placed: int | None = None,
    least: float = 1.0,
    most: float = np.inf,
) -> Problem:
    """F: (hens, cocks).  cages: (cocks, hens) of each."""
    cocks = F.shape[1]
    return Problem(
        F=F,
        allowed=np.less_equal(F, limit),
        cocks_in=np.array([cage[0] for cage in cages], dtype=np.int64),
        hens_in=np.array([cage[1] for cage in cages], dtype=np.int64),
        placed=cocks if placed is None else placed,
        least=np.full(cocks, least),
        most=np.full(cocks, most),
    )


def is_a_plan(problem: Problem, placed: Placed) -> bool:
    """Whether the cages are kept, all hens placed, and the bounds and the limit respected."""
    cages = problem.cocks_in.size
    cocks = np.bincount(placed.cage_of_cock[placed.cage_of_cock >= 0], minlength=cages)
    hens = np.bincount(placed.cage_of_hen, minlength=cages) if (placed.cage_of_hen >= 0).all() else None
    if hens is None or cocks.sum() != problem.placed:
        return False
    used = cocks > 0
    if (cocks[used] != problem.cocks_in[used]).any() or (hens > problem.hens_in * used).any():
        return False
    for cock, cage in enumerate(placed.cage_of_cock.tolist()):
        if cage >= 0:
            worth = hens[cage] / problem.cocks_in[cage]
            if not problem.least[cock] - 1e-9 <= worth <= problem.most[cock] + 1e-9:
                return False
    hen, cock = pairs_together(placed)
    return bool(problem.allowed[hen, cock].all())


def every_plan(problem: Problem) -> Iterator[Placed]:
    hens, cocks = problem.F.shape
    cages = range(problem.cocks_in.size)
    for of_cock in itertools.product([-1, *cages], repeat=cocks):
        for of_hen in itertools.product(cages, repeat=hens):
            placed = Placed(np.array(of_cock, dtype=np.int64), np.array(of_hen, dtype=np.int64))
            if is_a_plan(problem, placed):
                yield placed


def line_of_birds(
    seed: int, *, cocks: int, hens: int, cages: int = 12, generations: int = 6
) -> tuple[np.ndarray, list[str], list[str]]:
    """Coancestry (cocks, hens) of the last generation of a line kept in cages of one cock and three hens."""
    rng = np.random.default_rng(seed)
    old = [f"c0-{i}" for i in range(cages)], [f"h0-{i}" for i in range(3 * cages)]
    origins: dict[str, Origin] = dict.fromkeys([*old[0], *old[1]])
    for number in range(1, generations + 1):
        last = number == generations
        new = (
            [f"c{number}-{i}" for i in range(cocks if last else cages)],
            [f"h{number}-{i}" for i in range(hens if last else 3 * cages)],
        )
        pairs = [mating(cocks=[old[0][i]], hens=old[1][3 * i : 3 * i + 3]) for i in range(cages)]
        for name in [*new[0], *new[1]]:
            origins[name] = pairs[rng.integers(cages)]
        old = new
    return coancestry(pedigree(origins), *old), *old


def random_totals(rng: np.random.Generator, F: np.ndarray, *, cocks_in: int, hens_in: int, plans: int) -> np.ndarray:
    """Totals of random plans for cages alike, all filled. F: (hens, cocks)."""
    hens, cocks = F.shape
    cage_of_hen = np.arange(hens) // hens_in
    cage_of_cock = np.arange(cocks) // cocks_in
    together = cage_of_hen[:, None] == cage_of_cock[None, :]
    found = np.empty(plans)
    for plan in range(plans):
        shuffled = F[rng.permutation(hens)][:, rng.permutation(cocks)]
        found[plan] = (shuffled * together).sum() / cocks_in
    return found
