"""Eggs to set: the arithmetic against SciPy, the promise of 90 % by simulation, and what makes the answer
larger."""

import csv
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import binom, multinomial

from barnbook.figures import eggs_to_set
from barnbook.figures.eggs_to_set import EggsToSet, PastGroups, PastRates
from barnbook.figures.estimate import Missing, Reason

FIXTURES = Path(__file__).parents[2] / "fixtures"

PAST = PastRates(
    hatch=PastGroups((30, 28, 35), (40, 40, 48)),
    live=PastGroups((27, 25, 32), (30, 28, 35)),
    cocks=PastGroups((14, 12, 15), (27, 25, 31)),
    cut_cocks=PastGroups((5, 4, 6), (14, 12, 15)),
    cut_hens=PastGroups((5, 5, 6), (13, 13, 16)),
)


def checks():
    lines = (FIXTURES / "checks" / "eggs_to_set.csv").read_text().splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def enough(eggs, c, h, a, b):
    return float(eggs_to_set.probability_of_enough(eggs, np.array([c]), np.array([h]), a, b)[0])


@pytest.mark.parametrize("row", checks(), ids=lambda row: f"{row['cocks_wanted']} + {row['hens_wanted']}")
def test_known_shares_need_the_eggs_scipy_says(row):
    c, h, a, b = float(row["c"]), float(row["h"]), int(row["cocks_wanted"]), int(row["hens_wanted"])
    least = next(n for n in range(1, 500) if enough(n, c, h, a, b) >= 0.9)
    assert least == int(row["eggs"])


@pytest.mark.parametrize(("eggs", "a", "b"), [(1, 1, 0), (1, 1, 1), (5, 2, 2), (12, 3, 4), (20, 0, 5)])
def test_the_probability_of_enough_is_the_multinomial_sum(eggs, a, b):
    # Reference: SciPy's multinomial, every outcome added up
    c, h = 0.23, 0.31
    total = sum(
        multinomial.pmf([i, j, eggs - i - j], eggs, [c, h, 1 - c - h])
        for i in range(a, eggs + 1)
        for j in range(b, eggs + 1 - i)
    )
    assert enough(eggs, c, h, a, b) == pytest.approx(total, abs=1e-12)


def test_one_sex_alone_is_the_binomial():
    assert enough(30, 0.2, 0.3, 4, 0) == pytest.approx(binom.sf(3, 30, 0.2), abs=1e-12)


def test_certain_shares_at_the_ends():
    assert enough(3, 1.0, 0.0, 3, 0) == 1
    assert enough(3, 0.0, 0.0, 1, 0) == 0


def test_the_promise_of_90_percent_holds_and_one_egg_fewer_breaks_it():
    """Truth drawn from the posterior, the setting then hatched egg by egg: 40,000 settings."""
    found = eggs_to_set.eggs_to_set(PAST, cocks_wanted=2, hens_wanted=6)
    assert found.probability >= 0.9 > found.one_fewer
    rng = np.random.default_rng(99)
    cock, hen = eggs_to_set.draw_shares(PAST, draws=40_000, rng=rng)
    kept_cocks = rng.binomial(found.eggs, cock)
    kept_hens = rng.binomial(found.eggs - kept_cocks, hen / (1 - cock))
    monte_carlo = 2.6 * np.sqrt(0.9 * 0.1 / eggs_to_set.DRAWS)  # of the answer's own draws
    assert np.mean((kept_cocks >= 2) & (kept_hens >= 6)) >= 0.90 - monte_carlo
    fewer = eggs_to_set.probability_of_enough(found.eggs - 1, cock, hen, 2, 6).mean()
    assert fewer < 0.90 + monte_carlo
    assert found.cocks == pytest.approx(found.eggs * cock.mean(), rel=0.03)
    assert found.hens == pytest.approx(found.eggs * hen.mean(), rel=0.03)


def test_the_answer_is_the_same_each_time():
    first = eggs_to_set.eggs_to_set(PAST, cocks_wanted=2, hens_wanted=6)
    assert first == eggs_to_set.eggs_to_set(PAST, cocks_wanted=2, hens_wanted=6)


def test_fewer_records_and_hatches_that_differ_ask_for_more_eggs():
    def hatch(k, n):
        past = PastRates(PastGroups(k, n), PAST.live, PAST.cocks, PAST.cut_cocks, PAST.cut_hens)
        return eggs_to_set.eggs_to_set(past, cocks_wanted=2, hens_wanted=6).eggs

    steady = hatch((30,) * 12, (40,) * 12)
    assert hatch((30,), (40,)) > steady
    assert hatch((40, 20) * 6, (40,) * 12) > steady


def test_plenty_of_steady_records_come_to_the_known_answer():
    many = 20_000
    past = PastRates(
        hatch=PastGroups((many * 8 // 10,) * 30, (many,) * 30),
        live=PastGroups((many * 9 // 10,) * 30, (many,) * 30),
        cocks=PastGroups((many // 2,) * 30, (many,) * 30),
        cut_cocks=PastGroups((many * 4 // 10,) * 30, (many,) * 30),
        cut_hens=PastGroups((many * 4 // 10,) * 30, (many,) * 30),
    )
    found = eggs_to_set.eggs_to_set(past, cocks_wanted=2, hens_wanted=6)
    share = 0.8 * 0.9 * 0.5 * 0.4
    plugged_in = next(n for n in range(1, 500) if enough(n, share, share, 2, 6) >= 0.9)
    assert abs(found.eggs - plugged_in) <= 1


@pytest.mark.parametrize(
    ("changed", "what", "have"),
    [
        ({"hatch": PastGroups((15,), (20,))}, "eggs_set", 20),
        ({"live": PastGroups((5,), (6,))}, "chicks_followed", 6),
        ({"cut_hens": PastGroups((2,), (4,))}, "hens_weighed", 4),
    ],
)
def test_too_few_records_name_the_rate(changed, what, have):
    rates = {name: getattr(PAST, name) for name in ("hatch", "live", "cocks", "cut_cocks", "cut_hens")}
    found = eggs_to_set.eggs_to_set(PastRates(**(rates | changed)), cocks_wanted=2, hens_wanted=6)
    assert isinstance(found, Missing)
    assert (found.reason, found.what, found.have) == (Reason.TOO_FEW_RECORDS, what, have)


def test_all_hatched_and_none_hatched_have_an_answer():
    rates = {name: getattr(PAST, name) for name in ("live", "cocks", "cut_cocks", "cut_hens")}
    all_hatched = PastRates(hatch=PastGroups((40, 40), (40, 40)), **rates)
    assert isinstance(eggs_to_set.eggs_to_set(all_hatched, cocks_wanted=1, hens_wanted=3), EggsToSet)
    none_hatched = PastRates(hatch=PastGroups((0, 0), (40, 40)), **rates)
    found = eggs_to_set.eggs_to_set(none_hatched, cocks_wanted=1, hens_wanted=3)
    assert (found.reason, found.have) == (Reason.OUT_OF_RANGE, 5000)


@pytest.mark.parametrize(
    "asked",
    [
        {"cocks_wanted": 0, "hens_wanted": 0},
        {"cocks_wanted": -1, "hens_wanted": 3},
        {"cocks_wanted": 1, "hens_wanted": 3, "sure": 1.0},
    ],
)
def test_impossible_wishes_are_refused(asked):
    with pytest.raises(ValueError, match="how many cocks and hens"):
        eggs_to_set.eggs_to_set(PAST, **asked)
