"""Lay fell off: the recursion against NIST, false alarms and delays by simulation, beside a likelihood-ratio
CUSUM."""

import csv
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from barnbook.figures import lay_fell_off as fell
from barnbook.figures.estimate import Missing, Reason
from barnbook.figures.hen_days import CollectionInterval

FIXTURES = Path(__file__).parents[2] / "fixtures"
DAY = date(2026, 1, 1)


def rows(path):
    lines = [line for line in (FIXTURES / path).read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def daily(eggs, *, hens):
    return [
        CollectionInterval(DAY + timedelta(days=i), DAY + timedelta(days=i), int(n), hens) for i, n in enumerate(eggs)
    ]


def judge(eggs, *, hens, **more):
    return fell.lay_fell_off(daily(eggs, hens=hens), last_day=DAY + timedelta(days=len(eggs) - 1), **more)


# The recursion


def test_the_recursion_is_that_of_nist():
    # NIST e-Handbook 6.3.2.4: weight 0.3 from 50; series printed to 2 decimals, last value unrounded 51.9882.
    # Shifted down by 100 so that holding at 0 never binds; the shift enters as 100 (1 - 0.7^t).
    data = rows("data/nist_ewma.csv")
    x = np.array([float(row["x"]) for row in data])
    for t, row in enumerate(data, start=1):
        found = 50 + float(fell.one_sided_ewma(x[:t] - 150, weight=0.3)) + 100 * (1 - 0.7**t)
        assert found == pytest.approx(float(row["ewma_printed"]), abs=0.0051)
    assert found == pytest.approx(51.9882, abs=5e-5)


def test_the_score_is_held_at_zero():
    assert float(fell.one_sided_ewma(np.array([3.0, 2.0, -1.0]), weight=0.5)) == -0.5


def test_the_comparing_cusum_is_that_of_nist():
    # NIST e-Handbook 6.3.2.3: target 325, k 0.3175, h 4.1959; first signal at point 14
    data = rows("data/nist_cusum.csv")
    above, signals = 0.0, []
    for row in data:
        above = float(cusum_step(above, float(row["x"]) - 325 - 0.3175))
        assert above == pytest.approx(float(row["s_hi_printed"]), abs=0.0051)
        signals.append(above > 4.1959)
    assert signals.index(True) + 1 == 14


def test_a_days_residual_is_that_of_nists_p_chart():
    # NIST e-Handbook 6.3.3.2 (data and printed limits from memory): 30 samples of 50, mean 0.23133333, upper limit
    # 0.41023912 (printed 0.4102), samples 15 and 23 above it. Read as hens that did not lay: 30 days of 50 hens before
    # the watched span, in it 27 good days that leave S at 0, then the sample: S is lambda times its residual.
    missed = [
        12,
        15,
        8,
        10,
        4,
        7,
        16,
        9,
        14,
        10,
        5,
        6,
        17,
        12,
        22,
        8,
        10,
        5,
        13,
        11,
        20,
        18,
        24,
        15,
        9,
        12,
        7,
        13,
        9,
        6,
    ]
    before = [50 - n for n in missed]
    outside = []
    for sample, n in enumerate(missed, start=1):
        found = judge([*before, *[40] * 27, 50 - n], hens=50)
        assert found.expected == pytest.approx(1 - 0.23133333, abs=1e-8)
        residual = found.score / fell.ewma_weight(fell.MOST_HENS, fell.USUAL_DISPERSION)
        assert residual == pytest.approx(min(-3 * (n / 50 - 0.23133333) / (0.41023912 - 0.23133333), 0), abs=1e-6)
        outside += [sample] if residual < -3 else []
    assert outside == [15, 23]


# A cage's story


def test_a_steady_cage_is_left_alone():
    found = judge([4, 5, 4, 4, 5] * 24, hens=5)
    assert (found.fell, found.began, found.drop) == (False, None, None)
    assert found.expected == pytest.approx(22 / 25, abs=0.005)


def test_a_cage_that_stops_is_named_with_its_day_and_its_drop():
    eggs = [4, 5, 4, 4, 5] * 20 + [2, 2, 1, 2, 1, 2, 2]
    found = judge(eggs, hens=5, dispersion=1)
    assert found.fell
    assert found.score < -found.limit
    assert found.began == DAY + timedelta(days=100)
    # expected about 0.88 x 5 x 7 = 30.8, laid 12
    assert found.drop.value == pytest.approx(1 - 12 / (35 * found.expected))
    assert found.drop.value == pytest.approx(1 - 12 / 30.8, abs=0.005)
    assert 0 < found.drop.low < found.drop.value < found.drop.high < 1
    assert (found.drop.first_day, found.drop.last_day) == (found.began, DAY + timedelta(days=106))


def test_a_cage_that_lays_nothing_any_more_has_lost_all():
    found = judge([4, 5, 4, 4, 5] * 20 + [0] * 9, hens=5)
    assert found.fell
    assert (found.drop.value, found.drop.high) == (1, 1)


def test_the_watched_span_does_not_touch_the_baseline():
    before = [4, 5, 4, 4, 5] * 20
    assert judge(before + [0] * 20, hens=5).expected == judge(before + [5] * 20, hens=5).expected


def test_a_fall_with_age_that_was_foreseen_is_no_alarm():
    rng = np.random.default_rng(3)
    rate = 0.9 * 0.94 ** (np.arange(112) / 7)  # six in a hundred a week, steep
    eggs = rng.binomial(10, rate)
    assert judge(eggs, hens=10, dispersion=1).fell
    assert not judge(eggs, hens=10, dispersion=1, decline_a_week=0.06).fell


def test_days_without_a_round_are_no_zeros():
    cage = daily([4, 5, 4, 4, 5] * 20, hens=5)
    cage.append(CollectionInterval(DAY + timedelta(days=100), DAY + timedelta(days=105), 26, 30))
    found = fell.lay_fell_off(cage, last_day=DAY + timedelta(days=110))
    assert not found.fell


@pytest.mark.parametrize(
    ("eggs", "hens", "reason", "have"),
    [
        ([], 5, Reason.NO_RECORDS, 0),
        ([0] * 100, 0, Reason.NO_RECORDS, 0),
        ([4], 5, Reason.TOO_FEW_DAYS, 0),
        ([4] * 55, 5, Reason.TOO_FEW_DAYS, 27),
        ([1] * 100, 5, Reason.NOT_IN_LAY_YET, 0.2),
        ([6] * 100, 5, Reason.OUT_OF_RANGE, 1.2),
    ],
)
def test_too_little_to_watch_says_so(eggs, hens, reason, have):
    found = judge(eggs, hens=hens) if eggs else fell.lay_fell_off([], last_day=DAY)
    assert isinstance(found, Missing)
    assert (found.reason, found.have) == (reason, pytest.approx(have))


def test_nothing_watched_says_so():
    found = fell.lay_fell_off(daily([4] * 60, hens=5), last_day=DAY + timedelta(days=59 + 28))
    assert (found.reason, found.what) == (Reason.TOO_FEW_DAYS, "watched_days")


@pytest.mark.parametrize("more", [{"dispersion": 0}, {"dispersion": float("nan")}, {"decline_a_week": 0.5}])
def test_impossible_settings_are_refused(more):
    with pytest.raises(ValueError, match="not possible"):
        judge([4] * 100, hens=5, **more)


def test_a_cage_that_never_missed_is_not_startled_by_one_miss():
    assert not judge([5] * 111 + [4], hens=5).fell


def test_the_figure_and_its_simulation_judge_alike():
    eggs = fell.simulated_eggs(np.random.default_rng(9), 4, 140, hens=4, rate=0.8, dispersion=5)
    simulated = fell.nightly_scores(eggs, hens=4, dispersion=5, baseline_days=84)
    for cage in range(4):
        for night in (0, 13, 28):
            found = judge(eggs[cage, : 112 + night].tolist(), hens=4)
            assert found.score == pytest.approx(simulated[cage, night], abs=1e-12)


def test_simulated_hens_have_the_rate_and_dispersion_asked_for():
    eggs = fell.simulated_eggs(np.random.default_rng(10), 400, 600, hens=3, rate=0.8, dispersion=4)
    assert eggs.mean() / 3 == pytest.approx(0.8, abs=0.004)
    assert eggs.sum(axis=1).var() / (0.8 * 0.2 * 3 * 600) == pytest.approx(4, rel=0.2)


# False alarms and delays


def cusum_step(level, step):
    return np.maximum(0, level + step)


def cusum_scores(eggs, *, hens, baseline_days, dispersion):
    """Minus the CUSUM of log likelihood ratios for a fall of 30 %, judged each night over the same days."""
    days = eggs.shape[1]
    nights = np.arange(baseline_days + fell.WATCHED_DAYS, days + 1)
    total = np.concatenate((np.zeros((len(eggs), 1)), np.cumsum(eggs, axis=1)), axis=1)
    first = nights - fell.WATCHED_DAYS
    rate = (total[:, first] - total[:, first - baseline_days]) / (hens * baseline_days)
    rate = np.clip(rate, 0.5 / (hens * baseline_days), 1 - 0.5 / (hens * baseline_days))
    level = np.zeros_like(rate)
    for back in range(fell.WATCHED_DAYS, 0, -1):
        laid = eggs[:, nights - back]
        level = cusum_step(level, laid * np.log(0.7) + (hens - laid) * np.log((1 - 0.7 * rate) / (1 - rate)))
    return -level


def limit_at(scores, alarms):
    low, high = 0.0, float(-scores.min())
    for _ in range(25):
        middle = (low + high) / 2
        low, high = (middle, high) if fell.alarms_a_year(scores, middle) > alarms else (low, middle)
    return high


def nights_to_find(scores, limit):
    over = scores[:, 1:] < -limit  # the first column is the night before the fall
    return np.where(over.any(axis=1), over.argmax(axis=1) + 1, over.shape[1])


@pytest.mark.slow
@pytest.mark.parametrize("dispersion", [1.0, 5.0])
@pytest.mark.parametrize("hens", [1, 3, 5, 8])
def test_at_most_one_false_alarm_a_cage_year(hens, dispersion):
    for rate, weeks in ((0.85, 12), (0.92, 8), (0.6, 12), (0.83, 4)):
        rng = np.random.default_rng([hens, int(dispersion), weeks])
        limit = fell.limit_for(hens, rate=rate, dispersion=dispersion, baseline_days=7 * weeks)
        eggs = fell.simulated_eggs(rng, 250, 7 * weeks + 28 + 365, hens=hens, rate=rate, dispersion=dispersion)
        scores = fell.nightly_scores(eggs, hens=hens, dispersion=dispersion, baseline_days=7 * weeks)
        assert fell.alarms_a_year(scores, limit) <= 1.0, (rate, weeks)


def printed_comparison():
    """The rows of docs/figures/laying.md that stand beside the CUSUM's."""
    page = (FIXTURES.parent / "docs" / "figures" / "laying.md").read_text()
    lines = page.split("| hens | steady: ours |", 1)[1].split("\n\n", 1)[0].splitlines()[2:]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]


