"""The 95 % limits hold what they say they do: every case of `coverage`, few repeats, seeded (thousands: make bench)."""

from __future__ import annotations

import zlib
from pathlib import Path

import numpy as np
import pytest

from tests.figures.coverage import Case, cases

PAGE = Path(__file__).parents[2] / "docs" / "figures" / "coverage.md"


@pytest.mark.slow
@pytest.mark.parametrize("case", cases(), ids=lambda case: f"{case.figure}: {case.truth}")
def test_the_limits_hold_the_truth_as_often_as_stated(case: Case) -> None:
    rng = np.random.default_rng([case.seed, zlib.crc32(f"{case.figure} {case.truth}".encode())])
    share = float(case.hold(rng, case.quick).mean())
    assert case.stated[0] <= share <= case.stated[1], share


def test_the_page_shows_every_case_and_what_is_stated_of_it() -> None:
    rows = [line.strip("|").split(" | ") for line in PAGE.read_text().splitlines() if line.startswith("| ")][1:]
    printed = {(figure.strip(), truth): (held, stated.strip()) for figure, truth, _, held, stated in rows}
    assert set(printed) == {(case.figure, case.truth) for case in cases()}
    for case in cases():
        held, stated = printed[case.figure, case.truth]
        least, most = (100 * share for share in case.stated)
        assert stated == f"{least:g} to {most:g} %"
        assert least <= float(held.removesuffix(" %")) <= most
