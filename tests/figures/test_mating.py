"""The mating plan: best, bounded, honest about its gap, and helpful when there is none."""

from __future__ import annotations

import time

import numpy as np
import pytest

from barnbook.figures.kinship import coancestry
from barnbook.figures.mating import Cage, MatingPlan, NoPlan, mating_plan, swap, swap_costs
from barnbook.figures.pedigree import Origin, mating, pedigree
from tests.figures.mating_plans import line_of_birds, random_totals
from tests.figures.pedigrees import checks

EXPECTED = checks("mating")


def family() -> tuple[np.ndarray, list[str], list[str]]:
    """Brothers b1 and b2 and sisters s1 and s2 of cage 1, b3, s3 and s4 of cage 2, and n bought in."""
    one, two = mating(cocks=["c1"], hens=["h1"]), mating(cocks=["c2"], hens=["h2"])
    origins: dict[str, Origin] = dict.fromkeys(["c1", "h1", "c2", "h2", "n"])
    origins |= dict.fromkeys(["b1", "b2", "s1", "s2"], one) | dict.fromkeys(["b3", "s3", "s4"], two)
    cocks, hens = ["b1", "b2", "b3"], ["s1", "s2", "s3", "s4", "n"]
    return coancestry(pedigree(origins), cocks, hens), cocks, hens


def cages(number: int, *, cocks: int = 1, hens: int = 2) -> list[Cage]:
    return [Cage(f"K{i + 1}", cocks, hens) for i in range(number)]


def planned(*args: object, **kwargs: object) -> MatingPlan:
    plan = mating_plan(*args, **kwargs)  # type: ignore[arg-type]
    assert isinstance(plan, MatingPlan)
    return plan


def test_brothers_do_not_get_their_sisters() -> None:
    f, cocks, hens = family()
    plan = planned(f, cocks=cocks, hens=hens, cages=cages(3))
    assert plan.expected_inbreeding == EXPECTED["three cocks five hens", "least expected inbreeding"]
    assert plan.mean_of_all_pairs == pytest.approx(EXPECTED["three cocks five hens", "mean of all pairs"], abs=1e-12)
    assert plan.proven
    assert plan.gap == 0
    assert plan.worst.coancestry == 0
    mates = {stand.cocks[0]: set(stand.hens) for stand in plan.stands}
    assert mates["b3"] == {"s1", "s2"}
    assert mates["b1"] | mates["b2"] == {"s3", "s4", "n"}


def test_without_room_the_cost_is_named() -> None:
    """A third sister s5 stands in for the hen bought in: b3 has room for two of them, or for one."""
    f, cocks, hens = family()
    f = f[:, [0, 1, 2, 3, 0]]
    hens = [*hens[:4], "s5"]
    plan = planned(f, cocks=cocks, hens=hens, cages=cages(3))
    # One hen of five must go to her brother: 0.25 / 5.
    assert plan.expected_inbreeding == pytest.approx(0.05, abs=1e-12)
    short = planned(
        f, cocks=cocks, hens=hens, cages=[Cage("K1", 1, 1), Cage("K2", 1, 2), Cage("K3", 1, 2)], bounds={"b3": (1, 1)}
    )
    assert short.expected_inbreeding == pytest.approx(
        EXPECTED["one cage short", "least expected inbreeding"], abs=1e-12
    )
    assert short.proven


@pytest.mark.parametrize(
    ("kind", "hens_in", "cocks_in", "number"), [("alone", 3, 1, 20), ("pairs", 6, 2, 10), ("four", 12, 4, 5)]
)
def test_sixty_hens_and_twenty_cocks_in_five_seconds(kind: str, hens_in: int, cocks_in: int, number: int) -> None:
    f, cocks, hens = line_of_birds(1, cocks=20, hens=60)
    began = time.process_time()  # of the processor, so that a busy machine does not fail it; the bench has the clock
    plan = planned(f, cocks=cocks, hens=hens, cages=cages(number, cocks=cocks_in, hens=hens_in))
    took = time.process_time() - began
    print(f"\n{kind}: {plan.expected_inbreeding:.5f}, gap {plan.gap:.6f}, {took:.2f} s")
    assert took <= 5
    at_random = random_totals(np.random.default_rng(1), f.T, cocks_in=cocks_in, hens_in=hens_in, plans=10_000) / 60
    assert plan.expected_inbreeding <= at_random.min()
    assert plan.proven or 0 < plan.gap < 0.001
    assert plan.least_possible <= plan.expected_inbreeding
    if kind == "alone":
        assert plan.proven
    assert sorted(name for stand in plan.stands for name in stand.hens) == sorted(hens)
    assert sorted(name for stand in plan.stands for name in stand.cocks) == sorted(cocks)
    assert all(len(stand.cocks) == cocks_in and len(stand.hens) <= hens_in for stand in plan.stands)


