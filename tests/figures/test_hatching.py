"""Hatching: published cases, statsmodels, the ends, and the male at fault (calibrated by simulation)."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from barnbook.figures import hatching
from barnbook.figures.clustered_share import UsualSpread
from barnbook.figures.estimate import LeftOut, Missing, Reason
from barnbook.figures.hatching import Shipment, Tray
from barnbook.figures.interval import t_quantile, wilson

FIXTURES = Path(__file__).parents[2] / "fixtures"


def rows(path):
    lines = [line for line in (FIXTURES / path).read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


@pytest.mark.parametrize("row", rows("checks/hatching.csv"), ids=lambda row: row["case"])
def test_published_shares(row):
    eggs = int(row["eggs_set"])
    tray = Tray(eggs, int(row["hatched"]) if row["hatched"] else None, read=eggs, clear=int(row["clear"]))
    for what in ("fertility", "hatch_of_fertile", "hatch_of_set"):
        if row[what]:
            found = getattr(hatching, what)([tray]).share
            assert 100 * found.value == pytest.approx(float(row[what]), abs=1e-4)


def test_hatch_of_set_is_fertility_times_hatch_of_fertile():
    trays = [Tray(40, 30, read=40, clear=4), Tray(36, 22, read=36, clear=8)]
    product = hatching.fertility(trays).share.value * hatching.hatch_of_fertile(trays).share.value
    assert hatching.hatch_of_set(trays).share.value == pytest.approx(product)


def test_one_tray_has_wilsons_interval():
    found, plain = hatching.hatch_of_set([Tray(24, 17)]), wilson(17, 24)
    assert (found.share.low, found.share.high) == (plain.low, plain.high)
    assert (found.groups, found.dispersion, found.rho) == (1, None, None)


def test_several_trays_show_how_they_differ():
    # Crowder's O75 bean plates read as trays: phi 2.44, rho 0.0173, 0.249 to 0.497 (R 4.2.2, VGAM 1.1-7)
    k, n = [10, 23, 23, 26, 17], [39, 62, 81, 51, 39]
    found = hatching.hatch_of_set([Tray(size, chicks) for chicks, size in zip(k, n, strict=True)])
    assert (round(found.share.low, 3), round(found.share.high, 3)) == (0.249, 0.497)
    assert found.dispersion == pytest.approx(2.4398855, rel=1e-6)
    assert found.rho == pytest.approx(0.017324, abs=2e-5)


def test_without_candling_fertility_is_unknown_and_not_all():
    found = hatching.fertility([Tray(30, 20)]).share
    assert found.missing.reason is Reason.NOT_CANDLED
    assert found.value is None
    assert hatching.hatch_of_fertile([Tray(30, 20)]).share.missing.reason is Reason.NOT_CANDLED


def test_eggs_that_could_not_be_read_or_were_lost_are_counted_apart():
    found = hatching.fertility([Tray(30, 20, read=24, clear=3, lost=2)]).share
    assert found.value == 21 / 24
    assert found.left_out == (LeftOut("eggs", 4, "not_read"), LeftOut("eggs", 2, "lost"))


def test_unread_eggs_are_taken_to_be_like_those_read():
    # 30 set, 2 lost, 20 of 28 read, 2 clear: fertile 28 x 18 / 20 = 25.2, to the egg 25
    found = hatching.hatch_of_fertile([Tray(30, 20, read=20, clear=2, lost=2)]).share
    assert found.value == 20 / 25
    assert found.notes == ("unread_taken_as_read",)


def test_a_tray_mostly_unread_does_not_tell_the_hatch_of_fertile():
    found = hatching.hatch_of_fertile([Tray(30, 20, read=10, clear=1)]).share
    assert found.missing.reason is Reason.NOT_CANDLED
    assert found.left_out == (LeftOut("trays", 1, "not_candled_or_mostly_unread"),)


def test_a_tray_not_hatched_yet_is_no_bad_hatch():
    found = hatching.hatch_of_set([Tray(30, 20), Tray(30)]).share
    assert found.value == 20 / 30
    assert found.left_out == (LeftOut("trays", 1, "not_hatched_yet"),)


@pytest.mark.parametrize(("hatched", "low", "high"), [(0, 0.0, None), (24, None, 1.0)])
def test_none_and_all_hatched(hatched, low, high):
    one = hatching.hatch_of_set([Tray(24, hatched)]).share
    several = hatching.hatch_of_set([Tray(24, hatched)] * 3).share
    for found in (one, several):
        assert found.value == hatched / 24
        assert found.low == low if low is not None else found.high == high
        assert found.high - found.low > 0.05
    assert "dispersion_assumed" in several.notes


@pytest.mark.parametrize(
    ("trays", "reason", "have"),
    [([], Reason.NO_RECORDS, 0), ([Tray(30)], Reason.NO_RECORDS, 0), ([Tray(6, 5)], Reason.TOO_FEW_RECORDS, 6)],
)
def test_too_few_eggs_say_so(trays, reason, have):
    missing = hatching.hatch_of_set(trays).share.missing
    assert (missing.reason, missing.have, missing.need) == (reason, have, 10)


def test_no_fertile_egg_leaves_the_hatch_of_fertile_unknown():
    assert hatching.hatch_of_fertile([Tray(20, 0, read=20, clear=20)]).share.missing.reason is Reason.NO_RECORDS


def test_earlier_settings_lend_their_spread():
    two = [Tray(24, 15), Tray(24, 20)]
    alone, lent = hatching.hatch_of_set(two).share, hatching.hatch_of_set(two, usual=UsualSpread(0.02, 30)).share
    assert lent.high - lent.low < alone.high - alone.low


@pytest.mark.parametrize(
    "counts",
    [
        {"eggs_set": 0},
        {"eggs_set": -4},
        {"eggs_set": 10, "hatched": 11},
        {"eggs_set": 10, "read": 11},
        {"eggs_set": 10, "read": 5, "clear": 6},
        {"eggs_set": 10, "read": 10, "clear": 6, "hatched": 5},
        {"eggs_set": math.nan},
        {"eggs_set": 10, "hatched": math.inf},
    ],
)
def test_impossible_trays_are_refused(counts):
    with pytest.raises(ValueError, match=r"give whole|look at"):
        Tray(**counts)


# Shipped


def test_shipped_eggs_have_two_shares_and_neither_is_that_of_home():
    shipments = [Shipment(60, 55, 40), Shipment(24, 24, 18), Shipment(30)]
    sent, eggs_set = hatching.shipped_hatch_of_sent(shipments), hatching.shipped_hatch_of_set(shipments)
    assert sent.share.value == 58 / 84
    assert eggs_set.share.value == 58 / 79
    assert sent.share.left_out == (LeftOut("shipments", 1, "not_reported"),)
    assert "shipped" in sent.share.notes


def test_a_customer_who_did_not_say_how_many_were_set_counts_for_sent_only():
    shipments = [Shipment(60, None, 40)]
    assert hatching.shipped_hatch_of_sent(shipments).share.value == 40 / 60
    assert hatching.shipped_hatch_of_set(shipments).share.missing.reason is Reason.NO_RECORDS


@pytest.mark.parametrize("counts", [(0,), (10, 11), (10, 8, 9), (10, None, 11), (math.nan,)])
def test_impossible_shipments_are_refused(counts):
    with pytest.raises(ValueError, match=r"give whole|ask the customer"):
        Shipment(*counts)


# Egg age

STORED = [0, 2, 3, 5, 7, 9, 10, 12]
HATCHED = [41, 38, 33, 36, 30, 22, 25, 14]
SET = [48, 48, 45, 50, 48, 40, 48, 36]


def test_the_slope_agrees_with_a_quasi_binomial_glm():
    # Reference: statsmodels 0.15.0 GLM, binomial, scale="X2" (R: glm(..., quasibinomial))
    import statsmodels.api as sm

    k, n = np.array(HATCHED), np.array(SET)
    design = sm.add_constant(np.array(STORED, float))
    fit = sm.GLM(k / n, design, family=sm.families.Binomial(), var_weights=n).fit(scale="X2", tol=1e-12)
    found = hatching.egg_age(STORED, HATCHED, SET)
    assert found.slope.value == pytest.approx(fit.params[1], rel=1e-7)
    assert found.at_day_0 == pytest.approx(fit.params[0], rel=1e-7)
    half = max(t_quantile(6) * fit.bse[1], 1.959964 * fit.bse[1] / math.sqrt(fit.scale))
    assert found.slope.high - found.slope.value == pytest.approx(half, rel=1e-6)
    assert found.dispersion == max(1.0, fit.scale)
    assert found.hatch(7) == pytest.approx(float(fit.predict([[1, 7]])[0]), rel=1e-7)


def test_quail_eggs_stored_at_4_degrees_lose_about_two_points_a_day():
    # acemap 288889942: 84.5, 79.5, 74.0, 69.0 % at 0, 3, 5, 7 days, 200 eggs each; straight line -2.2336
    # points a day
    data = rows("data/quail_storage_4c.csv")
    days = [float(row["storage_days"]) for row in data]
    hatched = [round(2 * float(row["hatchability_pct"])) for row in data]
    found = hatching.egg_age(days, hatched, [200] * 4)
    assert found.slope.value < 0
    assert found.dispersion == 1  # nearer to a line than chance: never narrower than as many eggs of their own
    assert (found.hatch(7) - found.hatch(0)) * 100 / 7 == pytest.approx(-2.2336, abs=0.1)


@pytest.mark.parametrize(
    ("days", "hatched", "eggs_set", "reason"),
    [
        ([1, 2, 3], [5, 5, 5], [10, 10, 10], Reason.TOO_FEW_GROUPS),
        ([3, 3, 3, 3], [5, 6, 5, 4], [10] * 4, Reason.NO_VARIATION),
        ([1, 2, 3, 4], [0] * 4, [10] * 4, Reason.NO_VARIATION),
        ([1, 2, 3, 4], [10] * 4, [10] * 4, Reason.NO_VARIATION),
        ([1, 2, 3, 4], [10, 10, 0, 0], [10] * 4, Reason.NOT_IDENTIFIED),
    ],
)
def test_ages_that_say_nothing(days, hatched, eggs_set, reason):
    found = hatching.egg_age(days, hatched, eggs_set)
    assert found.slope.missing.reason is reason
    assert found.hatch(3) is None


@pytest.mark.parametrize("days", [[-1, 2, 3, 4], [math.nan, 2, 3, 4]])
def test_impossible_days_are_refused(days):
    with pytest.raises(ValueError, match="Days stored"):
        hatching.egg_age(days, [5, 5, 5, 5], [10] * 4)


# The male at fault

LINE_READ = {"A1": 60, "A2": 55, "A3": 62, "A4": 58, "A5": 61, "A6": 40}
LINE_FERTILE = {"A1": 55, "A2": 50, "A3": 58, "A4": 52, "A5": 57, "A6": 20}


def test_the_cage_whose_eggs_are_clear_is_pointed_at():
    found = hatching.failing_male(LINE_FERTILE, LINE_READ, cage="A6")
    assert found.probability > 0.95
    assert found.fertility == 0.5
    assert found.others == pytest.approx(0.92, abs=0.01)
    for cage in ("A1", "A2", "A3", "A4", "A5"):
        assert hatching.failing_male(LINE_FERTILE, LINE_READ, cage=cage).probability < 0.02


def test_the_posterior_is_bayes_rule_by_quadrature():
    # Others all alike: rho held at 0.02, so a + b = 49; mu 0.9. Reference: SciPy's betabinom and numerical
    # integration
    from scipy.integrate import quad
    from scipy.stats import betabinom, binom

    read = dict.fromkeys("ABCDE", 100) | {"F": 20}
    fertile = dict.fromkeys("ABCDE", 90) | {"F": 14}
    sound = betabinom.pmf(14, 20, 0.9 * 49, 0.1 * 49)
    failing = quad(lambda p: binom.pmf(14, 20, p) / 0.72, 0, 0.72)[0]
    found = hatching.failing_male(fertile, read, cage="F", failing_before=0.1)
    assert found.probability == pytest.approx(0.1 * failing / (0.1 * failing + 0.9 * sound), abs=1e-7)


@pytest.mark.parametrize(
    ("read", "cage", "reason"),
    [
        ({**LINE_READ, "A6": 0}, "A6", Reason.NOT_CANDLED),
        ({**LINE_READ, "A6": 9}, "A6", Reason.TOO_FEW_RECORDS),
        ({"A1": 60, "A6": 40}, "A6", Reason.TOO_FEW_GROUPS),
    ],
)
def test_too_little_to_blame_a_male(read, cage, reason):
    found = hatching.failing_male({name: min(LINE_FERTILE[name], n) for name, n in read.items()}, read, cage=cage)
    assert isinstance(found, Missing)
    assert found.reason is reason


def test_others_that_were_all_fertile_can_be_compared_with():
    read = dict.fromkeys("ABCDEF", 50)
    fertile = dict.fromkeys("ABCDE", 50) | {"F": 25}
    assert hatching.failing_male(fertile, read, cage="F").probability > 0.9


@pytest.mark.slow
def test_the_probability_means_what_it_says():
    """One male in twenty fails: of the cages given about p, a share p has a failing male."""
    rng = np.random.default_rng(21)
    said, true = [], []
    names = [f"C{i}" for i in range(10)]
    for _ in range(500):
        share = rng.beta(0.85 * 30, 0.15 * 30, 10)
        fails = rng.random() < 0.05
        if fails:
            share[0] = rng.uniform(0, 0.8 * 0.85)
        read = rng.integers(15, 40, 10)
        fertile = rng.binomial(read, share)
        found = hatching.failing_male(
            dict(zip(names, fertile.tolist(), strict=True)), dict(zip(names, read.tolist(), strict=True)), cage="C0"
        )
        said.append(found.probability)
        true.append(fails)
    said, true = np.array(said), np.array(true)
    assert said.mean() == pytest.approx(true.mean(), abs=0.02)
    assert true[said > 0.8].mean() > 0.8
    assert true[said < 0.05].mean() < 0.03
    assert true[said > 0.5].sum() / true.sum() > 0.6  # most failing males are found with 15 to 40 eggs
