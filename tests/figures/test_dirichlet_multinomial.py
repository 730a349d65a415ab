"""Alike within a group: R's beta-binomial fits, scipy's probabilities, and moments against what was drawn."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from barnbook.figures import dirichlet_multinomial as grouped

FIXTURES = Path(__file__).parents[2] / "fixtures"


def rows(path):
    lines = [line for line in (FIXTURES / path).read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def counts_of(data, subset):
    table = rows(f"data/{data}.csv")
    if data == "saxony_sex_ratio":
        boys = np.repeat([int(r["nMales"]) for r in table], [int(r["Freq"]) for r in table])
        return np.column_stack((boys, 12 - boys))
    if data == "cbpp":
        return np.array([[int(r["incidence"]), int(r["size"]) - int(r["incidence"])] for r in table])
    gen, extract = subset.split()
    plates = [r for r in table if (r["gen"], r["extract"]) == (gen, extract)]
    return np.array([[int(r["germ"]), int(r["n"]) - int(r["germ"])] for r in plates])


@pytest.mark.parametrize("row", rows("checks/dirichlet_multinomial.csv"), ids=lambda r: f"{r['data']} {r['subset']}")
def test_two_classes_are_rs_beta_binomial(row):
    # Source in the first line of fixtures/checks/dirichlet_multinomial.csv
    found = grouped.fit_shares(counts_of(row["data"], row["subset"]))
    assert found.shares[0] == pytest.approx(float(row["mu"]), abs=float(row["mu_abs"]))
    assert found.rho == pytest.approx(float(row["rho"]), abs=float(row["rho_abs"]))
    assert found.log_likelihood == pytest.approx(float(row["log_likelihood"]), abs=1e-4)


def test_the_likelihood_is_scipys():
    # Reference: scipy 1.17.1 dirichlet_multinomial and multinomial
    counts = np.array([[9, 3, 1], [4, 4, 0], [12, 0, 2]])
    shares, rho = np.array([0.6, 0.25, 0.15]), 0.08
    ours = grouped.log_likelihood(counts, shares=shares, rho=rho)
    alpha = shares * (1 - rho) / rho
    assert ours == pytest.approx(stats.dirichlet_multinomial.logpmf(counts, alpha, counts.sum(axis=1)).sum(), rel=1e-12)
    plain = grouped.log_likelihood(counts, shares=shares, rho=0.0)
    assert plain == pytest.approx(stats.multinomial.logpmf(counts, counts.sum(axis=1), shares).sum(), rel=1e-12)


def test_three_classes_fitted_are_the_top_of_scipys_likelihood():
    rng = np.random.default_rng(2)
    counts = grouped.draw_counts(rng, group_sizes=np.full(30, 40), shares=np.array([0.6, 0.3, 0.1]), rho=0.08, draws=1)[
        0
    ]
    best = grouped.fit_shares(counts)
    alpha = best.shares * (1 - best.rho) / best.rho
    top = stats.dirichlet_multinomial.logpmf(counts, alpha, counts.sum(axis=1)).sum()
    assert best.log_likelihood == pytest.approx(top, rel=1e-9)
    for nudge in np.vstack((np.eye(3), -np.eye(3))) * 0.02:
        near = stats.dirichlet_multinomial.logpmf(counts, alpha * np.exp(nudge), counts.sum(axis=1)).sum()
        assert near < top


def test_a_class_of_share_zero_that_was_seen_is_impossible():
    assert grouped.log_likelihood(np.array([[3, 1]]), shares=np.array([1.0, 0.0]), rho=0.1) == -math.inf
    assert grouped.log_likelihood(np.array([[4, 0]]), shares=np.array([1.0, 0.0]), rho=0.1) == pytest.approx(0)


def test_all_chicks_of_one_class_have_no_likeness_to_estimate():
    found = grouped.fit_shares(np.array([[20, 0], [15, 0]]))
    assert (found.rho, found.log_likelihood, list(found.shares)) == (0.0, 0.0, [1.0, 0.0])
    assert grouped.likeness(np.array([[20, 0], [15, 0]])) == 0


@pytest.mark.parametrize("claimed", [False, True])
def test_likeness_is_right_on_average(claimed):
    # Truth 0.08 at three classes, 12 cages; 20,000 draws; moments are unbiased but for the cut at 0
    rng = np.random.default_rng(3)
    shares = np.array([0.5, 0.3, 0.2])
    counts = grouped.draw_counts(rng, group_sizes=np.full(12, 40), shares=shares, rho=0.08, draws=20_000)
    found = grouped.likeness(counts, shares=shares if claimed else None)
    assert found.mean() == pytest.approx(0.08, abs=0.001)


def test_drawn_counts_have_the_stated_variance():
    # variance of a count n p (1 - p) (1 + (n - 1) rho): Mosimann (1962)
    rng = np.random.default_rng(4)
    shares = np.array([0.7, 0.2, 0.1])
    for rho in (0.0, 0.1):
        drawn = grouped.draw_counts(rng, group_sizes=np.array([40]), shares=shares, rho=rho, draws=60_000)[:, 0]
        np.testing.assert_allclose(drawn.mean(axis=0), 40 * shares, rtol=0.01)
        expected = 40 * shares * (1 - shares) * (1 + 39 * rho)
        np.testing.assert_allclose(drawn.var(axis=0), expected, rtol=0.03)


def test_the_design_effect_is_that_of_equal_groups():
    # Kish: 1 + (n - 1) rho
    assert grouped.design_effect([40, 40, 40], rho=0.1) == pytest.approx(1 + 39 * 0.1)
    assert grouped.design_effect([1, 1, 1], rho=0.9) == 1


def test_degrees_of_freedom_are_the_plain_ones_for_even_shares_and_fewer_for_a_rare_class():
    even = np.full((10, 4), 25)
    assert grouped.likeness_degrees_of_freedom(even) == pytest.approx(9 * 3, rel=0.02)
    rare = np.array([[97, 2, 1]] * 10)
    assert 9 <= grouped.likeness_degrees_of_freedom(rare) < 9 * 2
    assert grouped.likeness_degrees_of_freedom(np.array([[9, 0], [7, 0]])) == 1


@pytest.mark.parametrize(
    ("counts", "says"),
    [
        ([[1, -1]], "negative"),
        ([[1, 0.5]], "broken"),
        ([[1, math.nan]], "not a number"),
        ([[1, math.inf]], "not a number"),
        ([[1], [2]], "at least two classes"),
        ([[0, 0]], "No chick"),
    ],
)
def test_counts_that_are_none_are_refused(counts, says):
    with pytest.raises(ValueError, match=says):
        grouped.checked_counts(counts)


def test_one_group_has_no_likeness():
    with pytest.raises(ValueError, match="at least two groups"):
        grouped.fit_shares(np.array([[3, 4]]))


@pytest.mark.parametrize("shares", [None, np.array([0.9, 0.07, 0.03])])
def test_the_posterior_of_the_likeness_is_prior_times_likelihood(shares):
    table = np.array([[30, 2, 0], [25, 5, 3], [38, 0, 0], [40, 1, 2]])
    given = table.sum(axis=0) / table.sum() if shares is None else shares
    grid = grouped.LIKENESS_GRID
    likelihood = np.exp([grouped.log_likelihood(table, shares=given, rho=float(rho)) for rho in grid])
    # the prior density 1 / sqrt(rho) gives a step of the grid the width that it has on the scale of sqrt(rho)
    expected = likelihood * np.gradient(np.sqrt(grid))
    found = grouped.likeness_posterior(table, shares=given)
    assert found == pytest.approx(expected / expected.sum(), rel=1e-9)
    assert found.sum() == pytest.approx(1)
