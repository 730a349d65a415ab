"""How often the 95 % limits of a figure hold the truth, in barns whose truth is known because it was imagined.

One `Case` is one figure under one imagined truth. `test_coverage.py` runs each with `quick` repeats and a seed of its
own; `tests/bench/bench_coverage.py` with thousands, and prints what docs/figures.md states.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Held = NDArray[np.bool_]

STATED = (0.93, 0.97)
"""What limits of 95 % must do (issue 3)."""


@dataclass(frozen=True, slots=True)
class Case:
    """One figure under one imagined truth.

    figure, truth: in words. hold: rng and number of repeats -> for each limit made, whether it held the truth.
    quick: repeats of the test, a few seconds at most. stated: least and greatest share; other than 93 to 97 % only
    where the figure's page says so. seed: of the test.
    """

    figure: str
    truth: str
    hold: Callable[[np.random.Generator, int], Held]
    quick: int
    stated: tuple[float, float] = STATED
    seed: int = 0


def holds(found: Any, truth: float) -> bool:
    """Whether the limits of a figure, or of anything with low and high, hold the truth; a figure must be shown."""
    assert found.low is not None
    assert found.high is not None
    return bool(found.low <= truth <= found.high)


def held(answers: Sequence[bool]) -> Held:
    """The answers as an array."""
    return np.array(answers, dtype=np.bool_)


def cases() -> tuple[Case, ...]:
    """Every case, in the order of docs/figures.md."""
    from tests.figures.coverage import birds, genes, hatch_room, hens

    return (*hens.CASES, *hatch_room.CASES, *birds.CASES, *genes.CASES)
