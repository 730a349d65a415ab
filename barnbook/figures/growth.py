"""Growth: weight for age by line and sex, and the weight a bird would have at the standard age.

    w_standard = w_weighed * f(standard age) / f(age weighed)              [g]

f is the curve of the bird's line and sex: Gompertz, logistic or Richards, whichever has the least AICc. A
bird keeps its own place: one that is 5 % above the curve when weighed is taken to be 5 % above it on the
standard age.

"Not enough of the curve seen": the last weighing must lie past the age of the greatest gain, and the
standard error of the asymptote must be at most a fifth of it; otherwise no asymptote is given and nothing
beyond the ages seen, because data that still bend upwards fit a bird of 200 g and one of 900 g alike. Inside
the ages seen the curve may be used even so. Sources: Burnham & Anderson (2002) for AICc and for 2 as the
difference that decides (from memory); the thresholds are ours. Checked on R's nls in
tests/figures/test_growth.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barnbook.figures import interval
from barnbook.figures.estimate import Estimate, LeftOut, Missing, Reason
from barnbook.figures.growth_curve import CurveFit, Floats, fit_curve

CANDIDATES = ("gompertz", "logistic", "richards")
MIN_AGES = 5
MIN_WEIGHINGS = 7
MIN_BIRDS = 5
SHAPE_REACH = (-0.9, 3.0)
"""A Richards shape outside this is a broken stick through a few points, not growth (our bound)."""
DECIDING_AICC = 2.0
ASYMPTOTE_ERROR = 0.2
FORESIGHT_DAYS = 28
STANDARD_AGE_REACH_DAYS = 7


@dataclass(frozen=True, slots=True, eq=False)
class GrowthCurve:
    """The chosen curve of one line and sex.

    fit: the curve. tried: AICc of each form that settled. seen_whole: True when its asymptote may be shown.
    """

    fit: CurveFit
    tried: dict[str, float]
    seen_whole: bool


@dataclass(frozen=True, slots=True, eq=False)
class GrowthBySex:
    """A curve, or what is missing, for each sex; and the weighings no sex could be given."""

    curves: dict[str, GrowthCurve | Missing]
    left_out: tuple[LeftOut, ...]


def choose_curve(
    age_days: ArrayLike,
    weight_g: ArrayLike,
    *,
    birds: Sequence[Any] | NDArray[Any] | None = None,
    forms: Sequence[str] = CANDIDATES,
) -> GrowthCurve | Missing:
    """The growth curve of a group of birds, chosen by AICc.

    age_days, weight_g: shape (n,) [days from hatch, g]. birds: shape (n,), what is drawn as one: the bird,
    or its brood when there are five broods or more; None takes each weighing for a bird of its own. forms: of
    growth_curve.FORMS.
    Missing: fewer than 5 ages or 7 weighings (TOO_FEW_RECORDS), all weights equal (NO_VARIATION), no form
    settled (NOT_IDENTIFIED). Raises ValueError for a weight that is not above 0, an age below 0, NaN or
    infinity.

    Among the forms whose asymptote can be told, the least AICc wins if it is within 2 of the least of all;
    else the least of all, with `seen_whole` False.
    """
    age, weight = _checked(age_days, weight_g)
    if len(age) == 0:
        return Missing(Reason.NO_RECORDS, "weighings", 0, MIN_WEIGHINGS)
    if len(age) < MIN_WEIGHINGS:
        return Missing(Reason.TOO_FEW_RECORDS, "weighings", len(age), MIN_WEIGHINGS)
    ages_seen = len(np.unique(age))
    if ages_seen < MIN_AGES:
        return Missing(Reason.TOO_FEW_RECORDS, "ages", ages_seen, MIN_AGES)
    if np.ptp(weight) == 0:
        return Missing(Reason.NO_VARIATION, "weights", 1, 2, "every weighing is the same")
    clusters = None if birds is None else _checked_birds(birds, len(age))
    fits = [fit_curve(age, weight, form=form, clusters=clusters) for form in forms]
    settled = sorted((fit for fit in fits if _is_growth(fit)), key=lambda fit: fit.aicc)
    if not settled:
        return Missing(Reason.NOT_IDENTIFIED, detail="no growth curve settled on these weighings")
    tried = {fit.form: fit.aicc for fit in settled}
    for fit in settled:
        if _seen_whole(fit) and fit.aicc <= settled[0].aicc + DECIDING_AICC:
            return GrowthCurve(fit, tried, seen_whole=True)
    return GrowthCurve(settled[0], tried, seen_whole=False)


def curves_by_sex(
    age_days: ArrayLike,
    weight_g: ArrayLike,
    *,
    sexes: Sequence[str] | NDArray[Any],
    birds: Sequence[Any] | NDArray[Any] | None = None,
) -> GrowthBySex:
    """A curve for the cocks and one for the hens of a line.

    sexes: shape (n,), the bird's sex as known now ("cock", "hen"; anything else is left out and counted): a
    chick's early weighings count for the sex it proved to have. The rest, errors too, as in `choose_curve`.
    """
    age, weight = _checked(age_days, weight_g)
    sex = np.asarray(sexes)
    if sex.shape != age.shape:
        raise ValueError(f"{len(age)} weighings stand beside {len(sex)} sexes: give one for each.")
    who = None if birds is None else _checked_birds(birds, len(age))
    curves: dict[str, GrowthCurve | Missing] = {}
    for name in ("cock", "hen"):
        here = sex == name
        curves[name] = choose_curve(age[here], weight[here], birds=None if who is None else who[here])
    unsexed = int(np.sum((sex != "cock") & (sex != "hen")))
    left_out = (LeftOut("weighings", unsexed, "not_sexed"),) if unsexed else ()
    return GrowthBySex(curves, left_out)


def asymptote(curve: GrowthCurve) -> Estimate:
    """The weight these birds would reach in the end [g], or NOT_IDENTIFIED when too little of the curve is
    seen.
    """
    fit = curve.fit
    if not curve.seen_whole:
        return Estimate("g", missing=_not_seen(fit), n=fit.n_weighings, n_of="weighings")
    return _estimate(curve, fit.asymptote_g, np.eye(fit.n_parameters)[0], unit="g")


def greatest_gain_day(curve: GrowthCurve) -> Estimate:
    """The age of the greatest gain [days from hatch], or NOT_IDENTIFIED when growth has not begun to slow."""
    fit = curve.fit
    if not curve.seen_whole:
        return Estimate("days", missing=_not_seen(fit), n=fit.n_weighings, n_of="weighings")
    return _estimate(curve, fit.inflection_day, np.eye(fit.n_parameters)[2], unit="days")


def expected_weight(curve: GrowthCurve, *, age_days: float) -> Estimate:
    """Mean weight of the line's birds of this sex at an age [g], with the interval of that mean.

    The interval is the curve's (delta method, clusters as the independent pieces, Student's t); single birds
    spread wider. Beyond the ages seen it is noted "beyond_ages_seen" and needs the curve seen whole;
    OUT_OF_RANGE before the first age seen or more than 28 days past the last; TOO_FEW_BIRDS below 5 birds.
    Raises ValueError when age_days is negative or not finite.
    """
    _checked_age(age_days)
    fit = curve.fit
    missing = _beyond_reach(curve, age_days)
    if missing is None and fit.n_clusters < MIN_BIRDS:
        missing = Missing(Reason.TOO_FEW_BIRDS, "birds", fit.n_clusters, MIN_BIRDS)
    if missing is not None:
        return Estimate("g", missing=missing, n=fit.n_weighings, n_of="weighings")
    notes = ("beyond_ages_seen",) if age_days > fit.last_age_days else ()
    return _estimate(curve, float(fit.weight_g(age_days)), fit.gradient(age_days)[0], unit="g", notes=notes)


def weight_at_standard_age(
    curve: GrowthCurve, *, weight_g: float, age_days: float, standard_age_days: float
) -> Estimate:
    """One bird's weight carried along the curve to the standard age [g].

    weight_g: as weighed at age_days [g, days from hatch]. More than 7 days off, or where the curve does not
    reach: OUT_OF_RANGE. Weighed on the day itself the weight stands as it is, without limits. The limits are
    the curve's; the bird's own pace over those few days is not in them (noted "own_pace_not_counted").
    Raises ValueError for a weight not above 0, an age below 0, NaN or infinity.
    """
    if not (math.isfinite(weight_g) and weight_g > 0):
        raise ValueError(f"A weight of {weight_g} g is not a weight: give grams above 0.")
    _checked_age(age_days)
    _checked_age(standard_age_days)
    off = abs(age_days - standard_age_days)
    if off == 0:
        return Estimate("g", weight_g, n=1, n_of="weighings", method="weighed_on_the_day")
    missing = _beyond_reach(curve, age_days) or _beyond_reach(curve, standard_age_days)
    if off > STANDARD_AGE_REACH_DAYS:
        detail = f"weighed {off:g} days from the standard age of {standard_age_days:g} days"
        missing = Missing(Reason.OUT_OF_RANGE, "days", off, STANDARD_AGE_REACH_DAYS, detail)
    if missing is not None:
        return Estimate("g", missing=missing, n=1, n_of="weighings")
    at = curve.fit.weight_g([age_days, standard_age_days])
    slope = curve.fit.gradient([age_days, standard_age_days]) / at[:, None]
    value = weight_g * float(at[1] / at[0])
    step = _half_width(curve.fit, slope[1] - slope[0])
    low, high = value * math.exp(-step), value * math.exp(step)
    return Estimate(
        "g",
        value,
        low,
        high,
        n=1,
        n_of="weighings",
        method="along_the_curve",
        notes=("own_pace_not_counted",),
    )


def standard_age_factors(curve: GrowthCurve, *, standard_age_days: int) -> dict[int, float]:
    """Factor from each day of age to the standard age, for the days within 7 that the curve reaches.

    What a phone needs to place a bird at once: weight at the standard age = weight * factor.
    standard_age_days: whole days from hatch; itself always in the table, with factor 1. Raises ValueError for an age
    below 0, broken or not finite.
    """
    _checked_age(standard_age_days)
    if standard_age_days % 1:
        raise ValueError(f"A standard age of {standard_age_days} days is not whole: give whole days from hatch.")
    days = range(standard_age_days - STANDARD_AGE_REACH_DAYS, standard_age_days + STANDARD_AGE_REACH_DAYS + 1)
    if _beyond_reach(curve, standard_age_days) is not None:
        return {standard_age_days: 1.0}
    there = float(curve.fit.weight_g(standard_age_days))
    reached = [day for day in days if day >= 0 and _beyond_reach(curve, day) is None]
    return {day: there / float(curve.fit.weight_g(day)) for day in reached}


def draw_weights(curve: GrowthCurve, *, age_days: ArrayLike, draws: int, seed: int) -> Floats:
    """Curves that the weighings leave possible, shape (draws, len(age_days)) [g].

    Student's t about the fitted weights with the estimate's covariance, along the curve's derivatives; for
    carrying the curve's uncertainty through a later decision. Same seed, same draws. Raises ValueError for an age
    below 0 or not finite, or fewer than one draw.
    """
    fit = curve.fit
    ages = np.atleast_1d(np.asarray(age_days, dtype=float))
    for age in ages.tolist():
        _checked_age(age)
    if not draws >= 1:
        raise ValueError(f"{draws} draws show no curve: ask for one or more.")
    rng = np.random.default_rng(seed)
    left, size, _ = np.linalg.svd(_covariance(fit))
    root = left * np.sqrt(size)
    degrees = _degrees_of_freedom(fit)
    scale = np.sqrt(degrees / rng.chisquare(degrees, size=draws))[:, None]
    shift = (rng.standard_normal((draws, fit.n_parameters)) * scale) @ root.T
    return np.asarray(np.maximum(fit.weight_g(ages) + shift @ fit.gradient(ages).T, 0.0))


def _estimate(curve: GrowthCurve, value: float, slope: Floats, *, unit: str, notes: tuple[str, ...] = ()) -> Estimate:
    half = _half_width(curve.fit, slope)
    return Estimate(
        unit,
        value,
        value - half,
        value + half,
        n=curve.fit.n_weighings,
        n_of="weighings",
        method=f"{curve.fit.form}_delta_t",
        notes=notes,
    )


def _half_width(fit: CurveFit, slope: Floats) -> float:
    """Half the 95 % interval of a quantity with these derivatives by the parameters."""
    variance = float(slope @ _covariance(fit) @ slope)
    return interval.t_quantile(_degrees_of_freedom(fit)) * math.sqrt(max(variance, 0.0))


def _by_clusters(fit: CurveFit) -> bool:
    """Whether the clusters carry the interval: always when birds were weighed again and again (5 birds or
    more); with a bird a weighing only from 30 on, because a sandwich of a few single weighings is too narrow.
    """
    return fit.n_clusters >= (MIN_BIRDS if fit.n_clusters < fit.n_weighings else 30)


def _covariance(fit: CurveFit) -> Floats:
    return fit.robust_covariance if _by_clusters(fit) else fit.covariance


def _degrees_of_freedom(fit: CurveFit) -> int:
    by_weighings = fit.n_weighings - fit.n_parameters
    return min(by_weighings, fit.n_clusters - 1) if _by_clusters(fit) else by_weighings


def _is_growth(fit: CurveFit) -> bool:
    settled = fit.converged and math.isfinite(fit.aicc)
    return settled and (fit.form != "richards" or SHAPE_REACH[0] <= fit.shape <= SHAPE_REACH[1])


def _seen_whole(fit: CurveFit) -> bool:
    error = math.sqrt(max(fit.covariance[0, 0], np.nan_to_num(fit.robust_covariance[0, 0])))
    return fit.inflection_day <= fit.last_age_days and error <= ASYMPTOTE_ERROR * fit.asymptote_g


def _not_seen(fit: CurveFit) -> Missing:
    detail = f"not enough of the curve seen: last weighing at {fit.last_age_days:g} days"
    return Missing(Reason.NOT_IDENTIFIED, "days", fit.last_age_days, None, detail)


def _beyond_reach(curve: GrowthCurve, age_days: float) -> Missing | None:
    fit = curve.fit
    if fit.first_age_days <= age_days <= fit.last_age_days:
        return None
    if age_days < fit.first_age_days or age_days > fit.last_age_days + FORESIGHT_DAYS:
        detail = f"weighed from day {fit.first_age_days:g} to day {fit.last_age_days:g}"
        return Missing(Reason.OUT_OF_RANGE, "days", age_days, None, detail)
    return None if curve.seen_whole else _not_seen(fit)


def _checked(age_days: ArrayLike, weight_g: ArrayLike) -> tuple[Floats, Floats]:
    age = np.asarray(age_days, dtype=float)
    weight = np.asarray(weight_g, dtype=float)
    if age.ndim != 1 or age.shape != weight.shape:
        raise ValueError(f"{age.size} ages stand beside {weight.size} weights: give one for each.")
    for place in np.flatnonzero(~(np.isfinite(weight) & (weight > 0))):
        raise ValueError(f"Weighing {place + 1} is {weight[place]} g: give grams above 0 or leave it out.")
    for place in np.flatnonzero(~(np.isfinite(age) & (age >= 0))):
        raise ValueError(f"Weighing {place + 1} is at {age[place]} days of age: give 0 days or more.")
    return age, weight


def _checked_birds(birds: Sequence[Any] | NDArray[Any], n: int) -> NDArray[Any]:
    who = np.asarray(birds)
    if who.shape != (n,):
        raise ValueError(f"{n} weighings stand beside {who.size} birds: give one for each.")
    return who


def _checked_age(age_days: float) -> None:
    if not (math.isfinite(age_days) and age_days >= 0):
        raise ValueError(f"An age of {age_days} days is not an age: give 0 days from hatch or more.")
