"""The growth curve: one family, fitted by least squares.

    u    = exp(-rate (age - inflection))
    w    = asymptote (1 + shape u)^(-1 / shape)          [g]

asymptote_g: the weight the bird would reach in the end.  inflection_day: the age of the greatest gain, in
days from hatch.  rate_per_day: how fast what is still missing is made good.  shape: where on the way to the
asymptote the gain is greatest.  One formula holds the textbook curves:

    shape  1     logistic          A / (1 + b e^{-kt})           b = e^{k i}           greatest gain at A / 2
    shape  0     Gompertz          A exp(-b e^{-kt})             b = e^{k i}           greatest gain at A / e
    shape -1/3   von Bertalanffy   A (1 - b e^{-kt})^3           b = e^{k i} / 3       greatest gain at 8 A/27
    shape free   Richards          A (1 + b e^{-kt})^(-1/shape)  b = shape e^{k i}     (b < 0: M = -1/shape)

At every shape u = 1 at the inflection, so the greatest gain is A rate (1 + shape)^(-1/shape - 1).
Sources: Richards (1959) J. Exp. Bot. 10:290-300; the parameters are those of Tjorve & Tjorve (2010) J.
Theor. Biol. 267:417-425 (both from memory). Least squares by MINPACK's Levenberg-Marquardt, convergence
judged by the relative offset of Bates & Watts (1981) Technometrics 23:179-183. Checked on NIST's certified
sets and R's nls in tests/figures/test_growth_curve.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import leastsq

Floats = NDArray[np.float64]

FIXED_SHAPE = {"logistic": 1.0, "gompertz": 0.0, "von_bertalanffy": -1.0 / 3.0}
FORMS = (*FIXED_SHAPE, "richards")

CONVERGED_OFFSET = 1e-4
"""Relative offset below which the fit counts as found; R's nls asks 1e-5 and stops there, MINPACK goes
further.
"""
START_ASYMPTOTES = (1.02, 1.4, 3.0)
"""Multiples of the greatest mean weight that the fit starts from: a curve seen whole, in great part, by
half.
"""


@dataclass(frozen=True, slots=True, eq=False)
class CurveFit:
    """One fitted curve.

    covariance: shape (p, p), of (asymptote_g, rate_per_day, inflection_day[, shape]), p = 4 for Richards,
    else 3; s2 (J'J)^-1, for weighings that are independent with one spread. robust_covariance: the same, by
    clusters.
    rss_g2: residual sum of squares. aic, aicc: with the residual variance counted as a parameter.
    """

    form: str
    asymptote_g: float
    rate_per_day: float
    inflection_day: float
    shape: float
    covariance: Floats
    robust_covariance: Floats
    rss_g2: float
    n_weighings: int
    n_clusters: int
    first_age_days: float
    last_age_days: float
    converged: bool

    @property
    def n_parameters(self) -> int:
        """Parameters of the curve, the residual variance not counted."""
        return len(self.covariance)

    @property
    def residual_sd_g(self) -> float:
        """Spread of single weighings about the curve, sqrt(RSS / (n - p)) [g]."""
        return math.sqrt(self.rss_g2 / (self.n_weighings - self.n_parameters))

    @property
    def aic(self) -> float:
        """n ln(2 pi RSS / n) + n + 2 (p + 1)."""
        n = self.n_weighings
        return n * math.log(2 * math.pi * self.rss_g2 / n) + n + 2 * (self.n_parameters + 1)

    @property
    def aicc(self) -> float:
        """AIC with the correction for few weighings (Hurvich & Tsai 1989); infinite when there are too
        few.
        """
        k, n = self.n_parameters + 1, self.n_weighings
        return self.aic + 2 * k * (k + 1) / (n - k - 1) if n > k + 1 else math.inf

    @property
    def greatest_gain_g(self) -> float:
        """Gain at the inflection [g a day]."""
        return self.asymptote_g * self.rate_per_day * self.inflection_weight_g / self.asymptote_g / (1 + self.shape)

    @property
    def inflection_weight_g(self) -> float:
        """Weight at the inflection [g]."""
        return float(self.weight_g(self.inflection_day))

    def weight_g(self, age_days: ArrayLike) -> Floats:
        """Mean weight at each age [g], shape of `age_days`."""
        theta = np.array([self.asymptote_g, self.rate_per_day, self.inflection_day, self.shape])
        return _weights(np.asarray(age_days, dtype=float), theta)

    def gradient(self, age_days: ArrayLike) -> Floats:
        """Derivatives of the weight by the p fitted parameters, shape (len(age_days), p)."""
        theta = np.array([self.asymptote_g, self.rate_per_day, self.inflection_day, self.shape])
        return _gradient(np.atleast_1d(np.asarray(age_days, dtype=float)), theta)[:, : self.n_parameters]

    def textbook(self) -> dict[str, tuple[float, float]]:
        """The textbook parameters A, b, k (and M or m for Richards), each with its standard error.

        Richards with a shape below 0 is A (1 - b e^{-kt})^M, above 0 A (1 + b e^{-kt})^(-1/m).
        Standard errors by the delta method from `covariance`.
        """
        growth = math.exp(self.rate_per_day * self.inflection_day)
        factor = {"logistic": 1.0, "gompertz": 1.0, "von_bertalanffy": 1 / 3}.get(self.form, abs(self.shape))
        by = [0.0, factor * growth * self.inflection_day, factor * growth * self.rate_per_day, growth]
        slope = np.array(by[: self.n_parameters])
        if self.form == "richards" and self.shape < 0:
            slope[3] = -growth
        se = np.sqrt(np.diag(self.covariance))
        out = {
            "A": (self.asymptote_g, float(se[0])),
            "b": (factor * growth, math.sqrt(slope @ self.covariance @ slope)),
            "k": (self.rate_per_day, float(se[1])),
        }
        if self.form == "richards":
            m = self.shape
            out |= {"M": (-1 / m, float(se[3]) / m**2)} if m < 0 else {"m": (m, float(se[3]))}
        return out


def curve_weight_g(
    age_days: ArrayLike, *, asymptote_g: float, rate_per_day: float, inflection_day: float, shape: float
) -> Floats:
    """The family of curves at the top of this file [g], shape of `age_days`. Zero before a curve's own start.

    asymptote_g [g], rate_per_day [1/day], inflection_day [days from hatch], shape: as there. Raises ValueError for a
    number that is not finite.

    >>> float(curve_weight_g(14.95, asymptote_g=222.0836, rate_per_day=0.08, inflection_day=14.95, shape=0).round(2))
    81.7
    """
    ages = np.asarray(age_days, dtype=float)
    if not (np.isfinite(ages).all() and np.isfinite([asymptote_g, rate_per_day, inflection_day, shape]).all()):
        raise ValueError("An age or a parameter of the growth curve is not a finite number: give each as one.")
    return _weights(ages, np.array([asymptote_g, rate_per_day, inflection_day, shape]))


def _weights(age_days: Floats, theta: Floats) -> Floats:
    asymptote, rate, inflection, shape = theta
    return np.asarray(asymptote * np.exp(-_depth(_still_missing(age_days, rate, inflection), shape)))


def fit_curve(
    age_days: Floats,
    weight_g: Floats,
    *,
    form: str,
    clusters: NDArray[Any] | None = None,
    start: tuple[float, float, float, float] | None = None,
) -> CurveFit:
    """Least-squares curve of one form through weighings at ages.

    age_days, weight_g: shape (n,), n above the number of parameters [days from hatch, g]; finite, weights
    above 0.
    form: one of FORMS. clusters: shape (n,), whatever is drawn as one (the bird weighed again and again, or
    its brood); None takes each weighing for itself. start: (asymptote_g, rate_per_day, inflection_day,
    shape), else found from the data. A fit that did not settle comes back with `converged` False and must
    not be shown. Raises ValueError for an unknown form, too few weighings, a weight not above 0, NaN or infinity.

    Every weighing counts alike, though heavier birds spread wider: the choice errs for the ages at which
    birds are kept or sold; the clusters' covariance does not lean on the equal spread.
    """
    if form not in FORMS:
        raise ValueError(f"No growth curve is called {form!r}: use one of {', '.join(FORMS)}.")
    free = 4 if form == "richards" else 3
    if len(age_days) <= free:
        raise ValueError(f"A {form} curve needs more than {free} weighings, not {len(age_days)}: weigh on.")
    if not (np.isfinite(age_days).all() and np.isfinite(weight_g).all() and (weight_g > 0).all()):
        raise ValueError("A weighing has no finite age or no weight above 0: leave it out.")
    if start is not None and not (np.isfinite(start).all() and min(start[:2]) > 0):
        raise ValueError(f"A fit cannot start from {start}: give finite numbers, asymptote and rate above 0.")
    data = _by_age(age_days, weight_g)
    starts = [np.array(start)] if start is not None else _starts(data, form)
    fits = [_settle(data, theta, free) for theta in starts]
    theta = min(fits, key=lambda fit: fit[0])[1]
    return _described(form, theta, free, age_days, weight_g, clusters)


@dataclass(frozen=True, slots=True, eq=False)
class _ByAge:
    """Weighings as mean and root of count at each age: all that least squares needs of them."""

    age_days: Floats
    mean_g: Floats
    root_n: Floats


def _by_age(age_days: Floats, weight_g: Floats) -> _ByAge:
    ages, place = np.unique(age_days, return_inverse=True)
    count = np.bincount(place)
    return _ByAge(ages, np.bincount(place, weights=weight_g) / count, np.sqrt(count))


def _still_missing(age_days: Floats, rate: float, inflection: float) -> Floats:
    """u, held below e^60 so that a wild step of the fit stays a number."""
    return np.exp(np.minimum(-rate * (age_days - inflection), 60.0))


def _depth(u: Floats, shape: float) -> Floats:
    """ln(asymptote / weight) = ln(1 + shape u) / shape, and u itself in the limit of shape 0."""
    if abs(shape) < 1e-8:
        return u
    return np.log1p(np.maximum(shape * u, -1 + 1e-12)) / shape


def _gradient(age_days: Floats, theta: Floats) -> Floats:
    """d weight / d (asymptote, rate, inflection, shape), shape (n, 4)."""
    asymptote, rate, inflection, shape = theta
    u = _still_missing(age_days, rate, inflection)
    depth = _depth(u, shape)
    inner = np.maximum(1 + shape * u, 1e-12)
    near_gompertz = abs(shape) < 1e-4
    by_shape = -(u**2) / 2 + 2 * shape * u**3 / 3 if near_gompertz else (u / inner - depth) / shape
    share = np.exp(-depth)
    weight = asymptote * share
    return np.column_stack(
        (
            share,
            weight * (age_days - inflection) * u / inner,
            -weight * rate * u / inner,
            -weight * by_shape,
        )
    )


def _starts(data: _ByAge, form: str) -> list[Floats]:
    """Starting points: for a given asymptote and shape, ln u is a straight line on age."""
    if form == "richards":
        settled = (_settle(data, theta, 3) for other in FIXED_SHAPE for theta in _starts(data, other))
        best: dict[float, tuple[float, Floats]] = {}
        for rss, theta in settled:
            if rss < best.get(theta[3], (math.inf, theta))[0]:
                best[theta[3]] = (rss, theta)
        return [theta for _, theta in best.values()]
    shape = FIXED_SHAPE[form]
    starts = []
    for multiple in START_ASYMPTOTES:
        asymptote = multiple * float(data.mean_g.max())
        depth = np.log(asymptote / data.mean_g)
        u = depth if shape == 0 else np.expm1(shape * depth) / shape
        slope, cut = np.polyfit(data.age_days, np.log(u), 1, w=data.root_n)
        rate = max(-float(slope), 1e-4)
        starts.append(np.array([asymptote, rate, float(cut) / rate, shape]))
    return starts


def _settle(data: _ByAge, theta: Floats, free: int) -> tuple[float, Floats]:
    """(rss of the age means, parameters) after Levenberg-Marquardt on (ln asymptote, ln rate, inflection[,
    shape]).
    """

    def natural(x: Floats) -> Floats:
        out = theta.copy()
        out[:free] = x
        out[:2] = np.exp(np.clip(x[:2], -40, 40))
        return out

    def residual(x: Floats) -> Floats:
        return np.asarray(data.root_n * (_weights(data.age_days, natural(x)) - data.mean_g))

    def jacobian(x: Floats) -> Floats:
        now = natural(x)
        by = _gradient(data.age_days, now)[:, :free]
        by[:, :2] *= now[:2]
        return np.asarray(data.root_n[:, None] * by)

    x = np.concatenate((np.log(theta[:2]), theta[2:free]))
    if len(data.age_days) < free:
        return math.inf, theta
    # MINPACK itself: at these sizes its newer wrapper costs more than the fit.
    x = leastsq(residual, x, Dfun=jacobian, ftol=1e-13, xtol=1e-13, gtol=1e-13, maxfev=300, full_output=True)[0]
    left = residual(x)
    return float(left @ left), natural(x)


def _described(
    form: str, theta: Floats, free: int, age_days: Floats, weight_g: Floats, clusters: NDArray[Any] | None
) -> CurveFit:
    jac = _gradient(age_days, theta)[:, :free]
    asymptote, rate, inflection, shape = (float(x) for x in theta)
    residual = weight_g - _weights(age_days, theta)
    n = len(age_days)
    # An exact curve would leave RSS 0 and an AIC of minus infinity: what rounding leaves is the floor.
    rss = max(float(residual @ residual), 1e-24 * float(weight_g @ weight_g))
    inverse, sound = _inverse_of_cross_product(jac)
    covariance = inverse * rss / (n - free)
    robust, n_clusters = _by_clusters(jac, residual, inverse, clusters)
    return CurveFit(
        form=form,
        asymptote_g=asymptote,
        rate_per_day=rate,
        inflection_day=inflection,
        shape=shape,
        covariance=covariance,
        robust_covariance=robust,
        rss_g2=rss,
        n_weighings=n,
        n_clusters=n_clusters,
        first_age_days=float(age_days.min()),
        last_age_days=float(age_days.max()),
        converged=sound and _relative_offset(jac, residual, rss) < CONVERGED_OFFSET,
    )


def _inverse_of_cross_product(jac: Floats) -> tuple[Floats, bool]:
    """(J'J)^-1 after scaling the columns to length 1, and whether J tells its columns apart."""
    length = np.linalg.norm(jac, axis=0)
    if not np.all(np.isfinite(jac)) or np.any(length == 0):
        return np.full((jac.shape[1],) * 2, np.nan), False
    _, s, vt = np.linalg.svd(jac / length, full_matrices=False)
    if s[-1] < 1e-9 * s[0]:
        return np.full((jac.shape[1],) * 2, np.nan), False
    half = vt / s[:, None]
    return (half.T @ half) / np.outer(length, length), True


def _relative_offset(jac: Floats, residual: Floats, rss: float) -> float:
    """How much of the residual still lies along the curve's own directions (Bates & Watts 1981)."""
    n, p = jac.shape
    along = np.linalg.qr(jac / np.linalg.norm(jac, axis=0))[0].T @ residual
    if float(along @ along) <= 1e-18 * float(residual @ residual + 1):
        return 0.0
    return math.sqrt(float(along @ along) / p / (rss / (n - p)))


def _by_clusters(jac: Floats, residual: Floats, inverse: Floats, clusters: NDArray[Any] | None) -> tuple[Floats, int]:
    """Jackknife covariance that leaves out one cluster at a time, on the curve's derivatives.

        d_g = (J'J - J_g'J_g)^-1 J_g' r_g,    (G - 1) / G sum_g d_g d_g'

    The whole cluster is the independent piece, so birds weighed again and again do not feign many birds. Of
    the sandwich's small-sample forms it is the one that does not fall short with few clusters (CR3: Bell &
    McCaffrey 2002 Surv. Methodol. 28:169-181, from memory). Needs two clusters, each to spare; else not a
    number.
    """
    n, p = jac.shape
    names, place = (np.arange(n), np.arange(n)) if clusters is None else np.unique(clusters, return_inverse=True)
    groups = len(names)
    if groups < 2 or not np.all(np.isfinite(inverse)):
        return np.full((p, p), np.nan), groups
    length = np.linalg.norm(jac, axis=0)
    unit = jac / length
    score = np.column_stack([np.bincount(place, weights=unit[:, j] * residual) for j in range(p)])
    own = np.empty((groups, p, p))
    for i in range(p):
        for j in range(p):
            own[:, i, j] = np.bincount(place, weights=unit[:, i] * unit[:, j])
    try:
        change = np.linalg.solve(unit.T @ unit - own, score[:, :, None])[:, :, 0]
    except np.linalg.LinAlgError:
        return np.full((p, p), np.nan), groups
    change /= length
    return (groups - 1) / groups * (change.T @ change), groups
