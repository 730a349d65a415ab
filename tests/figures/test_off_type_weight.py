"""Weight of an off-type: statsmodels' least squares, coverage, and what cannot be told."""

import csv
import math
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import statsmodels.formula.api as smf

from barnbook.figures import off_type_weight
from barnbook.figures.estimate import Missing, Reason

CHECKS = Path(__file__).parents[2] / "fixtures" / "checks" / "off_type_weight.csv"


def flock(rng, *, birds=60, broods=3, difference=-8.0, share=0.3):
    brood = rng.integers(0, broods, birds)
    sex = rng.choice(["cock", "hen"], birds)
    off = rng.random(birds) < share
    level = rng.normal(0, 12, broods)[brood]
    weight = 290 + level + 25 * (sex == "hen") + difference * off + rng.normal(0, 18, birds)
    return {"weight_g": weight, "off_type": off, "sexes": sex, "broods": brood}


def told(data):
    return off_type_weight.weight_difference(**data)


def test_it_is_statsmodels_least_squares():
    # Reference: statsmodels 0.15.0 OLS weight ~ brood + sex + off-type
    data = flock(np.random.default_rng(1))
    fit = smf.ols(
        "weight_g ~ C(broods) + C(sexes) + off", pd.DataFrame(data | {"off": data["off_type"].astype(float)})
    ).fit()
    low, high = fit.conf_int().loc["off"]
    found = told(data)
    assert found.value == pytest.approx(fit.params["off"], rel=1e-10)
    assert (found.low, found.high) == (pytest.approx(low, rel=1e-10), pytest.approx(high, rel=1e-10))
    assert found.n == 60


def test_by_hand_two_broods_of_one_sex():
    # Off-types 10 g lighter in each brood, broods 50 g apart: plain means of all would say 10 + part of 50
    birds = 2 * list(csv.DictReader(x for x in CHECKS.read_text().splitlines() if not x.startswith("#")))
    data = {
        "weight_g": [float(bird["weight_g"]) for bird in birds],
        "off_type": np.array([bird["off_type"] == "1" for bird in birds]),
        "sexes": ["hen"] * len(birds),
        "broods": [bird["brood"] for bird in birds],
    }
    assert told(data).value == pytest.approx(-10, abs=1e-9)


def test_a_brood_of_one_kind_says_nothing_and_is_counted():
    data = flock(np.random.default_rng(3))
    alone = {k: np.append(v, x) for (k, v), x in zip(data.items(), (500.0, False, "hen", 99), strict=True)}
    assert told(alone).value == pytest.approx(told(data).value, rel=1e-12)
    assert [(left.count, left.why) for left in told(alone).left_out] == [(1, "brood_without_both")]


def test_off_types_that_are_all_hens_cannot_be_told_from_sex():
    data = flock(np.random.default_rng(4))
    data["sexes"] = np.where(data["off_type"], "hen", "cock")
    assert told(data).missing.reason is Reason.NOT_IDENTIFIED


def test_too_few_none_and_identical_weights():
    data = flock(np.random.default_rng(5))
    few = data | {"off_type": np.arange(60) < 4, "broods": np.zeros(60)}
    assert told(few).missing == Missing(Reason.TOO_FEW_BIRDS, "off-types", 4, 5)
    none = data | {"off_type": np.zeros(60, bool)}
    assert told(none).missing.reason is Reason.TOO_FEW_BIRDS
    empty = {"weight_g": [], "off_type": np.array([], bool), "sexes": [], "broods": []}
    assert told(empty).missing.reason is Reason.NO_RECORDS
    same = data | {"weight_g": np.full(60, 280.0)}
    assert told(same).missing.reason is Reason.NO_VARIATION


def test_culling_the_heavier_off_type_costs_weight():
    # 20 % off-types, 10 g heavier: mean of all = type + 2, mean of the kept = type
    data = flock(np.random.default_rng(6), difference=10, birds=400, share=0.2)
    difference = told(data)
    cost = off_type_weight.cost_of_culling(difference, share_off_type=0.2)
    assert cost.value == pytest.approx(-0.2 * difference.value)
    assert cost.low == pytest.approx(-0.2 * difference.high)
    assert cost.low < cost.value < cost.high
    missing = told(data | {"off_type": np.zeros(400, bool)})
    assert off_type_weight.cost_of_culling(missing, share_off_type=0.2).missing == missing.missing
    for bad in (-0.1, 1.1, math.nan):
        with pytest.raises(ValueError, match="share of off-types"):
            off_type_weight.cost_of_culling(difference, share_off_type=bad)


@pytest.mark.parametrize("bad", [0, -3, math.nan, math.inf])
def test_weights_that_are_none_are_refused_by_place(bad):
    data = flock(np.random.default_rng(7))
    data["weight_g"][4] = bad
    with pytest.raises(ValueError, match="Bird 5"):
        told(data)
    with pytest.raises(ValueError, match="60 weights stand beside 3 sexes"):
        told(flock(np.random.default_rng(7)) | {"sexes": ["hen"] * 3})
