"""Shares over trays that differ: R, VGAM, statsmodels, simulated coverage, the ends."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from barnbook.figures import clustered_share as clustered
from barnbook.figures.clustered_share import UsualSpread
from barnbook.figures.interval import expit, logit, t_quantile, wilson

FIXTURES = Path(__file__).parents[2] / "fixtures"


def rows(path):
    lines = [line for line in (FIXTURES / path).read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def groups(name):
    if name == "cbpp":
        data = rows("data/cbpp.csv")
        return [int(r["incidence"]) for r in data], [int(r["size"]) for r in data]
    gen, extract = name.split()
    data = [r for r in rows("data/crowder_seeds.csv") if (r["gen"], r["extract"]) == (gen, extract)]
    return [int(r["germ"]) for r in data], [int(r["n"]) for r in data]


@pytest.mark.parametrize("row", rows("checks/clustered_share.csv"), ids=lambda row: row["group"])
def test_pooled_groups_agree_with_r_and_vgam(row):
    k, n = groups(row["group"])
    found = clustered.clustered_share(k, n)
    assert (len(k), sum(k), sum(n)) == (int(row["m"]), int(row["k"]), int(row["n"]))
    assert found.value == pytest.approx(float(row["p"]), rel=1e-6)
    assert found.dispersion == pytest.approx(float(row["phi"]), rel=1e-6)
    error = max(float(row["se_quasi"]), float(row["se_ratio"]))
    step = t_quantile(len(k) - 1) * error / (found.value * (1 - found.value))
    assert found.low == pytest.approx(expit(logit(found.value) - step), rel=1e-6)
    assert found.high == pytest.approx(expit(logit(found.value) + step), rel=1e-6)
    fit = clustered.fit_beta_binomial(k, n)
    assert fit.mu == pytest.approx(float(row["mu"]), abs=1e-5)
    assert fit.rho == pytest.approx(float(row["rho"]), abs=float(row["rho_tolerance"]))
    assert fit.log_likelihood == pytest.approx(float(row["loglik"]), abs=1e-4)


def test_99_of_272_over_five_plates_is_not_so_sharp_as_it_looks():
    # Printed for logit + quasi-binomial with t(4): 0.248859 to 0.497091. Ours takes the larger ratio SE,
    # 0.04558 for 0.04557
    found = clustered.clustered_share(*groups("O75 bean"))
    assert (round(found.low, 3), round(found.high, 3)) == (0.249, 0.497)
    naive = wilson(99, 272)
    assert (naive.low, naive.high) == (pytest.approx(0.309054, abs=1e-6), pytest.approx(0.422676, abs=1e-6))


def test_the_dispersion_is_that_of_a_quasi_binomial_glm():
    # Reference: statsmodels GLM with scale="X2"
    import statsmodels.api as sm

    k, n = (np.array(x) for x in groups("O75 cucumber"))
    fit = sm.GLM(k / n, np.ones((len(k), 1)), family=sm.families.Binomial(), var_weights=n).fit(scale="X2")
    assert clustered.clustered_share(k.tolist(), n.tolist()).dispersion == pytest.approx(fit.scale, rel=1e-9)


def test_one_tray_is_wilsons():
    found, plain = clustered.clustered_share([17], [24]), wilson(17, 24)
    assert (found.low, found.high, found.method, found.dispersion) == (plain.low, plain.high, "wilson", None)


@pytest.mark.parametrize(("k", "value"), [([0, 0, 0], 0), ([24, 30, 18], 1)])
def test_none_or_all_hatched_takes_the_assumed_spread(k, value):
    found = clustered.clustered_share(k, [24, 30, 18])
    phi = 1 + 0.05 * ((24**2 + 30**2 + 18**2) / 72 - 1)
    worth = wilson(value * 72 / phi, 72 / phi)
    assert (found.value, found.method) == (value, "wilson_effective_n")
    assert (found.low, found.high) == (pytest.approx(worth.low), pytest.approx(worth.high))
    assert found.dispersion == pytest.approx(phi)


def test_trays_that_agree_better_than_chance_are_not_believed():
    assert clustered.clustered_share([12, 12, 12, 12], [20, 20, 20, 20]).dispersion == 1
    assert clustered.fit_beta_binomial([12, 12, 12, 12], [20, 20, 20, 20]).rho == 0


def test_two_trays_stand_alone_only_with_what_earlier_ones_lend():
    alone = clustered.clustered_share([15, 20], [24, 24])
    lent = clustered.clustered_share([15, 20], [24, 24], usual=UsualSpread(0.02, 20))
    assert alone.high - alone.low > 0.9
    assert 0.2 < lent.high - lent.low < 0.35


def test_the_usual_spread_is_found_again():
    rng = np.random.default_rng(16)
    settings = []
    for _ in range(400):
        n = rng.integers(10, 60, 4)
        settings.append((rng.binomial(n, rng.beta(0.7 * 19, 0.3 * 19, 4)).tolist(), n.tolist()))  # rho 0.05
    found = clustered.usual_spread(settings)
    assert found.rho == pytest.approx(0.05, abs=0.01)
    assert found.degrees_of_freedom == 1200
    assert clustered.usual_spread([([3], [4])]) is None
    assert clustered.usual_spread([]) is None


@pytest.mark.parametrize(
    ("k", "n"),
    [([], []), ([1], [0]), ([3], [2]), ([-1], [4]), ([1, 2], [3]), ([math.nan], [4]), ([1.5], [4]), ([1], [math.inf])],
)
def test_impossible_groups_are_refused(k, n):
    with pytest.raises(ValueError, match="give"):
        clustered.clustered_share(k, n)


def test_one_group_says_nothing_of_differences():
    with pytest.raises(ValueError, match="at least two"):
        clustered.fit_beta_binomial([3], [10])
