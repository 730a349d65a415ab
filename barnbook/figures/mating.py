"""Mating: who to whom, so that the line does not close on itself.

    expected inbreeding of the offspring = mean over hens of the mean coancestry with the cocks of her cage

The plan of least expected inbreeding within the places of the cages, bounds on what each cock contributes, and a
limit on any single pair (Ballou & Lacy's mean kinship and minimum-coancestry mating, from memory). One cock a cage,
cages alike: exact by assignment. Otherwise a mixed-integer linear programme within the time given, so that a slower
machine may stop at another plan. The plan says how far it can be from the best. It is a proposal: the owner decides.
Checked in: fixtures/checks/mating.csv
"""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from barnbook.figures.mating_exact import Answer, Placed, Problem, bound, by_assignment, pairs_together, solve, total
from barnbook.figures.mating_search import search
from barnbook.figures.pedigree import FloatArray, IntArray

PROVEN_WITHIN = 1e-7  # expected inbreeding; the programme's own tolerance
OVER_LIMIT = 10.0  # outweighs the kinship of any plan of up to ten hens a cage, so that pairs over the limit are fewest


@dataclass(frozen=True, slots=True)
class Cage:
    """A breeder cage: how many cocks stand in it when it is used, and how many hens at most."""

    name: str
    cocks: int
    hens: int


@dataclass(frozen=True, slots=True)
class Stand:
    """Who stands in a cage."""

    cage: str
    cocks: tuple[str, ...]
    hens: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pair:
    """A cock and a hen that would mate, and the inbreeding of their chicks."""

    cock: str
    hen: str
    coancestry: float


@dataclass(frozen=True, slots=True, eq=False)
class MatingPlan:
    """A proposal. expected_inbreeding: of the chicks, hens alike.  least_possible: no plan is below it.

    gap: how far this plan may be from the best, 0 when it is proven to be the best.  worst: the pair of most
    kinship.
    mean_of_all_pairs: what pairing at random gives on average.  left_out: cocks without a cage.
    coancestry: (cocks, hens) in the order of `cocks` and `hens`.
    """

    stands: tuple[Stand, ...]
    expected_inbreeding: float
    least_possible: float
    worst: Pair
    mean_of_all_pairs: float
    left_out: tuple[str, ...]
    cocks: tuple[str, ...]
    hens: tuple[str, ...]
    coancestry: FloatArray
    limit: float
    cage_of_cock: IntArray
    cage_of_hen: IntArray

    @property
    def gap(self) -> float:
        """Expected inbreeding that a better plan could save at most."""
        return max(0.0, self.expected_inbreeding - self.least_possible)

    @property
    def proven(self) -> bool:
        """True when no plan can be better."""
        return self.gap <= PROVEN_WITHIN


@dataclass(frozen=True, slots=True)
class NoPlan:
    """No plan keeps every pair at or under the limit.

    least_worst: the smallest limit for which there is a plan.  pairs: those that a plan at that limit must
    put together though they stand above the limit asked, as few as can be.  hens_without_cock: hens too close
    to every cock.
    proven: False when the time was over before it was certain.
    """

    limit: float
    least_worst: float
    pairs: tuple[Pair, ...]
    hens_without_cock: tuple[str, ...]
    proven: bool

    @property
    def birds(self) -> tuple[str, ...]:
        """The birds that stand in the way, each once."""
        named = [*self.hens_without_cock, *(name for pair in self.pairs for name in (pair.cock, pair.hen))]
        return tuple(dict.fromkeys(named))


def mating_plan(
    coancestry: FloatArray,
    *,
    cocks: Sequence[str],
    hens: Sequence[str],
    cages: Sequence[Cage],
    limit: float = 1.0,
    hens_for_a_cock: tuple[float, float] = (1.0, float("inf")),
    bounds: Mapping[str, tuple[float, float]] | None = None,
    every_cock: bool = True,
    seconds: float = 4.0,
) -> MatingPlan | NoPlan:
    """The plan of least expected inbreeding for all `hens`.

    coancestry: (cocks, hens), 0 to 1.  limit: the most for any single pair.  hens_for_a_cock: least and most
    hens of each cock that is placed, a shared cage's hens divided among its cocks; bounds: others for cocks
    named.
    every_cock: place each cock, else leave out those that fit worst.  seconds: time for what is not solved at
    once.
    Raises ValueError for names twice, values that are no coancestry, and birds that the cages cannot hold.
    """
    if not 0 < seconds < float("inf"):
        raise ValueError(f"{seconds} seconds are no time to look for a plan: give more than 0.")
    if any(not 0 <= number < float("inf") or number % 1 for cage in cages for number in (cage.cocks, cage.hens)):
        raise ValueError("A cage holds a broken or endless number of birds: give whole numbers.")
    began = time.perf_counter()
    problem = _problem(coancestry, cocks, hens, cages, limit, hens_for_a_cock, bounds or {}, every_cock)
    answer = _best(problem, seconds)
    if answer.placed is None:
        left = max(1.0, seconds - (time.perf_counter() - began))
        return _no_plan(problem, limit, cocks, hens, proven=answer.infeasible, seconds=left)
    return _described(problem, answer, limit, cocks, hens, cages)


