"""The stated growth passes through what was published, and its factors are what a slide rule gives."""

from __future__ import annotations

import math

import pytest

from barnbook.figures.stated_growth import STATED_WEIGHTS_G, stated_factors, stated_weight_g


def test_it_passes_through_the_published_weights() -> None:
    """Indian J. Anim. Res. BF-1579, group A2 (check-values 11.1)."""
    assert STATED_WEIGHTS_G == {28: 180.44, 35: 226.45, 42: 265.23}
    for day, grams in STATED_WEIGHTS_G.items():
        assert stated_weight_g(day) == pytest.approx(grams, rel=1e-12)


def test_each_week_closes_the_same_share_of_what_is_left() -> None:
    """Worked by hand: ln w = 5.195398, 5.422524, 5.580597; steps 0.227126, 0.158073; ratio 0.695970; so ln A =
    5.580597 + 0.158073 * 0.695970 / 0.304030 = 5.942446, A = 380.9 g,
    and ln w(49) = 5.580597 + 0.158073 * 0.695970 = 5.690611."""
    assert math.log(stated_weight_g(49)) == pytest.approx(5.690611, abs=2e-6)
    assert stated_weight_g(1000) == pytest.approx(380.9, abs=0.1)


def test_factors_of_a_standard_age_of_eight_weeks() -> None:
    """By hand from the line above: w(56) / w(49) = exp(0.158073 * 0.695970^2) = 1.0796, w(56) / w(63) = 0.9481."""
    factors = stated_factors(56)
    assert sorted(factors) == list(range(49, 64))
    assert factors[56] == 1
    assert factors[49] == pytest.approx(1.0796, abs=1e-4)
    assert factors[63] == pytest.approx(0.9481, abs=1e-4)
    assert all(factors[day] > factors[day + 1] for day in range(49, 63))


def test_a_young_standard_age_has_no_days_before_the_hatch() -> None:
    assert min(stated_factors(3)) == 0


@pytest.mark.parametrize("age", [-1, math.nan, math.inf])
def test_an_age_that_is_none_is_refused(age: float) -> None:
    with pytest.raises(ValueError, match="days from hatch"):
        stated_weight_g(age)


def test_a_broken_standard_age_is_refused() -> None:
    with pytest.raises(ValueError, match="not whole"):
        stated_factors(56.5)  # type: ignore[arg-type]
