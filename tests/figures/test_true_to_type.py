"""True to type: Mendel's counts, exact tests, simultaneous limits, chicks of several cages."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.proportion import multinomial_proportions_confint

from barnbook.figures import dirichlet_multinomial as grouped
from barnbook.figures import true_to_type
from barnbook.figures.estimate import Missing, Reason

FIXTURES = Path(__file__).parents[2] / "fixtures"


def rows(path):
    lines = [line for line in (FIXTURES / path).read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def numbers(text):
    return np.array([int(x) for x in text.split()])


@pytest.mark.parametrize("row", rows("checks/true_to_type.csv"), ids=lambda r: r["case"])
def test_exact_p_of_mendel_and_of_small_hatches(row):
    # Source in the first line of fixtures/checks/true_to_type.csv
    counts, parts = numbers(row["counts"]), numbers(row["claim"])
    found = true_to_type.claim_test(counts, claim=parts, seed=1)
    assert found.method == "exact_multinomial"
    assert found.p_value == pytest.approx(float(row["exact_p"]), abs=float(row["abs"]))
    if row["chi_square"]:
        x2 = stats.chisquare(counts, counts.sum() * parts / parts.sum())
        assert x2.statistic == pytest.approx(float(row["chi_square"]), abs=1e-6)
        assert x2.pvalue == pytest.approx(float(row["chi_square_p"]), abs=1e-6)


def test_two_classes_are_scipys_exact_binomial_test():
    # Reference: scipy 1.17.1 binomtest, two-sided by the same rule
    for k in range(31):
        ours = true_to_type.exact_multinomial_p([k, 30 - k], shares=np.array([0.75, 0.25]))
        assert ours == pytest.approx(stats.binomtest(k, 30, 0.75).pvalue, rel=1e-9)


def test_drawn_and_listed_agree(monkeypatch):
    counts, claim = [80, 12, 3], [85, 12, 3]
    listed = true_to_type.claim_test(counts, claim=claim, seed=1)
    monkeypatch.setattr(true_to_type, "ENUMERATED", 10)
    drawn = true_to_type.claim_test(counts, claim=claim, seed=1)
    assert drawn.method == "monte_carlo_multinomial"
    assert abs(drawn.p_value - listed.p_value) < 4 * drawn.monte_carlo_error
    assert drawn == true_to_type.claim_test(counts, claim=claim, seed=1)


def test_mendels_two_factors_agree_with_the_large_sample_p():
    # Mendel's dihybrid 315:101:108:32 against 9:3:3:1: chi-square p 0.92542590, large n, so the drawn one is
    # near it
    found = true_to_type.claim_test([315, 101, 108, 32], claim=[9, 3, 3, 1], seed=5)
    assert found.method == "monte_carlo_multinomial"
    assert found.p_value == pytest.approx(0.92542590, abs=0.02)


def test_one_mating_has_goodmans_limits():
    # Reference: statsmodels 0.15.0 multinomial_proportions_confint(method="goodman")
    shares = true_to_type.class_shares([[291, 6, 3]], classes=["wild", "white", "tuxedo"])
    expected = multinomial_proportions_confint([291, 6, 3], method="goodman")
    for figure, (low, high) in zip(shares.values(), expected, strict=True):
        assert (figure.low, figure.high) == (pytest.approx(low, abs=1e-9), pytest.approx(high, abs=1e-9))
        assert figure.notes == ("one_mating",)
    assert shares["wild"].value == 0.97


def test_a_class_never_seen_has_an_upper_limit():
    shares = true_to_type.class_shares([[120, 0]], classes=["wild", "white"])
    assert (shares["white"].value, shares["white"].low) == (0, 0)
    assert 0.03 < shares["white"].high < 0.05
    assert shares["wild"].high == 1
    by_cage = true_to_type.class_shares([[40, 0], [40, 0], [40, 0]], classes=["wild", "white"])
    assert by_cage["white"].low == 0
    assert by_cage["white"].high > shares["white"].high


def test_cages_that_differ_widen_the_limits():
    alike = [[30, 10], [30, 10], [30, 10], [30, 10], [30, 10]]
    apart = [[40, 0], [20, 20], [38, 2], [22, 18], [30, 10]]
    even, wide = (true_to_type.class_shares(c, classes=["wild", "white"])["white"] for c in (alike, apart))
    assert even.value == wide.value == 0.25
    assert wide.high - wide.low > 1.8 * (even.high - even.low)


@pytest.mark.slow
@pytest.mark.parametrize("shares", [(0.97, 0.02, 0.01), (0.7, 0.2, 0.1)])
def test_a_true_claim_is_seldom_called_false_over_several_cages(shares):
    rng = np.random.default_rng(9)
    p = np.array(shares)
    tables = grouped.draw_counts(rng, group_sizes=rng.integers(20, 60, 10), shares=p, rho=0.06, draws=300)
    called = [true_to_type.claim_test(t, claim=p, seed=i, draws=999).p_value <= 0.05 for i, t in enumerate(tables)]
    assert np.mean(called) <= 0.08, np.mean(called)


def test_one_cage_gone_wrong_says_less_than_as_many_chicks_of_one_mating():
    cages = [[40, 0], [40, 0], [40, 0], [30, 10], [40, 0]]
    together = true_to_type.claim_test([190, 10], claim=[99, 1], seed=1)
    apart = true_to_type.claim_test(cages, claim=[99, 1], seed=1)
    assert together.p_value < 0.001
    assert apart.p_value > 0.01
    assert apart.rho > 0.1


def test_the_bootstrap_finds_a_false_claim():
    cages = [[30, 10], [28, 12], [31, 9], [29, 11], [30, 10], [27, 13]]
    assert true_to_type.claim_test(cages, claim=[97, 3], seed=1).p_value < 0.001
    assert true_to_type.claim_test(cages, claim=[3, 1], seed=1).p_value > 0.3


def test_a_class_claimed_never_to_come_but_seen():
    found = true_to_type.claim_test([99, 1], claim=[1, 0], seed=1)
    assert (found.p_value, found.method) == (0.0, "claimed_never_yet_seen")
    assert true_to_type.claim_test([100, 0], claim=[1, 0], seed=1).p_value == 1


def test_smallest_hatch_that_would_show_a_class():
    # 299: the least n with 0.99^n <= 0.05
    assert true_to_type.smallest_hatch(0.01) == 299
    assert 0.99**299 <= 0.05 < 0.99**298
    assert true_to_type.smallest_hatch(0.25, sure=1 - 0.75**5) == 5
    assert true_to_type.smallest_hatch(0.02, sure=0.99) == 228
    for share, sure in [(0, 0.95), (1, 0.95), (0.1, 1), (math.nan, 0.95)]:
        with pytest.raises(ValueError, match="between 0 and 1"):
            true_to_type.smallest_hatch(share, sure=sure)


@pytest.mark.parametrize(
    ("counts", "missing"),
    [
        ([], Missing(Reason.NO_RECORDS, "chicks", 0, 20)),
        ([[0, 0]], Missing(Reason.NO_RECORDS, "chicks", 0, 20)),
        ([[19, 0]], Missing(Reason.TOO_FEW_RECORDS, "chicks", 19, 20)),
        ([[30, 1], [30, 0]], Missing(Reason.TOO_FEW_GROUPS, "cages", 2, 3)),
    ],
)
def test_too_few_chicks_or_cages_show_no_share(counts, missing):
    assert true_to_type.class_shares(counts, classes=["wild", "white"])["white"].missing == missing


def test_what_cannot_be_is_refused():
    with pytest.raises(ValueError, match="same name"):
        true_to_type.class_shares([[30, 1]], classes=["wild", "wild"])
    with pytest.raises(ValueError, match="3 counts stand beside 2 classes"):
        true_to_type.class_shares([[30, 1, 1]], classes=["wild", "white"])
    with pytest.raises(ValueError, match="negative"):
        true_to_type.class_shares([[30, -1]], classes=["wild", "white"])
    for claim in ([1], [0, 0], [1, -1], [1, math.nan]):
        with pytest.raises(ValueError, match="claim"):
            true_to_type.claim_test([30, 1], claim=claim, seed=1)