def _problem(
    coancestry: FloatArray,
    cocks: Sequence[str],
    hens: Sequence[str],
    cages: Sequence[Cage],
    limit: float,
    hens_for_a_cock: tuple[float, float],
    bounds: Mapping[str, tuple[float, float]],
    every_cock: bool,
) -> Problem:
    F = np.asarray(coancestry, dtype=np.float64).T
    if F.shape != (len(hens), len(cocks)) or not len(hens) or not len(cocks):
        raise ValueError(
            f"{len(cocks)} cocks and {len(hens)} hens need a coancestry for each pair, at least one of each."
        )
    if not (np.isfinite(F).all() and (F >= -1e-12).all() and (F <= 1 + 1e-12).all()):
        raise ValueError("A coancestry is not a number from 0 to 1: compute it from the pedigree.")
    for what, names in (("birds", [*cocks, *hens]), ("cages", [cage.name for cage in cages])):
        twice = sorted({name for name in names if list(names).count(name) > 1})
        if twice:
            raise ValueError(f"Named twice among the {what}: {', '.join(twice)}. Name each once.")
    unknown = [name for name in bounds if name not in cocks]
    if unknown:
        raise ValueError(f"Bounds are given for {', '.join(unknown)}, not among the cocks: leave them out.")
    each = [bounds.get(name, hens_for_a_cock) for name in cocks]
    least, most = np.array([pair[0] for pair in each]), np.array([pair[1] for pair in each])
    wrong = [name for name, (low, high) in zip(cocks, each, strict=True) if not 0 <= low <= high]
    if wrong:
        raise ValueError(f"The least hens of {', '.join(wrong)} must be at least 0 and no more than the most.")
    if not 0 <= limit <= 1:
        raise ValueError(f"The limit on a pair is {limit}: give a coancestry from 0 to 1.")
    cocks_in = np.array([cage.cocks for cage in cages], dtype=np.int64)
    hens_in = np.array([cage.hens for cage in cages], dtype=np.int64)
    placed = _cocks_placed(len(cocks), cocks_in, every_cock)
    problem = Problem(F, np.less_equal(F, limit + 1e-12), cocks_in, hens_in, placed, least, most)
    _refuse_no_room(problem)
    return problem


def _cocks_placed(cocks: int, cocks_in: IntArray, every_cock: bool) -> int:
    """All the cocks, or as many as fill whole cages."""
    if not cocks_in.size or (cocks_in < 1).any():
        raise ValueError("Give at least one cage; every cage needs room for at least one cock and one hen.")
    fits = {0}
    for room in cocks_in.tolist():
        fits |= {taken + room for taken in fits}
    below = max(size for size in fits if size <= cocks)
    if below == cocks or (below and not every_cock):
        return below
    other = " or ".join(str(size) for size in (below, min((s for s in fits if s > cocks), default=0)) if size)
    raise ValueError(f"{cocks} cocks do not fill whole cages: name {other} cocks, or let cocks be left out.")


def _refuse_no_room(problem: Problem) -> None:
    hens = problem.F.shape[0]
    if (problem.hens_in < 1).any():
        raise ValueError("Give at least one cage; every cage needs room for at least one cock and one hen.")
    if problem.hens_in.sum() < hens:
        raise ValueError(f"{hens} hens but {problem.hens_in.sum()} places: add a cage or name fewer hens.")
    needed = np.sort(problem.least)[: problem.placed].sum()
    if needed > hens + 1e-9:
        raise ValueError(f"The cocks need at least {needed:g} hens but there are {hens}: ask for fewer each.")


def _best(problem: Problem, seconds: float) -> Answer:
    alone = bool((problem.cocks_in == 1).all()) and problem.placed == problem.F.shape[1]
    if alone and np.unique(problem.hens_in).size == 1:
        return by_assignment(problem)
    until = time.perf_counter() + seconds
    floor = bound(problem)
    if floor.infeasible:
        return floor
    found = search(problem, seconds=seconds / 2, good_enough=floor.floor)
    if found is not None and not _within(problem, found):
        found = None
    if found is not None and total(problem, found) <= floor.floor + problem.F.shape[0] * PROVEN_WITHIN:
        return Answer(found, floor.floor)
    exact = solve(problem, seconds=until - time.perf_counter())
    if found is None and exact.placed is None:
        return exact
    plans = [placed for placed in (found, exact.placed) if placed is not None]
    best = min(plans, key=lambda placed: total(problem, placed))
    return Answer(best, min(total(problem, best), max(floor.floor, exact.floor)))


def _within(problem: Problem, placed: Placed) -> bool:
    hen, cock = pairs_together(placed)
    return bool(problem.allowed[hen, cock].all())


