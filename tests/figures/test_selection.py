"""Selection: intensities, cuts, the index and the response, against tables, simulation and hand-made
flocks.
"""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from barnbook.figures import selection
from barnbook.figures.estimate import Missing, Reason

FIXTURES = Path(__file__).parents[2] / "fixtures"


def rows(path):
    lines = [line for line in (FIXTURES / path).read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


@pytest.mark.parametrize("row", rows("checks/selection.csv"), ids=lambda r: r["share_kept"])
def test_intensity_of_an_endless_flock(row):
    # Source in the first line of fixtures/checks/selection.csv
    found = selection.infinite_intensity(float(row["share_kept"]))
    assert found == pytest.approx(float(row["intensity"]), abs=1e-7)


def test_intensity_of_every_finite_flock_in_the_table():
    # R 4.2.2 integrate of order statistics, 274 flocks of 2 to 1000 birds (printed to 9 decimals)
    for row in rows("data/selection_intensity_finite.csv"):
        found = selection.intensity(int(row["n"]), of=int(row["N"]))
        assert found == pytest.approx(float(row["i_exact"]), abs=1e-9), row


def test_intensity_is_scipys_mean_of_order_statistics():
    # Reference: scipy 1.17.1 quad over the density of each of the three greatest of ten
    def mean_of_rank(r, n):
        ways = math.factorial(n) / (math.factorial(r - 1) * math.factorial(n - r))
        return quad(lambda x: x * ways * norm.cdf(x) ** (r - 1) * norm.sf(x) ** (n - r) * norm.pdf(x), -10, 10)[0]

    ten = [mean_of_rank(r, 10) for r in (10, 9, 8)]
    assert ten[:2] == pytest.approx([1.5387527, 1.0013570], abs=1e-7)
    assert selection.intensity(3, of=10) == pytest.approx(sum(ten) / 3, abs=1e-10)


def test_intensity_ends():
    assert selection.intensity(7, of=7) == 0
    assert selection.intensity(1, of=1) == 0
    assert selection.intensity(1, of=2) == pytest.approx(1 / math.sqrt(math.pi), abs=1e-12)
    # Burrows' correction is good for many birds: i - (N - n) / (2 n (N + 1) i), formula from memory
    for kept, of in [(5000, 100_000), (50_000, 100_000), (5000, 10_000)]:
        i = selection.infinite_intensity(kept / of)
        burrows = i - (of - kept) / (2 * kept * (of + 1) * i)
        assert selection.intensity(kept, of=of) == pytest.approx(burrows, abs=1e-8)
    for kept, of in [(0, 5), (6, 5), (-1, 5)]:
        with pytest.raises(ValueError, match="no selection"):
            selection.intensity(kept, of=of)
    for share in (0, 1.1, math.nan):
        with pytest.raises(ValueError, match="share kept"):
            selection.infinite_intensity(share)


def test_response_of_beckers_flock():
    # Becker (1984): i(20 %) 1.3998096, h2 of sires 0.42004975, sd sqrt(7396.784): 50.569792 g (recomputed)
    sd = math.sqrt(7396.784)
    s = selection.infinite_intensity(0.20) * sd
    cut = selection.Cut(20, 100, 0.0, 0.0, s, 1.3998096, None)
    found = selection.expected_response(
        cocks=cut, hens=cut, heritability=0.42004975, heritability_low=0.2, heritability_high=0.6
    )
    assert found.value == pytest.approx(50.569792, rel=1e-6)
    assert (found.low, found.high) == (pytest.approx(0.2 * s), pytest.approx(0.6 * s))


WEIGHTS = [268.0, 301.0, 284.0, 290.0, 277.0, 310.0, 295.0, 280.0]


def test_the_table_by_number_kept_by_hand():
    table = selection.cuts_by_number_kept(WEIGHTS)
    assert [cut.kept for cut in table] == list(range(1, 9))
    three = table[2]
    assert three.cut_weight_g == 295
    assert three.mean_kept_g == pytest.approx((310 + 301 + 295) / 3)
    assert three.differential_g == pytest.approx(302 - 288.125)
    assert three.reached == pytest.approx((302 - 288.125) / np.std(WEIGHTS, ddof=1))
    assert three.intensity == selection.intensity(3, of=8)
    assert (table[-1].differential_g, table[-1].intensity) == (pytest.approx(0), 0)


@pytest.mark.slow
def test_the_expected_intensity_is_what_normal_flocks_reach():
    rng = np.random.default_rng(1)
    flocks = np.sort(rng.normal(size=(200_000, 12)), axis=1)
    assert flocks[:, -4:].mean() == pytest.approx(selection.intensity(4, of=12), abs=0.003)


def test_identical_weights_and_a_single_bird_have_no_differential():
    for cut in selection.cuts_by_number_kept([280.0] * 4):
        assert (cut.differential_g, cut.reached, cut.cut_weight_g) == (0, None, 280)
    (alone,) = selection.cuts_by_number_kept([300.0])
    assert (alone.differential_g, alone.intensity, alone.reached) == (0, 0, None)
    assert selection.cuts_by_number_kept([]) == Missing(Reason.NO_RECORDS, "birds", 0, 1)


def test_the_sexes_difference_is_taken_out():
    adjusted = selection.sex_adjusted_weight([280, 300, 320, 340], sexes=["cock", "cock", "hen", "hen"])
    # means 290 and 330, middle 310
    assert list(adjusted) == [300, 320, 300, 320]
    assert np.isnan(selection.sex_adjusted_weight([280, 300], sexes=["cock", "unsure"])[1])
    one_sex = selection.sex_adjusted_weight([280, 300], sexes=["hen", "hen"])
    assert list(one_sex) == [280, 300]
    lone_cock = selection.sex_adjusted_weight([250, 300, 320], sexes=["cock", "hen", "hen"])
    assert lone_cock[0] == pytest.approx((250 + 310) / 2)


def test_ranking_by_weight_is_by_adjusted_weight():
    rng = np.random.default_rng(2)
    sexes = rng.choice(["cock", "hen"], 40)
    weight = rng.normal(290, 18, 40) + 30 * (sexes == "hen")
    ranked = selection.rank_birds({"weight_g": weight}, weights={"weight_g": 1.0}, sexes=sexes)
    for sex in ("cock", "hen"):
        own = [i for i in ranked.order if sexes[i] == sex]
        assert own == sorted(own, key=lambda i: -weight[i])
    assert np.all(ranked.traits_seen == 1)


def test_the_index_by_hand():
    # hens 300, 310, 320 g: scores -1, 0, 1; egg weight 12, 11, 10 g: 1, 0, -1; weights 2 and 1: -1, 0, 1
    ranked = selection.rank_birds(
        {"weight_g": [300, 310, 320], "egg_weight_g": [12, 11, 10]},
        weights={"weight_g": 2, "egg_weight_g": 1, "true_to_type": 0},
        sexes=["hen"] * 3,
    )
    assert list(ranked.score) == pytest.approx([-1, 0, 1])
    assert list(ranked.order) == [2, 1, 0]


def test_a_bird_without_a_trait_stands_at_the_mean_and_it_is_said():
    ranked = selection.rank_birds(
        {"weight_g": [300, 310, 320, math.nan], "lay": [math.nan, 0.8, math.nan, math.nan]},
        weights={"weight_g": 3, "lay": 1},
        sexes=["hen", "hen", "hen", "hen"],
    )
    assert list(ranked.traits_seen) == pytest.approx([0.75, 1, 0.75, 0])
    assert list(ranked.order) == [2, 1, 0]
    assert math.isnan(ranked.score[3])
    assert [(left.count, left.why) for left in ranked.left_out] == [(1, "no_trait_of_weight")]


def test_unsexed_birds_are_not_ranked_and_ties_keep_their_order():
    ranked = selection.rank_birds(
        {"weight_g": [300, 300, 300, 310]}, weights={"weight_g": 1}, sexes=["hen", "hen", "hen", "unsure"]
    )
    assert list(ranked.order) == [0, 1, 2]
    assert [(left.count, left.why) for left in ranked.left_out] == [(1, "not_sexed")]


def test_share_making_the_cut():
    found = selection.share_making_cut(WEIGHTS, cut_weight_g=290)
    assert (found.value, found.n) == (0.5, 8)
    few = selection.share_making_cut([300, 310], cut_weight_g=290)
    assert few.missing == Missing(Reason.TOO_FEW_BIRDS, "birds", 2, 5)


def test_selecting_cocks_alone_moves_half_as_much():
    cut = selection.cuts_by_number_kept(WEIGHTS)[2]
    limits = {"heritability": 0.35, "heritability_low": 0.2, "heritability_high": 0.5}
    both = selection.expected_response(cocks=cut, hens=cut, **limits)
    cocks = selection.expected_response(cocks=cut, hens=None, **limits)
    assert both.value == pytest.approx(0.35 * 13.875)
    assert cocks.value == pytest.approx(both.value / 2)
    assert both.notes == ("expectation",)
    lone = selection.cuts_by_number_kept([300.0])[0]
    assert selection.expected_response(cocks=lone, hens=cut, **limits).missing == Missing(
        Reason.TOO_FEW_BIRDS, "birds", 1, 5
    )
    assert selection.expected_response(cocks=None, hens=None, **limits).missing.reason is Reason.NO_RECORDS
    with pytest.raises(ValueError, match="out of order"):
        selection.expected_response(cocks=cut, hens=cut, heritability=0.3, heritability_low=0.4, heritability_high=0.5)


@pytest.mark.parametrize("bad", [0, -1, math.nan, math.inf])
def test_weights_that_are_none_are_refused_by_place(bad):
    for call in (
        lambda: selection.cuts_by_number_kept([300, bad]),
        lambda: selection.sex_adjusted_weight([300, bad], sexes=["hen", "hen"]),
        lambda: selection.share_making_cut([300, bad], cut_weight_g=290),
    ):
        with pytest.raises(ValueError, match="Bird 2"):
            call()
    with pytest.raises(ValueError, match="cut weight"):
        selection.share_making_cut([300] * 5, cut_weight_g=bad)


@pytest.mark.parametrize(
    ("traits", "weights", "says"),
    [
        ({"weight_g": [1, 2]}, {"weight_g": 0}, "Every weight of the index is 0"),
        ({"weight_g": [1, 2]}, {"lay": 1}, "'lay', which no bird has"),
        ({"weight_g": [1, 2]}, {"weight_g": math.nan}, "not a number"),
        ({"weight_g": [1, 2, 3]}, {"weight_g": 1}, "3 values"),
        ({"weight_g": [1, math.inf]}, {"weight_g": 1}, "infinite"),
    ],
)
def test_an_index_that_cannot_be_is_refused(traits, weights, says):
    with pytest.raises(ValueError, match=says):
        selection.rank_birds(traits, weights=weights, sexes=["hen", "hen"])
    with pytest.raises(ValueError, match="2 weights stand beside 1 sexes"):
        selection.sex_adjusted_weight([1, 2], sexes=["hen"])
