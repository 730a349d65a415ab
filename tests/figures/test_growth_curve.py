"""The growth curve against NIST's certified fits, R's nls, statsmodels' covariance and SciPy's curve_fit."""

import csv
import functools
import math
from pathlib import Path

import numpy as np
import pytest
import statsmodels.api as sm
from scipy.optimize import approx_fprime, curve_fit

from barnbook.figures import growth_curve
from barnbook.figures.growth_curve import curve_weight_g, fit_curve

FIXTURES = Path(__file__).parents[2] / "fixtures"


def rows(path):
    lines = [line for line in (FIXTURES / path).read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


@functools.cache
def series(data, subset):
    table = rows(f"data/{data}.csv")
    if data.startswith("nist"):
        return np.array([float(r["x"]) for r in table]), np.array([float(r["y"]) for r in table])
    if subset.startswith("chick "):
        table = [r for r in table if r["chick"] == subset.split()[1]]
    elif subset.startswith("diet "):
        table = [r for r in table if r["diet"] == subset.split()[1]]
    elif data == "quail_weights_weekly":
        table = [r for r in table if r["group"] == subset]
    age = np.array([float(r["age_days"]) for r in table])
    weight = np.array([float(r["weight_g"]) for r in table])
    if subset.endswith("means"):
        ages = np.unique(age)
        return ages, np.array([weight[age == a].mean() for a in ages])
    return age, weight


@functools.cache
def fitted(data, subset, form):
    age, weight = series(data, subset)
    return fit_curve(age, weight, form=form)


def quantity(fit, name):
    parameters = fit.textbook()
    b, se_b = parameters["b"]
    computed = {
        "ln_b": lambda: math.log(b),
        "se_ln_b": lambda: se_b / b,
        "ln_b_over_m": lambda: math.log(b),
        "scal": lambda: 1 / fit.rate_per_day,
        "exp_minus_k": lambda: math.exp(-fit.rate_per_day),
        "rss": lambda: fit.rss_g2,
        "aic": lambda: fit.aic,
        "inflection_day": lambda: fit.inflection_day,
        "se_inflection_day": lambda: math.sqrt(fit.covariance[2, 2]),
        "inflection_weight": lambda: fit.inflection_weight_g,
        "greatest_gain": lambda: fit.greatest_gain_g,
        "weight_at_56": lambda: float(fit.weight_g(56)),
        "weight_at_70": lambda: float(fit.weight_g(70)),
    }
    if name in computed:
        return computed[name]()
    value, error = parameters[name.removeprefix("se_")]
    return error if name.startswith("se_") else value


CHECKS = rows("checks/growth_curve.csv")


@pytest.mark.parametrize("row", CHECKS, ids=lambda r: " ".join(list(r.values())[:4]))
def test_published_and_recomputed_fits(row):
    # Source in the first line of fixtures/checks/growth_curve.csv
    fit = fitted(row["data"], row["subset"], row["form"])
    assert fit.converged
    assert quantity(fit, row["quantity"]) == pytest.approx(float(row["value"]), rel=float(row["rel"]))


def test_nist_rat42_settles_from_both_of_nists_starts():
    # NIST StRD Rat42, starts (100, 1, 0.1) and (75, 2.5, 0.07) in b1/(1+exp(b2-b3 x)); inflection = b2/b3
    age, weight = series("nist_rat42", "")
    for b1, b2, b3 in [(100, 1, 0.1), (75, 2.5, 0.07)]:
        fit = fit_curve(age, weight, form="logistic", start=(b1, b3, b2 / b3, 1.0))
        assert fit.converged
        assert fit.rss_g2 == pytest.approx(8.0565229338, rel=1e-9)


def test_nist_rat43_settles_from_the_near_start_and_says_so_if_not_from_the_far_one():
    # NIST StRD Rat43, starts (100, 10, 1, 1) and (700, 5, 0.75, 1.3); inflection = (b2 - ln b4)/b3
    age, weight = series("nist_rat43", "")
    near = fit_curve(age, weight, form="richards", start=(700, 0.75, (5 - math.log(1.3)) / 0.75, 1.3))
    assert near.converged
    assert near.asymptote_g == pytest.approx(699.64151270, rel=1e-6)
    far = fit_curve(age, weight, form="richards", start=(100, 1.0, 10.0, 1.0))
    assert not far.converged or far.asymptote_g == pytest.approx(699.64151270, rel=1e-4)


def test_narinc_inflection_gives_the_gompertz_asymptote():
    # Narinc et al. (2010), 499 quail: 81.70 g at day 14.95 (aves.akdeniz.edu.tr record); A = e * 81.70, abs
    # 0.02
    weight = curve_weight_g(14.95, asymptote_g=222.0836, rate_per_day=0.08, inflection_day=14.95, shape=0)
    assert float(weight) == pytest.approx(81.70, abs=0.01)


@pytest.mark.parametrize("shape", [-0.6, -1 / 3, -1e-5, 0.0, 1e-9, 1e-5, 1e-3, 1.0, 2.3])
def test_derivatives_agree_with_differences_at_every_shape(shape):
    # Reference: scipy.optimize.approx_fprime
    theta = np.array([220.0, 0.08, 14.0, shape])
    age = np.array([8.0, 14.0, 30.0, 56.0])

    def weight_at(a):
        return lambda x: float(curve_weight_g(a, asymptote_g=x[0], rate_per_day=x[1], inflection_day=x[2], shape=x[3]))

    found = growth_curve._gradient(age, theta)
    step = np.array([1e-4, 1e-7, 1e-5, 1e-4])
    for i, a in enumerate(age):
        forward = approx_fprime(theta, weight_at(a), step)
        backward = approx_fprime(theta, weight_at(a), -step)
        central = (forward + backward) / 2
        np.testing.assert_allclose(found[i], central, rtol=2e-5, atol=1e-5)


def test_the_family_meets_its_limits_smoothly():
    age = np.linspace(0, 70, 15)
    at = {"asymptote_g": 220.0, "rate_per_day": 0.08, "inflection_day": 14.0}
    gompertz = curve_weight_g(age, shape=0.0, **at)
    np.testing.assert_allclose(curve_weight_g(age, shape=1e-7, **at), gompertz, rtol=1e-5)
    np.testing.assert_allclose(curve_weight_g(age, shape=-1e-7, **at), gompertz, rtol=1e-5)
    growth = math.exp(0.08 * 14)
    np.testing.assert_allclose(gompertz, 220 * np.exp(-growth * np.exp(-0.08 * age)), rtol=1e-12)
    logistic = 220 / (1 + growth * np.exp(-0.08 * age))
    np.testing.assert_allclose(curve_weight_g(age, shape=1.0, **at), logistic, rtol=1e-12)
    bertalanffy = 220 * (1 - growth / 3 * np.exp(-0.08 * age)) ** 3
    np.testing.assert_allclose(curve_weight_g(age[1:], shape=-1 / 3, **at), bertalanffy[1:], rtol=1e-9)


def test_the_fit_agrees_with_scipy_curve_fit_on_repeated_weighings():
    # Reference: scipy 1.17.1 curve_fit on the raw weighings (ours works on the means by age)
    age, weight = series("chickweight", "all")
    fit = fit_curve(age, weight, form="gompertz")

    def curve(t, asymptote, rate, inflection):
        return asymptote * np.exp(-np.exp(-rate * (t - inflection)))

    found, covariance = curve_fit(curve, age, weight, (400, 0.06, 18))
    np.testing.assert_allclose((fit.asymptote_g, fit.rate_per_day, fit.inflection_day), found, rtol=1e-4)
    np.testing.assert_allclose(fit.covariance, covariance, rtol=1e-3)


def test_the_clusters_covariance_is_the_jackknife_of_the_linearised_model():
    # Reference: statsmodels 0.15.0 OLS on the Jacobian at the solution, refitted without each chick in turn
    age, weight = series("chickweight", "all")
    chicks = np.array([int(r["chick"]) for r in rows("data/chickweight.csv")])
    fit = fit_curve(age, weight, form="logistic", clusters=chicks)
    residual, jac = weight - fit.weight_g(age), fit.gradient(age)
    whole = sm.OLS(residual, jac).fit().params
    change = [sm.OLS(residual[chicks != c], jac[chicks != c]).fit().params - whole for c in np.unique(chicks)]
    assert fit.n_clusters == 50
    np.testing.assert_allclose(fit.robust_covariance, 49 / 50 * np.transpose(change) @ change, rtol=1e-5)


def test_with_each_weighing_its_own_it_is_nearly_statsmodels_hc3():
    # Reference: statsmodels 0.15.0 OLS cov_type="HC3", which has no factor (n - 1) / n
    age, weight = series("chickweight", "all")
    fit = fit_curve(age, weight, form="logistic")
    hc3 = sm.OLS(weight - fit.weight_g(age), fit.gradient(age)).fit(cov_type="HC3").cov_params()
    np.testing.assert_allclose(fit.robust_covariance, 577 / 578 * hc3, rtol=1e-4)


def test_an_exact_curve_is_found_and_does_not_claim_infinite_support():
    age = np.arange(0.0, 60.0, 7.0)
    truth = curve_weight_g(age, asymptote_g=300, rate_per_day=0.07, inflection_day=16, shape=0)
    fit = fit_curve(age, truth, form="gompertz")
    assert fit.converged
    assert fit.asymptote_g == pytest.approx(300, rel=1e-9)
    assert math.isfinite(fit.aicc)


def test_a_bird_without_growth_is_not_called_settled():
    age = np.array([40.0, 45.0, 50.0, 55.0, 60.0])
    for form in ("gompertz", "logistic"):
        fit = fit_curve(age, np.full(5, 200.0), form=form)
        assert not fit.converged or fit.inflection_day < 0 or fit.covariance[0, 0] < 1


def test_too_few_weighings_and_unknown_forms_are_refused():
    age = np.array([1.0, 2.0, 3.0])
    with pytest.raises(ValueError, match="more than 3 weighings"):
        fit_curve(age, age, form="gompertz")
    with pytest.raises(ValueError, match="use one of"):
        fit_curve(age, age, form="brody")
