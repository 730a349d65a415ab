"""Heritability: Becker's published example, lme4, and truth drawn by simulation."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.sparse import csr_array, eye_array
from statsmodels.regression.mixed_linear_model import MixedLM

from barnbook.figures.estimate import Missing, Reason
from barnbook.figures.heritability import (
    DEVIANCE_95,
    NestedComponents,
    deviance,
    deviance_at,
    heritability,
    likely_shares,
    nested_components,
    ratios_of,
)
from barnbook.figures.kinship import sparse_inverse
from barnbook.figures.mixed_model import MixedModel, Term, mixed_model, solve
from barnbook.figures.pedigree import Pedigree
from tests.figures.coverage.genes import DenseDeviance, barn, drawn, risen_at
from tests.figures.pedigrees import DATA, checks, read_rows

EXPECTED = checks("heritability")
BECKER = read_rows(DATA / "becker_chicken.csv")
WEIGHT = np.array([float(row["weight"]) for row in BECKER])
SIRE, DAM = [row["male"] for row in BECKER], [row["female"] for row in BECKER]


def incidence(labels: list[str]) -> csr_array:
    _, column = np.unique(labels, return_inverse=True)
    return csr_array((np.ones(len(labels)), (np.arange(len(labels)), column)))


def nested(weight: np.ndarray, sire: list[str], dam: list[str]) -> NestedComponents:
    found = nested_components(list(weight), sire=sire, dam=dam)
    assert isinstance(found, NestedComponents)
    return found


def test_beckers_analysis_of_variance() -> None:
    found = nested(WEIGHT, SIRE, DAM)
    assert WEIGHT.sum() == EXPECTED["becker", "total"]
    for at, source in enumerate(("sires", "dams", "progeny")):
        assert found.df[at] == EXPECTED["becker", f"df {source}"]
        assert found.ss[at] == pytest.approx(EXPECTED["becker", f"SS {source}"], rel=1e-6)
        assert found.ms[at] == pytest.approx(EXPECTED["becker", f"MS {source}"], rel=1e-6)
        assert found.component[at] == pytest.approx(EXPECTED["becker", f"component {source}"], rel=1e-6)
    assert found.h2_sire == pytest.approx(EXPECTED["becker", "h2 sire"], rel=1e-6)
    assert found.h2_dam == pytest.approx(EXPECTED["becker", "h2 dam"], rel=1e-6)
    assert found.h2_both == pytest.approx(EXPECTED["becker", "h2 both"], rel=1e-6)
    assert sum(found.component) == pytest.approx(EXPECTED["becker", "phenotypic variance"], rel=1e-6)


def becker_model() -> MixedModel:
    terms = [Term(incidence(SIRE), eye_array(5)), Term(incidence(DAM), eye_array(15))]
    return mixed_model(WEIGHT, np.ones((45, 1)), terms)


def test_beckers_components_by_restricted_maximum_likelihood() -> None:
    model = becker_model()
    found = likely_shares(model)
    for at, source in enumerate(("sires", "dams")):
        assert found.variances[at] == pytest.approx(EXPECTED["becker REML", f"component {source}"], rel=1e-4)
    assert found.residual_variance == pytest.approx(EXPECTED["becker REML", "component progeny"], rel=1e-4)
    sires = solve(model, ratios_of(found.shares)).random[:5]
    for at in range(5):
        assert sires[at] == pytest.approx(EXPECTED["becker REML", f"sire M{at + 1}"], rel=1e-4)


def test_response_from_beckers_sires() -> None:
    found = nested(WEIGHT, SIRE, DAM)
    intensity_of_20_percent = 1.3998096  # dnorm(qnorm(0.8)) / 0.2, R 4.2.2
    response = intensity_of_20_percent * found.h2_sire * np.sqrt(sum(found.component))
    assert response == pytest.approx(EXPECTED["becker", "response of 20 %"], rel=1e-6)


def test_one_random_term_against_statsmodels() -> None:
    model = mixed_model(WEIGHT, np.ones((45, 1)), [Term(incidence(SIRE), eye_array(5))])
    found = likely_shares(model)
    theirs = MixedLM(WEIGHT, np.ones((45, 1)), groups=np.array(SIRE)).fit(reml=True)
    assert found.variances[0] == pytest.approx(float(theirs.cov_re[0, 0]), rel=1e-4)
    assert found.residual_variance == pytest.approx(float(theirs.scale), rel=1e-4)
    # One way and balanced, so the intraclass correlation is that of the analysis of variance.
    assert found.shares[0] == pytest.approx(EXPECTED["becker one way", "t"], rel=1e-4)
    assert 4 * found.shares[0] == pytest.approx(EXPECTED["becker one way", "h2"], rel=1e-4)


def test_unequal_numbers_estimate_without_bias() -> None:
    rng = np.random.default_rng(7)
    sizes = rng.integers(1, 7, size=(12, 4))
    sire = [f"s{i}" for i in range(12) for j in range(4) for _ in range(sizes[i, j])]
    dam = [f"d{i}-{j}" for i in range(12) for j in range(4) for _ in range(sizes[i, j])]
    at_sire, at_dam = np.unique(sire, return_inverse=True)[1], np.unique(dam, return_inverse=True)[1]
    found = []
    for _ in range(3_000):
        y = 300 + 10 * rng.normal(size=12)[at_sire] + 8 * rng.normal(size=48)[at_dam] + 20 * rng.normal(size=len(sire))
        found.append(nested(y, sire, dam).component)
    error = np.std(found, axis=0) / np.sqrt(3_000)
    assert np.all(np.abs(np.mean(found, axis=0) - [100, 64, 400]) < 4 * error)


def cage_model(built: Pedigree, rows: np.ndarray, hatch: list[str], y: np.ndarray) -> MixedModel:
    n = len(built.birds)
    Z = csr_array((np.ones(rows.size), (np.arange(rows.size), rows)), shape=(rows.size, n))
    W = incidence(hatch)
    terms = [Term(Z, sparse_inverse(built)), Term(W, eye_array(W.shape[1]))]
    return mixed_model(y, np.ones((rows.size, 1)), terms)


def test_a_clear_truth_is_found_with_its_interval() -> None:
    rng = np.random.default_rng(11)
    of = barn(rng, chicks=600)
    _, y = drawn(rng, of, h2=0.5, c2=0.1, repeats=1)
    model = cage_model(of.pedigree, of.rows, of.hatch, y[:, 0])
    figure = heritability(model)
    assert figure.value is not None
    assert figure.low is not None
    assert figure.high is not None
    assert figure.low < 0.5 < figure.high
    assert figure.n == 600
    # The limits stand where the profile has risen by 3.84.
    best = likely_shares(model).deviance
    for limit in (figure.low, figure.high):
        assert deviance_at(model, limit)[0] - best == pytest.approx(DEVIANCE_95, abs=0.15)


def test_the_limits_are_those_whose_coverage_is_simulated() -> None:
    """The dense likelihood of coverage/genes.py and the mixed-model equations: same height, same limits."""
    rng = np.random.default_rng(12)
    of = barn(rng, chicks=120)
    _, weights = drawn(rng, of, h2=0.35, c2=0.1, repeats=6)
    dense = DenseDeviance(of, weights)
    rise = dense(0.5, 0.05) - dense(0.3, 0.1)
    for column, (risen, expected) in enumerate(zip(risen_at(of, weights, 0.35), rise, strict=True)):
        model = cage_model(of.pedigree, of.rows, of.hatch, weights[:, column])
        assert deviance(model, [0.5, 0.05]) - deviance(model, [0.3, 0.1]) == pytest.approx(expected, abs=1e-6)
        figure = heritability(model)
        assert figure.low is not None
        assert figure.high is not None
        assert (figure.low <= 0.35 <= figure.high) == (risen <= DEVIANCE_95)


def test_few_or_identical_records_say_so() -> None:
    few = heritability(mixed_model(WEIGHT[:10], np.ones((10, 1)), [Term(eye_array(10, format="csr"), eye_array(10))]))
    assert few.missing is not None
    assert (few.missing.reason, few.missing.have, few.missing.need) == (Reason.TOO_FEW_RECORDS, 10, 20)
    alike = mixed_model(np.full(45, 300.0), np.ones((45, 1)), [Term(incidence(SIRE), eye_array(5))])
    assert heritability(alike).missing is not None
    assert heritability(alike).missing.reason is Reason.NO_VARIATION  # type: ignore[union-attr]


def test_nothing_inherited_gives_a_lower_limit_of_nothing() -> None:
    rng = np.random.default_rng(3)
    of = barn(rng, chicks=400)
    figure = heritability(cage_model(of.pedigree, of.rows, of.hatch, rng.normal(300, 25, size=of.rows.size)))
    assert figure.low == 0
    assert figure.value is not None
    assert figure.value < 0.3


def test_shares_that_leave_nothing_over_are_refused() -> None:
    with pytest.raises(ValueError, match="together below 1"):
        deviance(becker_model(), [0.6, 0.4])
    with pytest.raises(ValueError, match="each above 0"):
        ratios_of([0.0, 0.4])


def test_nested_data_that_cannot_be_split_say_what_is_missing() -> None:
    one_each = nested_components([1.0, 2.0, 3.0], sire=["a", "a", "b"], dam=["x", "y", "z"])
    assert isinstance(one_each, Missing)
    assert (one_each.reason, one_each.what, one_each.have, one_each.need) == (Reason.TOO_FEW_GROUPS, "progeny", 3, 4)
    one_sire = nested_components([1.0, 2.0, 3.0, 4.0], sire=["a"] * 4, dam=["x", "x", "y", "y"])
    assert isinstance(one_sire, Missing)
    assert (one_sire.what, one_sire.need) == ("sires", 2)
    alike = nested_components([5.0] * 8, sire=list("aaaabbbb"), dam=list("wwxxyyzz"))
    assert isinstance(alike, Missing)
    assert alike.reason is Reason.NO_VARIATION
    with pytest.raises(ValueError, match="Dam x stands under two sires"):
        nested_components([1.0, 2.0, 3.0], sire=["a", "b", "b"], dam=["x", "x", "y"])
    with pytest.raises(ValueError, match="not a finite number"):
        nested_components([1.0, np.inf, 3.0], sire=["a", "b", "b"], dam=["x", "z", "y"])
    with pytest.raises(ValueError, match="3 weights, 2 sires"):
        nested_components([1.0, 2.0, 3.0], sire=["a", "b"], dam=["x", "z", "y"])