@pytest.mark.slow
@pytest.mark.parametrize("dispersion", [1.0, 2.5, 5.0])
def test_a_fall_of_30_percent_is_found_within_a_quarter_more_than_the_cusum(dispersion, capsys):
    """Rate 0.85, 84 baseline days, both at 0.75 false alarms a cage-year; delays capped at 60 nights."""
    table = []
    for hens in (1, 2, 3, 5, 8):
        rng = np.random.default_rng([30, hens])
        steady = fell.simulated_eggs(rng, 300, 112 + 730, hens=hens, rate=0.85, dispersion=dispersion)
        falling = fell.simulated_eggs(
            rng, 1200, 112 + 60, hens=hens, rate=0.85, dispersion=dispersion, falls_on=112, fall=0.3
        )
        delays = []
        for score in (fell.nightly_scores, cusum_scores):
            cage = {"hens": hens, "dispersion": dispersion, "baseline_days": 84}
            delays.append(nights_to_find(score(falling, **cage), limit_at(score(steady, **cage), 0.75)))
        ours, cusum = delays
        table.append((hens, np.median(ours), ours.mean(), cusum.mean()))
        assert ours.mean() <= 1.25 * cusum.mean(), (hens, ours.mean(), cusum.mean())
    with capsys.disabled():
        print(f"\n  dispersion {dispersion}: nights to find a 30 % fall (median, mean; CUSUM mean)")
        for hens, median, mean, cusum in table:
            print(f"    {hens} hens: {median:.0f}, {mean:.1f}; {cusum:.1f}  ratio {mean / cusum:.2f}")
    first = 1 + 3 * (1.0, 2.5, 5.0).index(dispersion)
    for (hens, _, mean, cusum), printed in zip(table, printed_comparison(), strict=True):
        cells = [f"{mean:.1f}", f"{cusum:.1f}", f"{mean / cusum:.2f}"]
        assert [printed[0], *printed[first : first + 3]] == [str(hens), *cells], "docs/figures/laying.md"
