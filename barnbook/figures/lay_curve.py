"""The laying curve: fast rise, peak, slow fall. Fitted to weekly lay rates by weeks in lay.

    Wood        y = a t^b exp(-c t)                              peak at t = b / c
    McMillan    y = a (1 - exp(-c (t - d))) exp(-b t)            peak at t = d + ln((c + b) / b) / c
    Yang        y = a exp(-b t) / (1 + exp(-c (t - d)))          peak at t = d + ln((c - b) / b) / c

y: lay rate [eggs/hen-day]; t: weeks in lay, 1 is the first. In words: a sets the height, b (Wood: c) how fast
lay falls with age, c and d (Wood: b) how fast and when the hens came into lay.

Nonlinear least squares, weights proportional to hen-days; the model is chosen by AICc. A log-linear Wood fit
is only a start, never the answer: weeks near zero would rule it. A model whose parameters the data do not fix
is not used.

Sources (forms from memory): Wood (1967) Nature 216:164; McMillan (1981) Poult. Sci. 60:463; Yang, Wu &
McMillan (1989) Poult. Sci. 68:821; AICc, Burnham & Anderson (2002) section 2.4. Checked against R 4.2.2 `nls`
in tests/figures/test_lay_curve.py.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import least_squares

from barnbook.figures.estimate import Missing, Reason

Array = NDArray[np.float64]

LEAST_WEEKS = 8
LEAST_WEEKS_PAST_PEAK = 2
WORST_RELATIVE_ERROR = 0.5
"""Standard error of the height a, over a, beyond which the data do not fix the curve."""


class CurveModel(StrEnum):
    """The forms a laying curve may take."""

    WOOD = "wood"
    MCMILLAN = "mcmillan"
    YANG = "yang"


@dataclass(frozen=True, slots=True, eq=False)
class LayCurve:
    """One fitted form.

    parameters: (a, b, c) for Wood, (a, b, c, d) for the others.  covariance: of the parameters, shape (p, p).
    rss: weighted residual sum of squares.  aic, aicc: Akaike's criterion, p + 1 parameters counted.
    residual_variance: rss / (n - p) [(eggs/hen-day)^2] at mean weight.  n: weeks fitted.
    """

    model: CurveModel
    parameters: Array
    covariance: Array
    rss: float
    aic: float
    aicc: float
    residual_variance: float
    n: int

    def rate(self, weeks: ArrayLike) -> Array:
        """Lay rate at these weeks in lay [eggs/hen-day], as fitted: it may pass 1, which no hen does."""
        return FORMS[self.model].rate(np.asarray(weeks, dtype=float), self.parameters)

    def gradient(self, weeks: ArrayLike) -> Array:
        """Derivative of the rate by each parameter, shape (weeks, p)."""
        return FORMS[self.model].gradient(np.asarray(weeks, dtype=float), self.parameters)

    @property
    def peak_week(self) -> float:
        """Weeks in lay at which the curve is highest; NaN where it has no peak."""
        return FORMS[self.model].peak(*(float(parameter) for parameter in self.parameters))

    @property
    def peak_rate(self) -> float:
        """Lay rate at the peak [eggs/hen-day]."""
        return float(self.rate(self.peak_week))

    def persistency(self, weeks: float = 26.0) -> float:
        """Share of the peak rate still laid `weeks` after the peak; NaN where the curve has no peak."""
        return float(self.rate(self.peak_week + weeks)) / self.peak_rate

    def decline_a_week(self, week: float) -> float:
        """Share of its rate that lay loses from this week to the next, at least 0: for `lay_fell_off.lay_fell_off`."""
        now, then = self.rate([week, week + 1])
        return max(1 - float(then) / float(now), 0.0) if now > 0 else 0.0


@dataclass(frozen=True, slots=True, eq=False)
class LayCurves:
    """The fitted forms of one cage or cohort, best (least AICc) first; `left_out` those not identified.

    weights: Akaike weights of `curves`, summing to 1.  inflation: how much more the residuals of neighbouring
    weeks vary together than independent ones would (at least 1).
    """

    curves: tuple[LayCurve, ...]
    weights: tuple[float, ...]
    left_out: tuple[CurveModel, ...]
    inflation: float
    mean_weight: float
    last_week: float

    @property
    def best(self) -> LayCurve:
        """The curve chosen by AICc."""
        return self.curves[0]


def wood_persistency(b: float, c: float) -> float:
    """Wood's own persistency, -(b + 1) ln c, of the parameters b (any) and c (above 0). Raises ValueError.

    Source: Wood (1967), from memory.
    """
    if not (math.isfinite(b) and 0 < c < math.inf):
        raise ValueError(f"Wood's curve with b {b} and c {c} does not fall: give finite numbers, c above 0.")
    return -(b + 1) * math.log(c)


def fit_lay_curve(weeks: ArrayLike, rates: ArrayLike, hen_days: ArrayLike | None = None) -> LayCurves | Missing:
    """Fit the three forms and order them by AICc.

    weeks: weeks in lay, increasing, above 0, shape (n,).  rates: lay rate of each [eggs/hen-day].  hen_days:
    what each rate stands on; equal when not given. Missing: TOO_FEW_DAYS under 8 weeks; NO_VARIATION when no
    egg was laid; NOT_IDENTIFIED when no form is fixed by the data; NO_PEAK_SEEN when the best form has its
    peak before the first week or less than 2 weeks before the last. Raises ValueError on NaN, infinities,
    negative rates, weeks out of order.
    """
    t, y, w = _checked_series(weeks, rates, hen_days)
    if len(t) < LEAST_WEEKS:
        return Missing(Reason.TOO_FEW_DAYS, "weeks", have=len(t), need=LEAST_WEEKS)
    if not y.any():
        return Missing(Reason.NO_VARIATION, "eggs", have=0, need=1)
    fits = {model: fit_model(model, t, y, w) for model in CurveModel}
    curves = sorted((fit for fit in fits.values() if isinstance(fit, LayCurve)), key=lambda curve: curve.aicc)
    if not curves:
        return Missing(Reason.NOT_IDENTIFIED, "weeks", have=len(t))
    best = curves[0]
    # NaN, a curve without a peak, fails the comparison too.
    if not t[0] <= best.peak_week <= t[-1] - LEAST_WEEKS_PAST_PEAK * _step(t):
        return Missing(Reason.NO_PEAK_SEEN, "weeks", have=len(t), detail=f"{best.model} peaks at {best.peak_week:.1f}")
    likelihoods = [math.exp((best.aicc - curve.aicc) / 2) for curve in curves]
    return LayCurves(
        curves=tuple(curves),
        weights=tuple(likelihood / sum(likelihoods) for likelihood in likelihoods),
        left_out=tuple(model for model, fit in fits.items() if isinstance(fit, Missing)),
        inflation=_inflation((y - best.rate(t)) * np.sqrt(w), np.sqrt(w)[:, None] * best.gradient(t)),
        mean_weight=float(np.mean(_as_weights(hen_days, len(t)))),
        last_week=float(t[-1]),
    )


def fit_model(
    model: CurveModel, weeks: ArrayLike, rates: ArrayLike, hen_days: ArrayLike | None = None
) -> LayCurve | Missing:
    """Weighted least squares of one form; NOT_IDENTIFIED when it does not settle or its height is not fixed.

    Arguments as `fit_lay_curve`; needs at least two points more than parameters, else TOO_FEW_DAYS. Several
    starts are tried and the best kept.
    """
    t, y, w = _checked_series(weeks, rates, hen_days)
    form = FORMS[model]
    starts = form.starts(t, y)
    p = len(starts[0])
    if len(t) < p + 2:
        return Missing(Reason.TOO_FEW_DAYS, "weeks", have=len(t), need=p + 2)
    root = np.sqrt(w)
    best: tuple[float, Array] | None = None
    with np.errstate(over="ignore", invalid="ignore", under="ignore"):
        for start in starts:
            try:
                fit = least_squares(
                    lambda x: np.nan_to_num(root * (form.rate(t, x) - y), nan=1e6, posinf=1e6, neginf=-1e6),
                    start,
                    jac=lambda x: np.nan_to_num(root[:, None] * form.gradient(t, x), posinf=1e6, neginf=-1e6),
                    method="lm",
                    x_scale="jac",
                    xtol=1e-12,
                    ftol=1e-12,
                    gtol=1e-12,
                    max_nfev=200,
                )
            except (ValueError, np.linalg.LinAlgError):
                continue
            rss = 2 * float(fit.cost)
            if fit.status > 0 and (best is None or rss < best[0] * (1 - 1e-9)):
                best = rss, np.asarray(fit.x, dtype=float)
    if best is None:
        return Missing(Reason.NOT_IDENTIFIED, "weeks", have=len(t), detail=f"{model} does not settle")
    rss, parameters = best
    variance = rss / (len(t) - p)
    covariance = _covariance(root[:, None] * form.gradient(t, parameters), variance)
    if covariance is None or not form.allowed(parameters):
        return Missing(Reason.NOT_IDENTIFIED, "weeks", have=len(t), detail=f"{model} is not fixed by the data")
    if math.sqrt(covariance[0, 0]) > WORST_RELATIVE_ERROR * abs(parameters[0]):
        return Missing(Reason.NOT_IDENTIFIED, "weeks", have=len(t), detail=f"{model} is not fixed by the data")
    n, k = len(t), p + 1
    aic = n * math.log(2 * math.pi * max(rss, 1e-300) / n) + n + 2 * k
    aicc = aic + 2 * k * (k + 1) / (n - k - 1) if n > k + 1 else math.inf
    return LayCurve(model, parameters, covariance, rss, aic, aicc, variance, n)


@dataclass(frozen=True, slots=True)
class _Form:
    rate: Callable[[Array, Array], Array]
    gradient: Callable[[Array, Array], Array]
    peak: Callable[..., float]
    starts: Callable[[Array, Array], list[list[float]]]
    allowed: Callable[[Array], bool]


def _wood(t: Array, x: Array) -> Array:
    a, b, c = x
    return np.asarray(a * t**b * np.exp(-c * t))


def _wood_gradient(t: Array, x: Array) -> Array:
    shape = t ** x[1] * np.exp(-x[2] * t)
    y = x[0] * shape
    return np.column_stack((shape, y * np.log(t), -y * t))


def _wood_starts(t: Array, y: Array) -> list[list[float]]:
    """The log-linear fit, and one without the weeks under a tenth of the peak, which rule it."""
    starts = []
    for floor in (0.0, 0.1):
        seen = y > floor * y.max()
        if seen.sum() < 4:
            continue
        design = np.column_stack((np.ones(seen.sum()), np.log(t[seen]), -t[seen]))
        log_a, b, c = np.linalg.lstsq(design, np.log(y[seen]), rcond=None)[0]
        starts.append([math.exp(min(log_a, 50)), float(b), float(c)])
    peak = float(t[int(np.argmax(y))])
    starts.append([float(y.max()) * math.e**0.5 / peak**0.5, 0.5, 0.5 / peak])
    return starts


def _mcmillan(t: Array, x: Array) -> Array:
    a, b, c, d = x
    return np.asarray(a * (1 - np.exp(-c * (t - d))) * np.exp(-b * t))


def _mcmillan_gradient(t: Array, x: Array) -> Array:
    a, b, c, d = x
    fall, rise = np.exp(-b * t), np.exp(-c * (t - d))
    y = (1 - rise) * fall
    return np.column_stack((y, -a * t * y, a * fall * rise * (t - d), -a * fall * rise * c))


def _yang(t: Array, x: Array) -> Array:
    a, b, c, d = x
    return np.asarray(a * np.exp(-b * t) / (1 + np.exp(-c * (t - d))))


def _yang_gradient(t: Array, x: Array) -> Array:
    a, b, c, d = x
    fall, late = np.exp(-b * t), np.exp(-c * (t - d))
    risen = 1 / (1 + late)
    slope = a * fall * risen * risen * late
    return np.column_stack((fall * risen, -a * t * fall * risen, slope * (t - d), -slope * c))


def _rise_and_fall_starts(t: Array, y: Array) -> list[list[float]]:
    """Fall from the log-slope past the peak; rise from the time to the peak, slow and fast."""
    top = int(np.argmax(y))
    late = (np.arange(len(t)) >= top) & (y > 0.05 * y.max())
    slope = np.polyfit(t[late], np.log(y[late]), 1)[0] if late.sum() > 2 else -0.01 / _step(t)
    b = max(-float(slope), 1e-3 / (t[-1] - t[0]))
    a = float(y.max()) * math.exp(b * float(t[top]))
    rise = max(float(t[top] - t[0]), _step(t))
    half = float(t[int(np.argmax(y > 0.5 * y.max()))])
    return [[a, b, speed / rise, half - shift * rise] for speed, shift in ((2, 0.5), (5, 0.2), (12, 0.0))]


def _mcmillan_peak(_a: float, b: float, c: float, d: float) -> float:
    return d + math.log((c + b) / b) / c if b > 0 and c > 0 else math.nan


def _yang_peak(_a: float, b: float, c: float, d: float) -> float:
    return d + math.log((c - b) / b) / c if 0 < b < c else math.nan


FORMS = {
    CurveModel.WOOD: _Form(
        _wood, _wood_gradient, lambda _a, b, c: b / c if c > 0 else math.nan, _wood_starts, lambda x: bool(x[0] > 0)
    ),
    CurveModel.MCMILLAN: _Form(
        _mcmillan, _mcmillan_gradient, _mcmillan_peak, _rise_and_fall_starts, lambda x: bool(x[0] > 0 and x[2] > 0)
    ),
    CurveModel.YANG: _Form(
        _yang, _yang_gradient, _yang_peak, _rise_and_fall_starts, lambda x: bool(x[0] > 0 and x[2] > 0)
    ),
}


def _covariance(jacobian: Array, variance: float) -> Array | None:
    """variance * inv(J'J), or None when the columns of J are all but dependent."""
    scale = np.linalg.norm(jacobian, axis=0)
    if not np.isfinite(scale).all() or (scale == 0).any():
        return None
    values, vectors = np.linalg.eigh((jacobian / scale).T @ (jacobian / scale))
    if values[0] < 1e-10 * values[-1]:
        return None
    return np.asarray(variance * (vectors / values @ vectors.T) / np.outer(scale, scale))


def _inflation(residuals: Array, jacobian: Array) -> float:
    """Long-run over plain variance of the residuals: weeks that err together are worth fewer weeks. At least 1.

    Sums over weeks no further than two apart, each over what it would be for independent errors e once the
    curve is taken out: with M = I - J (J'J)^-1 J', E e_i e_j = sigma^2 M_ij. At least a quarter of the weeks
    must be left.
    """
    n = len(residuals)
    left = np.eye(n) - jacobian @ np.linalg.pinv(jacobian)
    near = np.abs(np.subtract.outer(np.arange(n), np.arange(n))) <= 2
    plain = float(residuals @ residuals) / float(np.trace(left))
    if plain <= 0:
        return 1.0
    return max(1.0, float(residuals @ near @ residuals) / max(float(left[near].sum()), n / 4) / plain)


def _step(t: Array) -> float:
    return float(np.median(np.diff(t)))


def _as_weights(hen_days: ArrayLike | None, n: int) -> Array:
    return np.ones(n) if hen_days is None else np.asarray(hen_days, dtype=float)


def _checked_series(weeks: ArrayLike, rates: ArrayLike, hen_days: ArrayLike | None) -> tuple[Array, Array, Array]:
    t, y = np.asarray(weeks, dtype=float), np.asarray(rates, dtype=float)
    w = _as_weights(hen_days, len(t))
    if not t.shape == y.shape == w.shape or t.ndim != 1:
        raise ValueError(f"{t.shape} weeks, {y.shape} rates, {w.shape} hen-days: give one of each a week.")
    if not (np.isfinite(t).all() and np.isfinite(y).all() and np.isfinite(w).all()):
        raise ValueError("A week, rate or number of hen-days is not finite: leave that week out.")
    if (t <= 0).any() or (np.diff(t) <= 0).any():
        raise ValueError("Weeks in lay must rise from above 0: the first week of lay is 1.")
    if (y < 0).any() or (w <= 0).any():
        raise ValueError("A rate is below 0 or stands on no hen-days: leave that week out.")
    return t, y, w / w.mean() if len(w) else w