def test_unlike_cages_and_cocks_to_spare_are_proven_best() -> None:
    f, cocks, hens = line_of_birds(2, cocks=20, hens=40)
    unlike = [Cage(f"K{i}", 1, 2 + i % 4) for i in range(13)]
    plan = planned(f, cocks=cocks, hens=hens, cages=unlike, every_cock=False)
    assert plan.proven
    assert len(plan.left_out) == 7
    for stand in plan.stands:
        assert len(stand.hens) <= next(cage.hens for cage in unlike if cage.name == stand.cage)


def test_expected_inbreeding_is_that_of_the_chicks() -> None:
    """Hatch the plan on paper: the mean F of chicks of each cage, weighted with its hens."""
    f, cocks, hens = family()
    plan = planned(f, cocks=cocks, hens=hens, cages=[Cage("K1", 2, 3), Cage("K2", 1, 3)])
    by_hand = sum(
        f[cocks.index(cock), hens.index(hen)] / len(stand.cocks)
        for stand in plan.stands
        for cock in stand.cocks
        for hen in stand.hens
    )
    assert plan.expected_inbreeding == pytest.approx(by_hand / 5, abs=1e-12)


def test_a_limit_on_a_pair_is_kept_even_if_it_costs() -> None:
    f = np.array([[0.0, 0.1, 0.1], [0.1, 0.3, 0.1]])
    free = planned(f, cocks=["a", "b"], hens=["x", "y", "z"], cages=cages(2))
    held = planned(f, cocks=["a", "b"], hens=["x", "y", "z"], cages=cages(2), limit=0.05 + 0.05)
    assert held.worst.coancestry <= 0.1
    assert held.expected_inbreeding >= free.expected_inbreeding


def test_no_plan_names_the_birds_and_the_smallest_worst_pair() -> None:
    f = np.array([[0.25, 0.05, 0.0], [0.125, 0.0, 0.05]])
    answer = mating_plan(f, cocks=["a", "b"], hens=["x", "y", "z"], cages=cages(2), limit=0.1)
    assert isinstance(answer, NoPlan)
    assert answer.least_worst == 0.125
    assert [(pair.cock, pair.hen) for pair in answer.pairs] == [("b", "x")]
    assert answer.hens_without_cock == ("x",)
    assert set(answer.birds) == {"b", "x"}
    assert answer.proven


def test_no_plan_for_want_of_places_beside_the_right_cock() -> None:
    """Every hen has a cock far enough from her, but it is the same cock and he has two places."""
    f = np.array([[0.0, 0.0, 0.0], [0.2, 0.15, 0.25]])
    answer = mating_plan(f, cocks=["a", "b"], hens=["x", "y", "z"], cages=cages(2), limit=0.1)
    assert isinstance(answer, NoPlan)
    assert answer.least_worst == 0.15
    assert answer.hens_without_cock == ()
    assert [(pair.cock, pair.hen) for pair in answer.pairs] == [("b", "y")]


def test_no_plan_in_shared_cages() -> None:
    f = np.full((4, 4), 0.2)
    f[0, :] = [0.25, 0.0, 0.0, 0.0]
    answer = mating_plan(f, cocks=list("abcd"), hens=list("wxyz"), cages=cages(2, cocks=2), limit=0.1)
    assert isinstance(answer, NoPlan)
    assert answer.least_worst == 0.2
    assert answer.proven
    assert len(answer.pairs) >= 6


@pytest.mark.parametrize("seed", range(5))
def test_the_smallest_worst_pair_against_every_limit(seed: int) -> None:
    f = np.round(np.random.default_rng(seed).random((3, 6)) / 4, 2)
    who = {"cocks": list("abc"), "hens": list("uvwxyz"), "cages": cages(3)}
    answer = mating_plan(f, **who, limit=0.0)  # type: ignore[arg-type]
    assert isinstance(answer, NoPlan)
    feasible = [v for v in np.unique(f) if isinstance(mating_plan(f, **who, limit=float(v)), MatingPlan)]  # type: ignore[arg-type]
    assert answer.least_worst == min(feasible)


