"""Dressing share against the ratio estimator worked by hand and against simulation; grades of plucking."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import t as student

from barnbook.figures.dressing import Processed, dressing_share, plucked_clean
from barnbook.figures.estimate import Reason


def test_a_worked_case() -> None:
    """By hand: live 200, 300, 250, 350, 400 g (1500), dressed 140, 204, 175, 245, 276 g (1040): share 0.693333;
    residuals 1.3333, -4.0, 1.6667, 2.3333, -1.3333, squares 1.7778 + 16 + 2.7778 + 5.4444 + 1.7778 = 27.7778;
    se = sqrt(5/4 * 27.7778) / 1500 = 0.0039284; t(4) = 2.776445 (any table): 0.682426 to 0.704241."""
    live, dressed = (200, 300, 250, 350, 400), (140, 204, 175, 245, 276)
    found = dressing_share([Processed(1, float(w), float(d)) for w, d in zip(live, dressed, strict=True)])
    assert found.value == pytest.approx(0.693333, abs=1e-6)
    assert found.low == pytest.approx(0.682426, abs=1e-6)
    assert found.high == pytest.approx(0.704241, abs=1e-6)
    assert (found.n, found.n_of) == (5, "birds")


def test_birds_weighed_together_are_one_weighing() -> None:
    apart = [Processed(1, 300.0, 207.0 + at) for at in range(5)]
    found = dressing_share([*apart, Processed(4, 1200.0, 830.0)])
    assert (found.n, found.method) == (9, "ratio_of_sums_t")
    share = (5 * 207 + 10 + 830) / 2700
    assert found.value == pytest.approx(share)
    rss = sum((207 + at - share * 300) ** 2 for at in range(5)) + (830 - share * 1200) ** 2
    half = float(student.ppf(0.975, 5)) * math.sqrt(6 / 5 * rss) / 2700
    assert found.high == pytest.approx(share + half)


def test_limits_cover_the_truth_as_often_as_they_say() -> None:
    """2,000 lots of 12 birds; share of each bird normal about 0.69, SD 0.02. 95 % limits: binomial error 0.5 %."""
    rng = np.random.default_rng(20260715)
    covered = 0
    for _ in range(2000):
        live = rng.normal(290, 25, 12)
        dressed = live * rng.normal(0.69, 0.02, 12)
        found = dressing_share([Processed(1, float(w), float(d)) for w, d in zip(live, dressed, strict=True)])
        assert found.low is not None
        assert found.high is not None
        covered += found.low <= 0.69 <= found.high
    assert 0.935 <= covered / 2000 <= 0.965


def test_what_is_missing_and_what_was_left_out_is_said() -> None:
    assert dressing_share([]).missing is not None
    few = dressing_share([Processed(1, 300.0, 200.0)] * 4 + [Processed(3, 900.0)])
    assert few.missing is not None
    assert (few.missing.reason, few.missing.have, few.missing.need) == (Reason.TOO_FEW_RECORDS, 4, 5)
    assert [(each.what, each.count) for each in few.left_out] == [("birds", 3)]
    slip = dressing_share([Processed(1, 300.0, 201.0 + at) for at in range(5)] + [Processed(1, 200.0, 300.0)])
    assert [(each.count, each.why) for each in slip.left_out] == [(1, "heavier_dressed_than_alive")]
    assert slip.n == 5


def test_plucked_clean_is_a_share_with_wilson_limits() -> None:
    """8 of 10: Wilson 95 % limits 0.4902 to 0.9433 (printed in many places for 8 of 10; recomputed)."""
    found = plucked_clean([Processed(1, pluck=5)] * 5 + [Processed(3, pluck=4), Processed(2, pluck=3), Processed(4)])
    assert (found.value, found.n) == (0.8, 10)
    assert found.low == pytest.approx(0.4902, abs=1e-4)
    assert found.high == pytest.approx(0.9433, abs=1e-4)
    assert [(each.what, each.count, each.why) for each in found.left_out] == [("birds", 4, "not_graded")]
    assert plucked_clean([Processed(9, pluck=4)]).missing is not None


@pytest.mark.parametrize(
    "wrong", [{"birds": 0}, {"birds": 1, "live_g": 0.0}, {"birds": 1, "live_g": math.nan}, {"birds": 1, "pluck": 6}]
)
def test_what_cannot_be_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="give"):
        Processed(**wrong)  # type: ignore[arg-type]
