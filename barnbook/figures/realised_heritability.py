"""Realised heritability: what selection has moved the line, over what was selected for.

    response_t = mean_t - mean_0    (less the same of a control line)               [g]
    response_t = h2 * (differential_0 + ... + differential_{t-1}) + drift + error

h2 is the slope through the origin, by generalised least squares. Generations are not independent: every mean
carries its own sampling error and that of generation 0, and drift adds up, because each generation starts
from the last:

    covariance(t, s) = se_0^2 + [t = s] se_t^2 + min(t, s) h2 sd^2 / Ne

A plain regression's error leaves the drift out and is much too small (Hill 1972 Biometrics 28:767-780, from
memory). A control line takes out the year (feed, heat), and adds its own error and drift. Checked in
tests/figures/test_realised_heritability.py by the published case and by simulation.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq

from barnbook.figures import interval
from barnbook.figures.estimate import Estimate, Missing, Reason

Floats = NDArray[np.float64]
ROUNDS = 50


@dataclass(frozen=True, slots=True)
class LineHistory:
    """A line's generations: shape (g,) each, generation 0 first.

    mean_g: mean weight at the standard age, sexes weighed alike [g]. birds: birds weighed. effective_number:
    of the parents that gave the generations after 0 (mean over them; kinship gives it).
    """

    mean_g: Sequence[float]
    birds: Sequence[int]
    effective_number: float


def realised_heritability(
    history: LineHistory,
    *,
    differential_g: ArrayLike,
    phenotypic_sd_g: float,
    control: LineHistory | None = None,
) -> Estimate:
    """Realised heritability over g - 1 generations of selection, with limits that count drift [0 to 1].

    history: g generations, g >= 2. differential_g: shape (g - 1,), of the parents chosen in each generation
    but the last [g]. phenotypic_sd_g: standard deviation of the weight within sex and generation. control:
    an unselected line kept alongside, of as many generations. Sampling errors are sd / sqrt(birds). Limits:
    every heritability whose own standard error, with its own drift, puts the response within 1.96 of it; not cut
    to 0 and 1. (With the drift of the estimate in all of them they held in 92.7 of 100, simulated.) Without a
    control the figure is noted "no_control": it then holds the year's luck too. Missing:
    fewer than 2 generations (TOO_FEW_GROUPS), no selection on
    the whole (NO_VARIATION). Raises ValueError for values that are not finite, counts below 1, an effective
    number below 1, differing lengths.
    """
    mean, birds = _checked(history, phenotypic_sd_g)
    g = len(mean)
    differential = np.asarray(differential_g, dtype=float)
    if g < 2:
        return Estimate("share", n=g, n_of="generations", missing=Missing(Reason.TOO_FEW_GROUPS, "generations", g, 2))
    if differential.shape != (g - 1,) or not np.all(np.isfinite(differential)):
        raise ValueError(f"{g} generations have {g - 1} differentials between them: give each as a number.")
    cumulated = np.cumsum(differential)
    if np.max(np.abs(cumulated)) < 1e-9 * phenotypic_sd_g:
        missing = Missing(Reason.NO_VARIATION, "differentials", detail="nothing was selected for on the whole")
        return Estimate("share", n=g - 1, n_of="generations", missing=missing)
    response = mean[1:] - mean[0]
    error = _sampling(birds, phenotypic_sd_g)
    drift = 1 / history.effective_number
    if control is not None:
        control_mean, control_birds = _checked(control, phenotypic_sd_g)
        if len(control_mean) != g:
            raise ValueError(f"The control has {len(control_mean)} generations, the line {g}: give as many.")
        response = response - (control_mean[1:] - control_mean[0])
        error = error + _sampling(control_birds, phenotypic_sd_g)
        drift += 1 / control.effective_number
    steps = np.arange(1, g)
    drift_shape = np.minimum.outer(steps, steps) * phenotypic_sd_g**2 * drift

    def slope(h2: float) -> tuple[float, float]:
        """With drift as it would be at h2, held inside 0 to 1 for the covariance only."""
        return _slope(cumulated, response, error + drift_shape * min(max(h2, 0.0), 1.0))

    h2, variance = _slope(cumulated, response, error)
    for _ in range(ROUNDS):  # drift depends on the heritability itself; a few rounds settle it
        h2, variance = slope(h2)
    low, high = (_limit(slope, h2, side * variance**0.5) for side in (-1, 1))
    notes = () if control is not None else ("no_control",)
    return Estimate("share", h2, low, high, g - 1, "generations", "generalised_least_squares_score", notes=notes)


def _limit(slope: Callable[[float], tuple[float, float]], h2: float, step: float) -> float:
    """The heritability, on the side of `step`, at which what was seen lies 1.96 of its own standard errors away."""

    def beyond(h: float) -> float:
        found, variance = slope(h)
        return abs(found - h) / math.sqrt(variance) - interval.normal_quantile()

    reach = 2 * step
    while beyond(h2 + reach) < 0:
        reach *= 2
    return float(brentq(beyond, h2, h2 + reach, xtol=1e-10))


def _slope(x: Floats, y: Floats, covariance: Floats) -> tuple[float, float]:
    """Slope through the origin and its variance."""
    weighted = np.linalg.solve(covariance, x)
    information = float(x @ weighted)
    return float(y @ weighted) / information, 1 / information


def _sampling(birds: Floats, sd_g: float) -> Floats:
    """Covariance of the g - 1 responses from sampling alone, shape (g - 1, g - 1) [g2]."""
    variance = sd_g**2 / birds
    return np.asarray(np.diag(variance[1:]) + variance[0])


def _checked(history: LineHistory, phenotypic_sd_g: float) -> tuple[Floats, Floats]:
    mean, birds = np.asarray(history.mean_g, dtype=float), np.asarray(history.birds, dtype=float)
    if mean.shape != birds.shape or mean.ndim != 1:
        raise ValueError(f"{mean.size} mean weights stand beside {birds.size} counts of birds: give both for each.")
    if not (np.all(np.isfinite(mean)) and np.all(np.isfinite(birds)) and np.all(birds >= 1)):
        raise ValueError("A generation has no mean weight or no bird weighed: give both or leave it out.")
    if not (np.isfinite(phenotypic_sd_g) and phenotypic_sd_g > 0):
        raise ValueError(f"A standard deviation of {phenotypic_sd_g} g is none: give grams above 0.")
    if not (np.isfinite(history.effective_number) and history.effective_number >= 1):
        raise ValueError(f"An effective number of {history.effective_number} is none: give 1 or more.")
    return mean, birds
