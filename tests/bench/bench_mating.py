"""How long a mating plan for 60 hens and 20 cocks takes, and how good it is, beside the plain ways.

    python tests/bench/bench_mating.py

Target (issue 3): at most 5 s, at least as good as 10,000 random plans, proven the best or with its gap.
"""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np

from barnbook.figures.mating import Cage, MatingPlan, NoPlan, mating_plan
from barnbook.figures.mating_exact import solve, total
from tests.figures.mating_plans import line_of_birds, problem_of, random_totals

CASES = {
    "20 cages of 1 cock, 3 hens": [(1, 3)] * 20,
    "20 cages of 1 cock, 2 to 5 hens": [(1, 2 + at % 4) for at in range(20)],
    "10 cages of 2 cocks, 6 hens": [(2, 6)] * 10,
    "5 cages of 4 cocks, 12 hens": [(4, 12)] * 5,
    "6 of 2 and 8, 8 of 1 and 3": [(2, 8)] * 6 + [(1, 3)] * 8,
}


def main() -> None:
    coancestry, cocks, hens = line_of_birds(1, cocks=20, hens=60)
    print(f"all pairs: mean {coancestry.mean():.5f}, least {coancestry.min():.5f}, most {coancestry.max():.5f}")
    for name, shape in CASES.items():
        cages = [Cage(f"K{at}", *room) for at, room in enumerate(shape)]
        began = time.perf_counter()
        plan = mating_plan(coancestry, cocks=cocks, hens=hens, cages=cages)
        took = time.perf_counter() - began
        assert isinstance(plan, MatingPlan)
        word = "proven best" if plan.proven else f"at most {plan.gap:.5f} above the best"
        print(f"{name:32} {took:5.2f} s (5)  expected inbreeding {plan.expected_inbreeding:.5f}, {word}")
        if len(set(shape)) == 1:
            began = time.perf_counter()
            random = random_totals(
                np.random.default_rng(1), coancestry.T, cocks_in=shape[0][0], hens_in=shape[0][1], plans=10_000
            )
            print(
                f"{'':32} best of 10,000 random plans {random.min() / 60:.5f} in {time.perf_counter() - began:.2f} s, "
                f"mean {random.mean() / 60:.5f}"
            )
    beside_the_programme(coancestry)
    began = time.perf_counter()
    tight = [Cage(f"K{at}", 1, 3) for at in range(20)]
    none = mating_plan(coancestry, cocks=cocks, hens=hens, cages=tight, limit=0.047)
    assert isinstance(none, NoPlan)
    print(
        f"no plan under 0.047: smallest worst pair {none.least_worst:.5f}, {len(none.pairs)} pairs above, "
        f"{time.perf_counter() - began:.2f} s"
    )


def beside_the_programme(coancestry: np.ndarray) -> None:
    """One cock a cage: our assignment beside the general way, a mixed-integer programme for scipy.optimize.milp."""
    cocks, hens = [f"c{i}" for i in range(20)], [f"h{i}" for i in range(60)]
    cages = [Cage(f"K{at}", 1, 3) for at in range(20)]
    began = time.perf_counter()
    plan = mating_plan(coancestry, cocks=cocks, hens=hens, cages=cages)
    ours = time.perf_counter() - began
    problem = problem_of(coancestry.T, [(1, 3)] * 20)
    began = time.perf_counter()
    general = solve(problem, seconds=60)
    theirs = time.perf_counter() - began
    assert isinstance(plan, MatingPlan)
    assert general.placed is not None
    assert abs(total(problem, general.placed) / 60 - plan.expected_inbreeding) < 1e-9
    print(f"one cock a cage: milp {theirs:.2f} s, ours {ours:.4f} s, ratio {theirs / ours:.0f}, the same value")


if __name__ == "__main__":
    main()
