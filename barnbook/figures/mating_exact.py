"""Exact ways to put hens and cocks into cages at the least total kinship.

    fill     rows into groups with least and most places: an assignment problem over the places (SciPy's
             linear_sum_assignment, Crouse 2016), exact
    solve    everything, several cocks a cage included, as a mixed-integer linear programme (SciPy's milp, HiGHS)
    bound    a floor under any plan: each hen gets her own cocks, at no more than the hens a cock can have

With one cock a cage, who stands with whom is linear. With several, hen i and cock j are together when both
stand in cage c, a product; w_ij >= x_ic + y_jc - 1 makes it linear, and sum over j of w_ij = k keeps it
tight.
Costs are totals over hens: F[i, j] is the coancestry of hen i and cock j, divided by the cocks of her cage.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, linear_sum_assignment, milp
from scipy.sparse import coo_array

from barnbook.figures.pedigree import FloatArray, IntArray


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """F: (hens, cocks) coancestry.  allowed: (hens, cocks) pairs that may share a cage.

    cocks_in, hens_in: (cages,) cocks that a used cage holds, most hens.  placed: how many cocks are placed in
    all.
    least, most: (cocks,) bounds on the hens of a placed cock, those of a shared cage divided among its cocks.
    """

    F: FloatArray
    allowed: NDArray[np.bool_]
    cocks_in: IntArray
    hens_in: IntArray
    placed: int
    least: FloatArray
    most: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """Cage of each cock (-1: none) and of each hen."""

    cage_of_cock: IntArray
    cage_of_hen: IntArray


@dataclass(frozen=True, slots=True, eq=False)
class Answer:
    """placed: the plan, None if there is none or none was found.  floor: no plan costs less.  infeasible:
    proven.
    """

    placed: Placed | None
    floor: float
    infeasible: bool = False


def total(problem: Problem, placed: Placed, *, F: FloatArray | None = None) -> float:
    """Sum over hens of the mean coancestry with the cocks of her cage."""
    F = problem.F if F is None else F
    together = placed.cage_of_hen[:, None] == placed.cage_of_cock[None, :]
    return float(((F * together).sum(axis=1) / np.maximum(together.sum(axis=1), 1)).sum())


def pairs_together(placed: Placed) -> tuple[IntArray, IntArray]:
    """Hens and cocks of every pair that shares a cage."""
    hen, cock = np.nonzero(placed.cage_of_hen[:, None] == placed.cage_of_cock[None, :])
    return hen.astype(np.int64), cock.astype(np.int64)


def fill(cost: FloatArray, *, least: IntArray, most: IntArray) -> IntArray | None:
    """Group of each row at the least total cost, or None if the groups cannot be filled so.

    cost: (rows, groups), infinite where forbidden.  least, most: (groups,) rows that each group takes.
    """
    rows, groups = cost.shape
    most = np.minimum(most, rows)
    if (least > most).any() or least.sum() > rows or most.sum() < rows:
        return None
    place = np.repeat(np.arange(groups), most)
    nth = np.arange(place.size) - np.repeat(np.cumsum(most) - most, most)
    must = nth < least[place]
    table = np.zeros((place.size, place.size))
    table[:rows] = cost[:, place]
    table[rows:, must] = np.inf  # nobody real left over for a place that must be taken
    try:
        _, taken = linear_sum_assignment(table)
    except ValueError:
        return None
    group: IntArray = place[taken[:rows]].astype(np.int64)
    return group


def by_assignment(problem: Problem) -> Answer:
    """The best plan when each cock has a cage of his own, all alike, and each is placed. Exact."""
    cost = np.where(problem.allowed, problem.F, np.inf)
    least = np.ceil(problem.least - 1e-9).astype(np.int64)
    most = np.floor(np.minimum(problem.most, problem.hens_in[0]) + 1e-9).astype(np.int64)
    cock_of = fill(cost, least=least, most=most)
    if cock_of is None:
        return Answer(None, np.inf, infeasible=True)
    placed = Placed(np.arange(problem.F.shape[1], dtype=np.int64), cock_of)
    return Answer(placed, total(problem, placed))


@dataclass(slots=True)
class _Rows:
    """Constraints low <= row . v <= high, gathered entry by entry."""

    row: list[Any] = field(default_factory=list)
    column: list[Any] = field(default_factory=list)
    value: list[Any] = field(default_factory=list)
    low: list[Any] = field(default_factory=list)
    high: list[Any] = field(default_factory=list)
    count: int = 0

    def add(self, columns: Sequence[Any], values: Sequence[Any], *, low: Any, high: Any) -> None:
        """One row for each line of the columns, arrays of one length or of shape (rows, several); values, low
        and high are numbers, or arrays with one for each row."""
        blocks = [np.asarray(column).reshape(len(column), -1) for column in columns]
        size = blocks[0].shape[0]
        for block, value in zip(blocks, values, strict=True):
            self.row.append(np.repeat(np.arange(size) + self.count, block.shape[1]))
            self.column.append(block.ravel())
            self.value.append(np.broadcast_to(np.reshape(value, (-1, 1)), block.shape).ravel())
        self.low.append(np.broadcast_to(np.asarray(low, dtype=np.float64), size))
        self.high.append(np.broadcast_to(np.asarray(high, dtype=np.float64), size))
        self.count += size

    def constraint(self, variables: int) -> LinearConstraint:
        """All rows as one constraint."""
        entries = (np.concatenate(self.value), (np.concatenate(self.row), np.concatenate(self.column)))
        matrix = coo_array(entries, shape=(self.count, variables)).tocsc()
        return LinearConstraint(matrix, np.concatenate(self.low), np.concatenate(self.high))


@dataclass(frozen=True, slots=True, eq=False)
class _Kind:
    """Cages that are alike, and where their variables stand. w: (hens, cocks) together; y: (cocks, cages);
    x: (hens, cages); z: (cages,) used. With one cock a cage the cock is the cage: y is (cocks, 1), x and z
    are empty.
    """

    cages: IntArray
    cocks: int
    hens: int
    w: IntArray
    y: IntArray
    x: IntArray
    z: IntArray


def _kinds(problem: Problem) -> tuple[list[_Kind], int]:
    hens, cocks = problem.F.shape
    kinds, used = [], 0

    def block(*shape: int) -> IntArray:
        nonlocal used
        size = int(np.prod(shape))
        used += size
        return np.arange(used - size, used, dtype=np.int64).reshape(shape)

    both = np.stack((problem.cocks_in, problem.hens_in), axis=1)
    for k, h in np.unique(both, axis=0):
        cages = np.flatnonzero((both == (k, h)).all(axis=1))
        shared = cages.size if k > 1 else 0
        kinds.append(
            _Kind(
                cages,
                int(k),
                int(h),
                block(hens, cocks),
                block(cocks, max(shared, 1)),
                block(hens, shared),
                block(shared),
            )
        )
    return kinds, used


def _programme(problem: Problem, kinds: list[_Kind]) -> _Rows:
    rows = _Rows()
    one = [1.0]
    for kind in kinds:
        if kind.cocks == 1:
            mine = kind.y[:, 0]
            rows.add([kind.w.ravel(), np.tile(mine, kind.w.shape[0])], [1, -1], low=-np.inf, high=0)
            rows.add([kind.w.T, mine], [1, -kind.hens], low=-np.inf, high=0)
            rows.add([mine[None, :]], one, low=0, high=kind.cages.size)
        else:
            _shared_cages(rows, problem, kind)
    stands = np.concatenate([kind.y for kind in kinds], axis=1)
    rows.add([stands], one, low=0, high=1)
    rows.add([stands.reshape(1, -1)], one, low=problem.placed, high=problem.placed)
    cage_of_hen = [kind.x if kind.cocks > 1 else kind.w for kind in kinds]
    rows.add([np.concatenate(cage_of_hen, axis=1)], one, low=1, high=1)
    worth = [1 / kind.cocks for kind in kinds]
    mates = [kind.w.T for kind in kinds]
    rows.add([*mates, stands], [*worth, -problem.least], low=0, high=np.inf)
    rows.add(mates, worth, low=0, high=problem.most)
    return rows


def _shared_cages(rows: _Rows, problem: Problem, kind: _Kind) -> None:
    hens, cocks = problem.F.shape
    for cage in range(kind.cages.size):
        x, y = np.repeat(kind.x[:, cage], cocks), np.tile(kind.y[:, cage], hens)
        rows.add([kind.w.ravel(), x, y], [1, -1, -1], low=-1, high=np.inf)
        hen, cock = np.nonzero(~problem.allowed)
        if hen.size:
            rows.add([kind.x[hen, cage], kind.y[cock, cage]], [1, 1], low=-np.inf, high=1)
        if cage:  # cages alike are told apart by their lowest cock, or the search would try every naming of them
            for j in range(cocks):
                columns = [kind.y[j, cage][None], kind.y[:j, cage - 1][None, :]] if j else [kind.y[j, cage][None]]
                rows.add(columns, [1, -1][: len(columns)], low=-np.inf, high=0)
    rows.add([kind.y.T, kind.z], [1, -kind.cocks], low=0, high=0)
    rows.add([kind.x.T, kind.z], [1, -kind.hens], low=-np.inf, high=0)
    rows.add([kind.w, kind.x], [1, -kind.cocks], low=0, high=0)


def solve(problem: Problem, *, seconds: float) -> Answer:
    """The best plan by mixed-integer linear programming, or the best found in the time, with its floor."""
    kinds, variables = _kinds(problem)
    cost, upper, whole = np.zeros(variables), np.ones(variables), np.ones(variables)
    for kind in kinds:
        cost[kind.w] = problem.F / kind.cocks
        upper[kind.w] = problem.allowed
        whole[kind.w] = 0  # follows from the others
    found = milp(
        cost,
        integrality=whole,
        bounds=Bounds(np.zeros(variables), upper),
        constraints=[_programme(problem, kinds).constraint(variables)],
        options={"time_limit": max(seconds, 0.05), "mip_rel_gap": 0.0},
    )
    floor = found.mip_dual_bound if found.mip_dual_bound is not None else -np.inf
    if found.x is None:
        return Answer(None, float(floor), infeasible=found.status == 2)
    return Answer(_read(problem, kinds, found.x), float(floor))


def _read(problem: Problem, kinds: list[_Kind], values: FloatArray) -> Placed:
    hens, cocks = problem.F.shape
    cage_of_cock, cage_of_hen = np.full(cocks, -1, dtype=np.int64), np.full(hens, -1, dtype=np.int64)
    for kind in kinds:
        there = values[kind.y] > 0.5
        if kind.cocks == 1:
            mine = np.flatnonzero(there[:, 0])
            cage_of_cock[mine] = kind.cages[: mine.size]
            hen, cock = np.nonzero(values[kind.w] > 0.5)
            cage_of_hen[hen] = cage_of_cock[cock]
        else:
            cock, cage = np.nonzero(there)
            cage_of_cock[cock] = kind.cages[cage]
            hen, cage = np.nonzero(values[kind.x] > 0.5)
            cage_of_hen[hen] = kind.cages[cage]
    return Placed(cage_of_cock, cage_of_hen)


def bound(problem: Problem) -> Answer:
    """A floor under the cost of any plan, and whether there can be one at all.

    Each hen takes as many cocks as a cage of a kind holds, her own choice; a cock takes no more hens than the
    roomiest cage has places, times his cages; places of a kind are kept. Cage-mates need not share, so no
    plan costs less.
    """
    kinds, variables = _kinds(problem)
    hens, cocks = problem.F.shape
    width = hens * cocks
    variables = len(kinds) * (width + hens)
    rows, cost, upper = _Rows(), np.zeros(variables), np.ones(variables)
    takes, stands = [], []
    for number, kind in enumerate(kinds):
        w = np.arange(width).reshape(hens, cocks) + number * (width + hens)
        s = np.arange(hens) + number * (width + hens) + width  # whether the hen stands in this kind of cage
        cost[w], upper[w] = problem.F / kind.cocks, problem.allowed
        rows.add([w, s], [1, -kind.cocks], low=0, high=0)
        rows.add([s[None, :]], [1.0], low=0, high=kind.hens * kind.cages.size)
        takes.append(w)
        stands.append(s)
    rows.add([np.stack(stands, axis=1)], [1.0], low=1, high=1)
    rows.add([w.T for w in takes], [1 / kind.hens for kind in kinds], low=0, high=1)
    low = problem.least if problem.placed == cocks else 0
    rows.add([w.T for w in takes], [1 / kind.cocks for kind in kinds], low=low, high=problem.most)
    found = milp(cost, bounds=Bounds(np.zeros(variables), upper), constraints=[rows.constraint(variables)])
    if found.status == 2:
        return Answer(None, np.inf, infeasible=True)
    return Answer(None, float(found.fun) if found.fun is not None else -np.inf)