def _no_plan(
    problem: Problem, limit: float, cocks: Sequence[str], hens: Sequence[str], *, proven: bool, seconds: float
) -> NoPlan:
    """The smallest limit with a plan, by halving the values that occur, and the pairs above the limit
    asked.
    """
    values = np.unique(problem.F[~problem.allowed])
    each = seconds / (np.ceil(np.log2(values.size + 1)) + 1)
    low, high = 0, values.size - 1
    plan: Placed | None = None
    while low <= high:
        middle = (low + high) // 2
        # Pairs over the limit asked cost so much that the plan holds as few of them as can be.
        F = np.where(problem.allowed, problem.F, problem.F + OVER_LIMIT)
        answer = _best(replace(problem, F=F, allowed=np.less_equal(problem.F, values[middle])), each)
        if answer.placed is not None:
            high, plan = middle - 1, answer.placed
        else:
            proven &= answer.infeasible
            low = middle + 1
    if plan is None:
        raise ValueError("The cages cannot be filled within the hens asked for each cock: widen those bounds.")
    hen, cock = pairs_together(plan)
    over = ~problem.allowed[hen, cock]
    pairs = [
        Pair(cocks[j], hens[i], float(problem.F[i, j]))
        for i, j in zip(hen[over].tolist(), cock[over].tolist(), strict=True)
    ]
    lonely = tuple(hens[i] for i in np.flatnonzero(~problem.allowed.any(axis=1)).tolist())
    return NoPlan(limit, float(values[low]), tuple(pairs), lonely, proven)


def _described(
    problem: Problem, answer: Answer, limit: float, cocks: Sequence[str], hens: Sequence[str], cages: Sequence[Cage]
) -> MatingPlan:
    assert answer.placed is not None
    placed, n = answer.placed, len(hens)
    stands = tuple(
        Stand(
            cage.name,
            tuple(cocks[j] for j in np.flatnonzero(placed.cage_of_cock == at).tolist()),
            tuple(hens[i] for i in np.flatnonzero(placed.cage_of_hen == at).tolist()),
        )
        for at, cage in enumerate(cages)
    )
    value = total(problem, placed) / n
    return MatingPlan(
        stands=tuple(stand for stand in stands if stand.cocks),
        expected_inbreeding=value,
        least_possible=min(value, answer.floor / n),
        worst=_worst(problem.F.T, placed, cocks, hens),
        mean_of_all_pairs=float(problem.F.mean()),
        left_out=tuple(cocks[j] for j in np.flatnonzero(placed.cage_of_cock < 0).tolist()),
        cocks=tuple(cocks),
        hens=tuple(hens),
        coancestry=problem.F.T,
        limit=limit,
        cage_of_cock=placed.cage_of_cock,
        cage_of_hen=placed.cage_of_hen,
    )


def _worst(coancestry: FloatArray, placed: Placed, cocks: Sequence[str], hens: Sequence[str]) -> Pair:
    hen, cock = pairs_together(placed)
    at = int(np.argmax(coancestry[cock, hen]))
    j, i = int(cock[at]), int(hen[at])
    return Pair(cocks[j], hens[i], float(coancestry[j, i]))


@dataclass(frozen=True, slots=True)
class Swap:
    """What it costs to let two birds change places.

    change: of the expected inbreeding of all chicks.  expected_inbreeding, worst: afterwards.  over_limit:
    whether a pair would then stand above the plan's limit.
    """

    change: float
    expected_inbreeding: float
    worst: Pair
    over_limit: bool


def swap(plan: MatingPlan, bird: str, other: str) -> Swap:
    """What the plan becomes when two hens, or two cocks, change places (a cock left out may be one of them).

    Raises ValueError unless both are hens, or both are cocks, of the plan.
    """
    cage_of_cock, cage_of_hen = plan.cage_of_cock.copy(), plan.cage_of_hen.copy()
    if bird in plan.hens and other in plan.hens:
        at = [plan.hens.index(bird), plan.hens.index(other)]
        cage_of_hen[at] = cage_of_hen[at[::-1]]
    elif bird in plan.cocks and other in plan.cocks:
        at = [plan.cocks.index(bird), plan.cocks.index(other)]
        cage_of_cock[at] = cage_of_cock[at[::-1]]
    else:
        raise ValueError(f"{bird} and {other} cannot change places: name two hens or two cocks of the plan.")
    placed = Placed(cage_of_cock, cage_of_hen)
    value = _expected(plan.coancestry, placed)
    worst = _worst(plan.coancestry, placed, plan.cocks, plan.hens)
    return Swap(value - plan.expected_inbreeding, value, worst, worst.coancestry > plan.limit + 1e-12)


def _expected(coancestry: FloatArray, placed: Placed) -> float:
    together = placed.cage_of_cock[:, None] == placed.cage_of_hen[None, :]
    return float(((coancestry * together).sum(axis=0) / together.sum(axis=0)).mean())


def swap_costs(plan: MatingPlan) -> FloatArray:
    """Change of the expected inbreeding for every two hens that change places, shape (hens, hens),
    symmetric.
    """
    together = plan.cage_of_cock[:, None] == plan.cage_of_hen[None, :]
    share = together / together.sum(axis=0)
    would_be = plan.coancestry.T @ share  # of hen i in the cage of hen j
    own = np.diag(would_be)
    change = (would_be + would_be.T - own[:, None] - own[None, :]) / len(plan.hens)
    return np.asarray(change, dtype=np.float64)
