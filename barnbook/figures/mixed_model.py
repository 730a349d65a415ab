"""The mixed model behind breeding values: what is fixed, what is drawn, and what is left over.

    y = X b + sum over k of Z_k u_k + e      u_k ~ N(0, K_k s_k^2)      e ~ N(0, I s_e^2)

Solved by Henderson's mixed-model equations (Henderson 1984; Mrode, both from memory). With ratios l_k = s_e^2
/ s_k^2, M = Z'Z + diag(l_k K_k^-1) and S = X'X - X'Z M^-1 Z'X, the fixed effects are taken out by S, and
minus twice the restricted log-likelihood, but for a constant of the data, is

    (N - p) (ln s_e^2 + 1 + ln 2 pi) + ln |M| - sum of q_k ln l_k + ln |S|
    s_e^2 = y' (y - X b - Z u) / (N - p)

M is sparse: it is factored directly with SuperLU in an order found once. Where that would fill up (very many
parents), the equations are solved by conjugate gradients instead. Either way the residual is checked against
`SOLVED_TO`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.linalg import cho_factor, cho_solve, solve_triangular
from scipy.sparse import block_array, block_diag, csc_array, csc_matrix, csr_array, hstack
from scipy.sparse.linalg import LinearOperator, cg, splu

from barnbook.figures.pedigree import FloatArray, IntArray

SOLVED_TO = 1e-8  # largest residual of the equations, relative to their right-hand side
COLUMNS_AT_ONCE = 256


@dataclass(frozen=True, slots=True, eq=False)
class Term:
    """A random effect. design: (N, q) sparse.  inverse: (q, q) sparse inverse of its covariance, to a
    scale.
    """

    design: Any
    inverse: Any


@dataclass(frozen=True, slots=True, eq=False)
class MixedModel:
    """The equations of a model, ready to be solved for any ratios of variances.

    y: (N,).  X: (N, p) sparse, independent columns.  Z: (N, q) sparse, all terms side by side.  sizes: q of
    each term.
    order: (q,) the order in which M is factored.  base, scaled: values of Z'Z and of each term's inverse on
    the common pattern (rows, starts) of M in that order; None where M is not to be factored.
    """

    y: FloatArray
    X: Any
    Z: Any
    sizes: tuple[int, ...]
    inverses: tuple[Any, ...]
    order: IntArray | None
    rows: IntArray | None
    starts: IntArray | None
    base: FloatArray | None
    scaled: tuple[FloatArray, ...]

    @property
    def degrees_of_freedom(self) -> int:
        """Records less fixed effects."""
        return int(self.y.size - self.X.shape[1])


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """fixed: (p,).  random: (q,).  residual_variance: s_e^2 in the square of y's unit.  deviance: minus twice
    the restricted log-likelihood, None by conjugate gradients.  factor: SuperLU of M in the model's order, or
    None.
    absorbed: (q, p) M^-1 Z'X.  schur: Cholesky of S.  residual: of the equations, relative.
    """

    fixed: FloatArray
    random: FloatArray
    residual_variance: float
    residual: float
    deviance: float | None = None
    factor: Any = None
    absorbed: FloatArray | None = None
    schur: tuple[FloatArray, bool] | None = None


def independent_columns(X: Any) -> IntArray:
    """The columns of X (N, p) that are no sum of earlier ones, first come first kept."""
    gram = np.asarray((X.T @ X).todense(), dtype=np.float64)
    kept: list[int] = []
    root = np.zeros_like(gram)  # Cholesky rows of the kept columns
    for column in range(gram.shape[0]):
        known = len(kept)
        row = solve_triangular(root[:known, :known], gram[kept, column], lower=True) if known else np.empty(0)
        norm = gram[column, column] - float(row @ row)
        if norm > 1e-9 * max(1.0, gram[column, column]):
            root[known, :known] = row
            root[known, known] = np.sqrt(norm)
            kept.append(column)
    return np.array(kept, dtype=np.int64)


def mixed_model(y: FloatArray, X: Any, terms: Sequence[Term], *, factored: bool = True) -> MixedModel:
    """Set the equations up. y: (N,).  X: (N, p) sparse.  terms: at least one.

    Raises ValueError unless the columns of X are independent, N > p, and y is finite.
    """
    if not np.isfinite(y).all():
        raise ValueError("A record is not a finite number: correct or leave out that weighing.")
    X = csr_array(X)
    if independent_columns(X).size != X.shape[1]:
        raise ValueError("The fixed effects depend on each other: leave out those that follow from the rest.")
    if y.size <= X.shape[1]:
        raise ValueError(f"{y.size} records cannot carry {X.shape[1]} fixed effects: weigh more birds.")
    Z = csr_array(hstack([term.design for term in terms]))
    sizes = tuple(int(term.inverse.shape[0]) for term in terms)
    inverses = tuple(csc_array(term.inverse) for term in terms)
    if not factored:
        return MixedModel(y, X, Z, sizes, inverses, None, None, None, None, ())
    square = csc_array(Z.T @ Z)
    padded = [_padded(inverse, k, sizes) for k, inverse in enumerate(inverses)]
    whole = csc_matrix(square + sum(padded[1:], start=padded[0]))
    first = splu(whole, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    order = np.argsort(first.perm_c).astype(np.int64)
    pattern = _pattern([square, *padded], order)
    values = [_on_pattern(matrix, order, pattern) for matrix in (square, *padded)]
    rows, starts = pattern % whole.shape[0], _starts(pattern, whole.shape[0])
    return MixedModel(y, X, Z, sizes, inverses, order, rows, starts, values[0], tuple(values[1:]))


def _padded(inverse: Any, k: int, sizes: tuple[int, ...]) -> Any:
    blocks = [csc_array((size, size)) for size in sizes]
    blocks[k] = inverse
    return csc_array(block_diag(blocks))


def _keys(matrix: Any, order: IntArray) -> IntArray:
    """Column-major places of the entries of a matrix whose rows and columns are put in a new order."""
    coordinates = matrix.tocoo()
    at = np.empty(order.size, dtype=np.int64)
    at[order] = np.arange(order.size)
    keys: IntArray = at[coordinates.col] * order.size + at[coordinates.row]
    return keys


def _pattern(matrices: list[Any], order: IntArray) -> IntArray:
    return np.unique(np.concatenate([_keys(matrix, order) for matrix in matrices]))


def _on_pattern(matrix: Any, order: IntArray, pattern: IntArray) -> FloatArray:
    values = np.zeros(pattern.size)
    values[np.searchsorted(pattern, _keys(matrix, order))] = matrix.tocoo().data
    return values


def _starts(pattern: IntArray, size: int) -> IntArray:
    starts: IntArray = np.searchsorted(pattern, np.arange(size + 1) * size).astype(np.int64)
    return starts


def solve(model: MixedModel, ratios: Sequence[float]) -> Solution:
    """Solve the equations. ratios: s_e^2 / s_k^2 of each term, above 0.

    Raises ArithmeticError should the equations not be solved to `SOLVED_TO`.
    """
    solution = _by_gradients(model, ratios) if model.order is None else _by_factor(model, ratios)
    if not solution.residual <= SOLVED_TO:
        raise ArithmeticError(f"The equations were solved to {solution.residual:.1e} only, not {SOLVED_TO:.0e}.")
    return solution


def _by_factor(model: MixedModel, ratios: Sequence[float]) -> Solution:
    assert model.order is not None
    assert model.base is not None
    values = model.base + sum(ratio * scaled for ratio, scaled in zip(ratios, model.scaled, strict=True))
    size = model.order.size
    M = csc_matrix((values, model.rows, model.starts), shape=(size, size))
    factor = splu(M, permc_spec="NATURAL", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    Z, X, y = model.Z[:, model.order], model.X, model.y
    # Kept sparse: a hatch meets few birds, and small dense products would wait for the linear algebra's
    # threads.
    from_fixed, from_y = csr_array(Z.T @ X), Z.T @ y
    absorbed = factor.solve(from_fixed.toarray())
    schur = cho_factor((X.T @ X).toarray() - from_fixed.T @ absorbed)
    random = factor.solve(from_y)
    fixed = cho_solve(schur, X.T @ y - from_fixed.T @ random)
    random = random - absorbed @ fixed
    # One step of refinement takes the rounding of a large factor out again.
    short = from_y - from_fixed @ fixed - M @ random
    short_fixed = X.T @ y - X.T @ (X @ fixed) - from_fixed.T @ random
    step = factor.solve(short)
    more = cho_solve(schur, short_fixed - from_fixed.T @ step)
    fixed, random = fixed + more, random + step - absorbed @ more
    left = np.concatenate((from_y - from_fixed @ fixed - M @ random, X.T @ (y - X @ fixed) - from_fixed.T @ random))
    right = np.concatenate((from_y, X.T @ y))
    df = model.degrees_of_freedom
    variance = float(y @ (y - X @ fixed - Z @ random)) / df
    log_m = float(np.log(np.abs(factor.U.diagonal())).sum())
    log_s = 2 * float(np.log(np.diag(schur[0])).sum())
    log_ratios = sum(q * math.log(ratio) for q, ratio in zip(model.sizes, ratios, strict=True))
    deviance = df * (math.log(max(variance, 1e-300)) + 1 + math.log(2 * math.pi)) + log_m - log_ratios + log_s
    return Solution(
        fixed=fixed,
        random=_back(random, model.order),
        residual_variance=variance,
        residual=_relative(left, right),
        deviance=deviance,
        factor=factor,
        absorbed=absorbed,
        schur=schur,
    )


def _back(values: FloatArray, order: IntArray) -> FloatArray:
    placed = np.empty_like(values)
    placed[order] = values
    return placed


def _relative(left: FloatArray, right: FloatArray) -> float:
    scale = float(np.linalg.norm(right))
    return float(np.linalg.norm(left)) / scale if scale > 0 else float(np.linalg.norm(left))


def _by_gradients(model: MixedModel, ratios: Sequence[float]) -> Solution:
    """Conjugate gradients on the whole of the equations, each divided by its diagonal."""
    p = model.X.shape[1]
    inverses = block_diag([ratio * inverse for ratio, inverse in zip(ratios, model.inverses, strict=True)])
    M = model.Z.T @ model.Z + inverses
    C = csr_array(block_array([[model.X.T @ model.X, model.X.T @ model.Z], [model.Z.T @ model.X, M]]))
    right = np.concatenate((model.X.T @ model.y, model.Z.T @ model.y))
    diagonal = C.diagonal()
    divide = LinearOperator(C.shape, matvec=lambda v: v / diagonal)
    found, _ = cg(C, right, rtol=SOLVED_TO / 10, atol=0.0, maxiter=5_000, M=divide)
    left = right - C @ found
    fixed, random = found[:p], found[p:]
    variance = float(model.y @ (model.y - model.X @ fixed - model.Z @ random)) / model.degrees_of_freedom
    return Solution(fixed, random, variance, _relative(left, right))


def prediction_error(model: MixedModel, solution: Solution, columns: IntArray) -> FloatArray:
    """Diagonal of the inverse of the equations at some random effects: error variance / s_e^2, shape
    (columns,).

    Raises ValueError for a solution by conjugate gradients, which has no factor to take it from.
    """
    if solution.factor is None or model.order is None or solution.absorbed is None or solution.schur is None:
        raise ValueError("Reliabilities need factored equations: there are too many parents for that.")
    at = np.empty(model.order.size, dtype=np.int64)
    at[model.order] = np.arange(model.order.size)
    error = np.empty(columns.size)
    for start in range(0, columns.size, COLUMNS_AT_ONCE):
        part = at[columns[start : start + COLUMNS_AT_ONCE]]
        unit = np.zeros((model.order.size, part.size))
        unit[part, np.arange(part.size)] = 1
        own = solution.factor.solve(unit)[part, np.arange(part.size)]
        fixed = solution.absorbed[part]
        error[start : start + part.size] = own + np.einsum("ij,ji->i", fixed, cho_solve(solution.schur, fixed.T))
    return error
