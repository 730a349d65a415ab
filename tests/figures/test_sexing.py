"""Sexing: the window of 42 to 56 days, the sex ratio, and what the early guess was worth."""

from __future__ import annotations

import csv
import math
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from barnbook.figures import interval, sexing
from barnbook.figures.estimate import Reason

FIXTURES = Path(__file__).parents[2] / "fixtures"

HATCH = date(2026, 3, 1)


def rows(path):
    lines = [line for line in (FIXTURES / path).read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def test_the_window_opens_on_day_42_and_closes_on_day_56_both_ends_in():
    window = sexing.sexing_window(HATCH)
    inside = [d for d in range(120) if window.is_open(HATCH + timedelta(days=d))]
    assert inside == list(range(42, 57))


def test_a_brood_is_late_only_after_the_last_day():
    window = sexing.sexing_window(HATCH)
    late = [d for d in range(60) if window.is_late(HATCH + timedelta(days=d))]
    assert late == [57, 58, 59]


def test_the_window_crosses_a_leap_day():
    assert sexing.sexing_window(date(2028, 1, 18)).first_day == date(2028, 2, 29)


def test_a_line_may_have_its_own_window_of_one_day():
    window = sexing.sexing_window(HATCH, from_day=49, to_day=49)
    assert window.first_day == window.last_day == date(2026, 4, 19)


@pytest.mark.parametrize(
    ("from_day", "to_day", "says"), [(-1, 10, "before the hatch"), (50, 49, "not before the first")]
)
def test_an_impossible_window_is_refused(from_day, to_day, says):
    with pytest.raises(ValueError, match=says):
        sexing.sexing_window(HATCH, from_day=from_day, to_day=to_day)


def test_unsure_birds_are_due_again_in_seven_days():
    assert sexing.look_again(date(2026, 12, 28)) == date(2027, 1, 4)
    assert sexing.look_again(HATCH, after_days=1) == date(2026, 3, 2)
    with pytest.raises(ValueError, match="1 day or more"):
        sexing.look_again(HATCH, after_days=0)


@pytest.mark.parametrize("row", rows("checks/sexing.csv"), ids=lambda r: f"{r['cocks']}:{r['hens']}")
def test_exact_test_against_one_to_one(row):
    # Source in the first line of fixtures/checks/sexing.csv
    cocks, hens = int(row["cocks"]), int(row["hens"])
    found = sexing.sex_ratio(cocks, hens)
    assert found.p_value == pytest.approx(float(row["p_value"]), abs=1e-7)
    n, k = cocks + hens, min(cocks, hens)
    tail = sum(Fraction(math.comb(n, i), 2**n) for i in range(k + 1))
    assert found.p_value == pytest.approx(min(1.0, float(2 * tail)), rel=1e-12)
    assert (found.cocks.low, found.cocks.high) == (
        pytest.approx(interval.clopper_pearson(cocks, n).low),
        pytest.approx(interval.clopper_pearson(cocks, n).high),
    )


def test_unsure_birds_are_left_out_and_counted():
    found = sexing.sex_ratio(18, 9, unsure=4)
    assert found.cocks.n == 27
    assert [(left.count, left.why) for left in found.cocks.left_out] == [(4, "unsure")]


def test_fewer_than_ten_sexed_show_no_ratio():
    found = sexing.sex_ratio(5, 4)
    assert found.cocks.missing.reason is Reason.TOO_FEW_BIRDS
    assert (found.cocks.missing.have, found.cocks.missing.need, found.p_value) == (9, 10, None)
    assert sexing.sex_ratio(0, 0).cocks.missing.have == 0


def saxony():
    table = rows("data/saxony_sex_ratio.csv")
    boys = np.repeat([int(r["nMales"]) for r in table], [int(r["Freq"]) for r in table])
    return boys, 12 - boys


def test_saxonys_families_vary_more_than_chance():
    # Geissler (1889): p 0.51921504, variance ratio 1.16481002 (recomputed, scipy)
    boys, girls = saxony()
    found = sexing.sex_ratio_of_broods(list(boys), list(girls))
    assert found.cocks.value == pytest.approx(0.51921504, abs=1e-8)
    # with 6115 in the denominator there, 6114 here
    assert found.dispersion * 6114 / 6115 == pytest.approx(1.16481002, rel=1e-7)
    one = interval.clopper_pearson(int(boys.sum()), int(boys.sum() + girls.sum()))
    assert (found.cocks.high - found.cocks.low) / (one.high - one.low) == pytest.approx(1.165**0.5, rel=3e-3)


@pytest.mark.parametrize(
    ("gen", "extract", "share", "phi"),
    [
        ("O75", "bean", 0.36397059, 2.4398855),
        ("O75", "cucumber", 0.68135593, 1.6056576),
        ("O73", "bean", 0.39837398, 1.9341817),
        ("O73", "cucumber", 0.53191489, 1.5316470),
    ],
)
def test_broods_are_rs_quasi_binomial(gen, extract, share, phi):
    # R 4.2.2 glm quasibinomial on crowder_seeds (Crowder 1978), counts read as cocks of a brood; rel 1e-6
    plates = [r for r in rows("data/crowder_seeds.csv") if (r["gen"], r["extract"]) == (gen, extract)]
    cocks = [int(r["germ"]) for r in plates]
    found = sexing.sex_ratio_of_broods(cocks, [int(r["n"]) - k for r, k in zip(plates, cocks, strict=True)])
    assert found.cocks.value == pytest.approx(share, abs=1e-8)
    assert found.dispersion == pytest.approx(phi, rel=1e-6)
    if (gen, extract) == ("O75", "bean"):
        # logit + quasi with t(4) there: 0.248859-0.497091
        assert (found.cocks.low, found.cocks.high) == (
            pytest.approx(0.248859, abs=1e-6),
            pytest.approx(0.497091, abs=1e-6),
        )


def test_broods_at_the_ends():
    assert sexing.sex_ratio_of_broods([6, 7, 8], [0, 0, 0]).cocks.high == 1
    assert sexing.sex_ratio_of_broods([6, 7], [5, 5]).cocks.missing.reason is Reason.TOO_FEW_GROUPS
    assert sexing.sex_ratio_of_broods([6, 7, 0, 4], [5, 5, 0, 6]).cocks.n == 33
    assert sexing.sex_ratio_of_broods([], []).cocks.missing.reason is Reason.TOO_FEW_BIRDS
    with pytest.raises(ValueError, match="2 counts of cocks stand beside 1"):
        sexing.sex_ratio_of_broods([1, 2], [3])


@pytest.mark.parametrize("bad", [-1, 2.5, math.nan, math.inf])
def test_counts_that_are_none_are_refused(bad):
    with pytest.raises(ValueError, match="not a count of birds"):
        sexing.sex_ratio(bad, 5)
    with pytest.raises(ValueError, match="not a count of birds"):
        sexing.sex_ratio_of_broods([1, 2, bad], [3, 3, 3])


def scored():
    """30 cocks of which 27 were guessed so, 40 hens of which 34 were; two unsure at the vent, one not
    guessed.
    """
    guessed = ["cock"] * 27 + ["hen"] * 3 + ["hen"] * 34 + ["cock"] * 6 + ["cock", "hen", "unsure"]
    found = ["cock"] * 30 + ["hen"] * 40 + ["unsure", "unsure", "cock"]
    return sexing.guess_score(guessed, found)


def test_the_guess_is_scored_by_hand():
    score = scored()
    values = [
        figure.value
        for figure in (score.right, score.right_of_cocks, score.right_of_hens, score.trust_cock, score.trust_hen)
    ]
    assert values == pytest.approx([61 / 70, 27 / 30, 34 / 40, 27 / 33, 34 / 37])
    assert (score.right.low, score.right.high) == (
        pytest.approx(interval.wilson(61, 70).low),
        pytest.approx(interval.wilson(61, 70).high),
    )
    assert [(left.count, left.why) for left in score.right.left_out] == [(3, "not_sexed_or_not_guessed")]


def test_trust_at_the_broods_own_ratio_is_bayes_rule_there():
    score = scored()
    for guess, direct in (("cock", score.trust_cock), ("hen", score.trust_hen)):
        found = sexing.trust_at_ratio(score, guess=guess, share_cocks=30 / 70, seed=1)
        assert found.value == pytest.approx(direct.value, rel=1e-12)
        assert found.low < found.value < found.high


def test_with_few_cocks_about_a_guess_of_cock_is_worth_less():
    # Bayes by hand: 0.9 * 0.1 / (0.9 * 0.1 + 0.15 * 0.9) = 0.4
    assert sexing.trust_at_ratio(scored(), guess="cock", share_cocks=0.1, seed=1).value == pytest.approx(0.4)


def test_a_guess_never_wrong_and_one_never_made():
    perfect = sexing.guess_score(["cock"] * 12 + ["hen"] * 12, ["cock"] * 12 + ["hen"] * 12)
    found = sexing.trust_at_ratio(perfect, guess="hen", share_cocks=0.5, seed=1)
    assert (found.value, found.high) == (1, 1)
    assert 0.7 < found.low < 0.9
    never = sexing.guess_score(["hen"] * 24, ["cock"] * 12 + ["hen"] * 12)
    assert sexing.trust_at_ratio(never, guess="cock", share_cocks=0.5, seed=1).missing.reason is Reason.NOT_IDENTIFIED
    assert never.trust_cock.missing.have == 0


def test_too_few_of_one_sex_and_what_cannot_be():
    few = sexing.guess_score(["cock"] * 12 + ["hen"], ["cock"] * 12 + ["hen"])
    found = sexing.trust_at_ratio(few, guess="cock", share_cocks=0.5, seed=1)
    assert (found.missing.reason, found.missing.have) == (Reason.TOO_FEW_BIRDS, 1)
    with pytest.raises(ValueError, match="cock or hen"):
        sexing.trust_at_ratio(scored(), guess="unsure", share_cocks=0.5, seed=1)
    for share in (0, 1, math.nan):
        with pytest.raises(ValueError, match="share of cocks"):
            sexing.trust_at_ratio(scored(), guess="cock", share_cocks=share, seed=1)
    with pytest.raises(ValueError, match="1 guesses stand beside 2"):
        sexing.guess_score(["cock"], ["cock", "hen"])
