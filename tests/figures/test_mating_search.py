"""The quick search for shared cages: always a plan, and on small cases the best one."""

from __future__ import annotations

import numpy as np
import pytest

from barnbook.figures.mating_exact import total
from barnbook.figures.mating_search import search
from tests.figures.mating_plans import every_plan, is_a_plan, line_of_birds, problem_of, random_totals
from tests.figures.pedigrees import checks


def test_two_families_are_crossed() -> None:
    family_of_hen, family_of_cock = np.array(list("aabb")), np.array(list("aabb"))
    F = 0.25 * (family_of_hen[:, None] == family_of_cock[None, :])
    problem = problem_of(F, [(2, 2), (2, 2)])
    found = search(problem, seconds=5, good_enough=0)
    assert found is not None
    assert total(problem, found) == checks("mating_search")["two families", "least total"]


@pytest.mark.parametrize("seed", range(10))
def test_small_cases_against_every_plan(seed: int) -> None:
    rng = np.random.default_rng(seed)
    F = rng.random((5, 4)) / 4
    problem = problem_of(F, [(2, 3), (2, 3)], limit=0.24)
    best = min((total(problem, placed) for placed in every_plan(problem)), default=np.inf)
    found = search(problem, seconds=5, good_enough=-1)
    if found is not None and is_a_plan(problem, found):
        assert total(problem, found) == pytest.approx(best, abs=1e-9)
    else:
        assert best == np.inf


def test_sixty_hens_in_shared_cages_beat_ten_thousand_random_plans() -> None:
    coancestry, _, _ = line_of_birds(1, cocks=20, hens=60)
    F = coancestry.T
    problem = problem_of(F, [(2, 6)] * 10)
    found = search(problem, seconds=2, good_enough=-1)
    assert found is not None
    assert is_a_plan(problem, found)
    at_random = random_totals(np.random.default_rng(1), F, cocks_in=2, hens_in=6, plans=10_000)
    assert total(problem, found) <= at_random.min()


def test_the_same_birds_give_the_same_plan() -> None:
    F = np.random.default_rng(2).random((8, 4)) / 4
    problem = problem_of(F, [(2, 4), (2, 4)])
    one, other = search(problem, seconds=9, good_enough=-1), search(problem, seconds=9, good_enough=-1)
    assert one is not None
    assert other is not None
    assert np.array_equal(one.cage_of_hen, other.cage_of_hen)
    assert np.array_equal(one.cage_of_cock, other.cage_of_cock)


def test_cages_that_cannot_be_filled_give_no_plan() -> None:
    problem = problem_of(np.zeros((4, 3)), [(2, 4), (2, 4)])
    assert search(problem, seconds=1, good_enough=0) is None
