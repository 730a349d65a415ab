"""The mixed-model equations against Mrode's example, generalised least squares and statsmodels."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.sparse import csr_array, eye_array

from barnbook.figures.kinship import relationship, sparse_inverse
from barnbook.figures.mixed_model import (
    SOLVED_TO,
    MixedModel,
    Term,
    independent_columns,
    mixed_model,
    prediction_error,
    solve,
)
from barnbook.figures.pedigree import pedigree
from tests.figures.pedigrees import DATA, checks, published, random_flock, read_rows

EXPECTED = checks("mixed_model")


def incidence(labels: list[str]) -> csr_array:
    _, column = np.unique(labels, return_inverse=True)
    return csr_array((np.ones(len(labels)), (np.arange(len(labels)), column)))


def mrode(*, factored: bool) -> MixedModel:
    rows = read_rows(DATA / "ped_mrode_3_1.csv")
    weighed = [row for row, bird in enumerate(rows) if bird["wwg"]]
    y = np.array([float(rows[row]["wwg"]) for row in weighed])
    Z = csr_array((np.ones(5), (np.arange(5), weighed)), shape=(5, 8))
    inverse = sparse_inverse(pedigree(published("mrode_3_1")))
    return mixed_model(y, incidence([rows[row]["sex"] for row in weighed]), [Term(Z, inverse)], factored=factored)


@pytest.mark.parametrize("factored", [True, False])
def test_mrodes_example(factored: bool) -> None:
    solution = solve(mrode(factored=factored), [2.0])
    assert solution.fixed[1] == pytest.approx(EXPECTED["mrode 3.1", "sex male"], abs=1e-6)
    assert solution.fixed[0] == pytest.approx(EXPECTED["mrode 3.1", "sex female"], abs=1e-6)
    for bird in range(8):
        assert solution.random[bird] == pytest.approx(EXPECTED["mrode 3.1", f"animal {bird + 1}"], abs=1e-8)
    assert solution.residual <= SOLVED_TO


def test_mrodes_prediction_errors() -> None:
    model = mrode(factored=True)
    error = prediction_error(model, solve(model, [2.0]), np.arange(8))
    expected = [EXPECTED["mrode 3.1", f"inverse {bird + 1}"] for bird in range(8)]
    assert error == pytest.approx(expected, abs=1e-8)


@pytest.mark.parametrize("seed", range(8))
def test_random_models_against_generalised_least_squares(seed: int) -> None:
    rng = np.random.default_rng(seed)
    built = pedigree(random_flock(rng, birds=80, founders=8, overlap=30))
    A, inverse = relationship(built), sparse_inverse(built)
    weighed = np.sort(rng.choice(80, 50, replace=False))
    Z = csr_array((np.ones(50), (np.arange(50), weighed)), shape=(50, 80))
    X = incidence([str(label) for label in rng.integers(3, size=50)])
    W = incidence([str(label) for label in rng.integers(6, size=50)])
    y = rng.normal(300, 20, size=50)
    ratio, brood_ratio = 1.5, 4.0
    model = mixed_model(y, X, [Term(Z, inverse), Term(W, eye_array(W.shape[1]))])
    solution = solve(model, [ratio, brood_ratio])

    Zd, Wd, Xd = Z.toarray(), W.toarray(), X.toarray()
    V = Zd @ A @ Zd.T / ratio + Wd @ Wd.T / brood_ratio + np.eye(50)
    Vi = np.linalg.inv(V)
    fixed = np.linalg.solve(Xd.T @ Vi @ Xd, Xd.T @ Vi @ y)
    P = Vi - Vi @ Xd @ np.linalg.inv(Xd.T @ Vi @ Xd) @ Xd.T @ Vi
    assert solution.fixed == pytest.approx(fixed, rel=1e-9)
    assert solution.random[:80] == pytest.approx(A @ Zd.T @ Vi @ (y - Xd @ fixed) / ratio, abs=1e-8)
    variance = float(y @ P @ y) / 47
    assert solution.residual_variance == pytest.approx(variance, rel=1e-9)
    # Known difference of the two deviances: the constant ln |A|, which no ratio changes.
    logs = np.linalg.slogdet(V)[1] + np.linalg.slogdet(Xd.T @ Vi @ Xd)[1]
    expected = 47 * (np.log(variance) + 1 + np.log(2 * np.pi)) + logs - np.linalg.slogdet(A)[1]
    assert solution.deviance == pytest.approx(expected, rel=1e-9)
    error = prediction_error(model, solution, np.arange(80))
    expected_error = np.diag(A / ratio - A @ Zd.T @ P @ Zd @ A / ratio**2)
    assert error == pytest.approx(expected_error, abs=1e-9)

    by_gradients = solve(mixed_model(y, X, model_terms(Z, inverse, W), factored=False), [ratio, brood_ratio])
    assert by_gradients.random == pytest.approx(solution.random, abs=1e-5)


def model_terms(Z: csr_array, inverse: csr_array, W: csr_array) -> list[Term]:
    return [Term(Z, inverse), Term(W, eye_array(W.shape[1]))]


def test_reliabilities_need_a_factor() -> None:
    model = mrode(factored=False)
    with pytest.raises(ValueError, match="too many parents"):
        prediction_error(model, solve(model, [2.0]), np.arange(8))


def test_columns_that_follow_from_others_are_found() -> None:
    X = csr_array(np.array([[1, 0, 1, 0], [1, 0, 0, 1], [0, 1, 1, 0], [0, 1, 0, 1], [0, 1, 0, 1.0]]))
    assert independent_columns(X).tolist() == [0, 1, 2]


def test_models_that_cannot_be_are_refused() -> None:
    y, Z = np.arange(4.0), Term(eye_array(4, format="csr"), eye_array(4))
    with pytest.raises(ValueError, match="depend on each other"):
        mixed_model(y, np.ones((4, 2)), [Z])
    with pytest.raises(ValueError, match="not a finite number"):
        mixed_model(np.array([1, np.nan, 2, 3]), np.ones((4, 1)), [Z])
    with pytest.raises(ValueError, match="cannot carry 4 fixed effects"):
        mixed_model(y, np.eye(4), [Z])