def test_what_a_swap_costs() -> None:
    f, cocks, hens = line_of_birds(3, cocks=6, hens=18)
    plan = planned(f, cocks=cocks, hens=hens, cages=cages(3, cocks=2, hens=6))
    costs = swap_costs(plan)
    assert costs == pytest.approx(costs.T)
    for one, other in [(0, 1), (2, 9), (5, 17)]:
        found = swap(plan, hens[one], hens[other])
        assert found.change == pytest.approx(costs[one, other], abs=1e-12)
        assert found.expected_inbreeding == pytest.approx(plan.expected_inbreeding + costs[one, other], abs=1e-12)
    assert costs.min() >= -plan.gap - 1e-9  # no swap betters a plan by more than its gap
    there = swap(plan, cocks[0], cocks[5])
    assert there.expected_inbreeding >= plan.least_possible - 1e-9


def test_a_swap_over_the_limit_says_so() -> None:
    f, cocks, hens = family()
    plan = planned(f, cocks=cocks, hens=hens, cages=cages(3), limit=0.1)
    worse = swap(plan, "s1", "s3")
    assert worse.over_limit
    assert worse.worst.coancestry == 0.25
    assert worse.change == pytest.approx(2 * 0.25 / 5)
    with pytest.raises(ValueError, match="two hens or two cocks"):
        swap(plan, "s1", "b1")


def test_hardly_any_time_gives_a_plan_with_a_wider_gap() -> None:
    f, cocks, hens = line_of_birds(4, cocks=20, hens=60)
    plan = planned(f, cocks=cocks, hens=hens, cages=cages(10, cocks=2, hens=6), seconds=0.01)
    assert 0 <= plan.gap < plan.mean_of_all_pairs
    assert plan.least_possible <= plan.expected_inbreeding < plan.mean_of_all_pairs


def test_one_cock_and_one_hen() -> None:
    plan = planned(np.array([[0.125]]), cocks=["a"], hens=["x"], cages=cages(1))
    assert (plan.expected_inbreeding, plan.proven) == (0.125, True)


REFUSED = [
    ({"hens": ["x", "x"]}, "Named twice among the birds: x"),
    ({"f": np.zeros((2, 3))}, "need a coancestry for each pair"),
    ({"f": np.full((2, 2), np.nan)}, "not a number from 0 to 1"),
    ({"f": np.full((2, 2), np.inf)}, "not a number from 0 to 1"),
    ({"f": np.zeros((2, 0)), "hens": []}, "at least one of each"),
    ({"cages": []}, "at least one cage"),
    ({"cages": [Cage("K", 1, 2), Cage("K", 1, 2)]}, "Named twice among the cages: K"),
    ({"cages": [Cage("K", 0, 2)]}, "room for at least one cock"),
    ({"cages": [Cage("K", 2, 1)]}, "2 hens but 1 places"),
    ({"cages": [Cage("K", 3, 5)]}, "2 cocks do not fill whole cages: name 3 cocks"),
    ({"cages": [Cage("K", 1, 5)]}, "2 cocks do not fill whole cages: name 1 cocks"),
    ({"hens_for_a_cock": (2, 3)}, "need at least 4 hens but there are 2"),
    ({"hens_for_a_cock": (2, 1)}, "The least hens of a, b"),
    ({"hens_for_a_cock": (0, 0.5)}, "cannot be filled within the hens asked"),
    ({"bounds": {"z": (0, 1)}}, "Bounds are given for z"),
    ({"limit": float("nan")}, "The limit on a pair"),
]


@pytest.mark.parametrize(("change", "sentence"), REFUSED)
def test_what_cannot_be_is_refused_in_a_sentence(change: dict[str, object], sentence: str) -> None:
    asked: dict[str, object] = {"f": np.zeros((2, 2)), "cocks": ["a", "b"], "hens": ["x", "y"], "cages": cages(2)}
    asked |= change
    with pytest.raises(ValueError, match=sentence):
        mating_plan(asked.pop("f"), **asked)  # type: ignore[arg-type]
