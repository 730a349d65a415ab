"""Exact placings against every plan there is."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from barnbook.figures.mating_exact import bound, by_assignment, fill, solve, total
from tests.figures.mating_plans import every_plan, is_a_plan, problem_of
from tests.figures.pedigrees import checks

EXPECTED = checks("mating_exact")
PRODUCTS = np.outer([1.0, 2.0, 3.0], [1.0, 2.0, 3.0])


@pytest.mark.parametrize(
    ("case", "least", "most"),
    [
        ("one row each", [1, 1, 1], [1, 1, 1]),
        ("group 3 takes none", [1, 1, 0], [2, 2, 0]),
        ("group 3 takes at least two", [0, 0, 2], [3, 3, 3]),
    ],
)
def test_products_worked_by_hand(case: str, least: list[int], most: list[int]) -> None:
    group = fill(PRODUCTS, least=np.array(least), most=np.array(most))
    assert group is not None
    assert PRODUCTS[np.arange(3), group].sum() == EXPECTED["products", case]


@pytest.mark.parametrize("seed", range(30))
def test_filling_against_every_filling(seed: int) -> None:
    rng = np.random.default_rng(seed)
    rows, groups = 6, 3
    cost = rng.integers(0, 10, size=(rows, groups)).astype(float)
    cost[rng.random(cost.shape) < 0.25] = np.inf
    least, most = rng.integers(0, 3, size=groups), rng.integers(1, 5, size=groups)
    best = np.inf
    for choice in itertools.product(range(groups), repeat=rows):
        number = np.bincount(choice, minlength=groups)
        if (least <= number).all() and (number <= most).all():
            best = min(best, cost[np.arange(rows), choice].sum())
    group = fill(cost, least=least, most=most)
    found = np.inf if group is None else cost[np.arange(rows), group].sum()
    assert found == best


KINDS = [
    [(1, 3), (1, 3), (1, 3)],
    [(1, 1), (1, 2), (1, 4)],
    [(1, 2), (2, 3)],
    [(2, 3), (2, 3)],
    [(2, 2), (1, 2), (1, 3)],
]


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("cages", KINDS)
@pytest.mark.parametrize("limit", [1.0, 0.2])
def test_the_programme_against_every_plan(seed: int, cages: list[tuple[int, int]], limit: float) -> None:
    rng = np.random.default_rng(seed)
    cocks = 4 if cages[0] == (2, 3) else 3
    F = rng.choice([0.0, 0.0625, 0.125, 0.25], size=(5, cocks)) + rng.integers(0, 9, size=(5, cocks)) / 1e4
    problem = problem_of(F, cages, limit=limit, least=1.0 if cocks == 3 else 0.5, placed=3 if cocks == 3 else 4)
    best = min((total(problem, placed) for placed in every_plan(problem)), default=np.inf)
    answer = solve(problem, seconds=20)
    floor = bound(problem)
    assert floor.floor <= best + 1e-9
    if best == np.inf:
        assert answer.placed is None
        assert answer.infeasible
        return
    assert answer.placed is not None
    assert is_a_plan(problem, answer.placed)
    assert total(problem, answer.placed) == pytest.approx(best, abs=1e-9)
    assert answer.floor <= best + 1e-6
    if cages == KINDS[0]:
        assigned = by_assignment(problem)
        assert assigned.placed is not None
        assert assigned.floor == pytest.approx(best, abs=1e-12)


def test_cocks_left_out_are_those_that_fit_worst() -> None:
    F = np.array([[0.25, 0.0, 0.1], [0.25, 0.0, 0.1], [0.2, 0.1, 0.0], [0.2, 0.1, 0.0]])
    problem = problem_of(F, [(1, 2), (1, 2)], placed=2)
    answer = solve(problem, seconds=20)
    assert answer.placed is not None
    assert answer.placed.cage_of_cock[0] == -1
    assert total(problem, answer.placed) == pytest.approx(0, abs=1e-9)


def test_bounds_on_what_a_cock_contributes_are_kept() -> None:
    F = np.array([[0.0, 0.2], [0.0, 0.2], [0.0, 0.2], [0.0, 0.2]])
    problem = problem_of(F, [(1, 4), (1, 4)], least=0.0, most=3.0)
    answer = solve(problem, seconds=20)
    assigned = by_assignment(problem)
    assert answer.placed is not None
    assert assigned.placed is not None
    assert total(problem, answer.placed) == pytest.approx(0.2, abs=1e-9)
    assert total(problem, assigned.placed) == pytest.approx(0.2, abs=1e-9)
