"""Lay rate: worked by hand, published cases, adversarial entries, simulated coverage."""

import csv
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from barnbook.figures import laying
from barnbook.figures.estimate import LeftOut, Reason
from barnbook.figures.laying import Collection, HeadEvent, HeadEventKind

FIXTURES = Path(__file__).parents[2] / "fixtures"
DAY = date(2026, 3, 1)


def rows(path):
    lines = [line for line in (FIXTURES / path).read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def on(day_of_march):
    return date(2026, 3, 1) + timedelta(days=day_of_march - 1)


def moved_in(day_of_march, hens):
    return HeadEvent(on(day_of_march), HeadEventKind.MOVED_IN, hens)


def died(day_of_march, hens=1):
    return HeadEvent(on(day_of_march), HeadEventKind.DIED, hens)


def count(day_of_march, eggs, *, clash=False):
    return Collection(on(day_of_march), eggs, clash)


def rate(collections, events, first=1, last=31, **more):
    return laying.lay_rate(collections, events, first_day=on(first), last_day=on(last), **more)


# The rate


def test_the_lay_rate_by_hand():
    # 4 hens, one died on the 6th (counts for it): hen-days 4*5 + 3*4 = 32 from the 2nd to the 10th.
    counts = [count(1, 3), count(2, 4), count(3, 3), count(6, 10), count(7, 3), count(10, 7)]
    found = rate(counts, [moved_in(1, 4), died(6)], first=2, last=12)
    assert found.n == 32
    assert found.value == pytest.approx(27 / 32)
    assert (found.first_day, found.last_day) == (on(2), on(10))
    assert found.left_out == (LeftOut("days", 2, "after_the_last_count"),)
    assert found.notes == ("what_happened", "day_of_death_counts")
    assert 0 < found.low < found.value < found.high <= 1


@pytest.mark.parametrize("row", rows("checks/laying.csv"), ids=lambda row: row["case"])
def test_published_hen_day_rates(row):
    # Sources: each row's own; the hens and eggs are spread over three collections of the span
    days, hens, eggs = int(row["days"]), int(row["hens"]), int(row["eggs"])
    thirds = [eggs // 3, eggs // 3, eggs - 2 * (eggs // 3)]
    ends = [days // 3, 2 * days // 3, days]
    counts = [Collection(DAY + timedelta(days=end), n) for end, n in zip(ends, thirds, strict=True)]
    events = [HeadEvent(DAY, HeadEventKind.MOVED_IN, hens)]
    found = laying.lay_rate(
        counts, events, first_day=DAY, last_day=DAY + timedelta(days=days), stocked_empty_days=[DAY]
    )
    assert found.n == hens * days
    assert 100 * found.value == pytest.approx(float(row["hen_day_percent"]), abs=float(row["tolerance"]))


def test_zuidhofs_hen_day_by_day():
    # agridat zuidhof.broiler (header of the file): first egg day 173, last record 224, 50 eggs in 52 days:
    # 96.1538 %
    data = rows("data/zuidhof_hen.csv")
    laid = {int(row["age"]) for row in data if row["eggwt"]}
    hatch = date(2000, 1, 1)
    counts = [Collection(hatch + timedelta(days=age), int(age in laid)) for age in range(172, 225)]
    events = [HeadEvent(hatch, HeadEventKind.MOVED_IN, 1)]
    found = laying.lay_rate(counts, events, first_day=hatch + timedelta(days=173), last_day=hatch + timedelta(days=224))
    assert (found.n, 100 * found.value) == (52, pytest.approx(96.1538, abs=1e-4))


def test_hen_housed_keeps_the_loss_in_sight():
    # May case of "Calculating Agriculture" at a tenth of a thousandth: 10 hens, one dies after 10 of 30 days.
    counts = [count(1, 0), *(count(1 + d, 8) for d in range(1, 31))]
    events = [moved_in(1, 10), died(11)]
    day = rate(counts, events, first=2, last=31)
    housed = laying.hen_housed_eggs(counts, events, first_day=on(2), last_day=on(31))
    assert day.value == pytest.approx(240 / 280)  # 10 x 10 + 9 x 20 hen-days, by hand
    assert housed.value == pytest.approx(24.0)  # 240 eggs of 10 hens housed
    assert housed.notes == ()
    assert laying.hen_housed_eggs(counts, [*events, moved_in(20, 1)], first_day=on(2), last_day=on(31)).notes == (
        "hens_came_later",
    )


def daily(eggs, *, start=1):
    return [count(start, 0)] + [count(start + 1 + i, n) for i, n in enumerate(eggs)]


def test_only_whole_intervals_inside_the_span_are_used():
    counts = [*daily([3] * 10), count(20, 27)]
    found = rate(counts, [moved_in(1, 3)], first=3, last=15)
    assert (found.first_day, found.last_day, found.n) == (on(3), on(11), 27)
    assert LeftOut("intervals", 1, "partly_outside_the_span") in found.left_out


def test_a_clash_is_left_out_and_said_so():
    counts = [*daily([3] * 9), count(11, 99, clash=True), count(12, 3)]
    found = rate(counts, [moved_in(1, 3)])
    assert (found.n, found.value) == (30, 1.0)
    assert LeftOut("intervals", 1, "two_counts_of_one_round") in found.left_out


def test_eggs_found_where_no_hen_stood_are_left_out_and_said_so():
    events = [moved_in(1, 3), HeadEvent(on(11), HeadEventKind.MOVED_OUT, 3)]
    found = rate([*daily([2] * 10), count(12, 1), count(13, 0)], events)
    assert found.n == 30
    assert LeftOut("eggs", 1, "no_hens") in found.left_out
    assert LeftOut("intervals", 1, "no_hens") in found.left_out


def test_the_first_count_only_anchors():
    assert LeftOut("counts", 1, "only_anchors") in rate(daily([2] * 9), [moved_in(1, 3)]).left_out


@pytest.mark.parametrize(
    ("collections", "events", "reason", "have", "need"),
    [
        ([], [], Reason.NO_RECORDS, 0, 3),
        ([count(3, 4)], [moved_in(1, 4)], Reason.NO_RECORDS, 0, 3),  # one day
        (daily([0] * 20), [], Reason.NO_RECORDS, 0, 3),  # zero hens
        (daily([3, 2, 3]), [moved_in(1, 3)], Reason.TOO_FEW_DAYS, 3, 7),
        ([count(1, 0), count(8, 20), count(15, 19)], [moved_in(1, 3)], Reason.TOO_FEW_RECORDS, 2, 3),
        (daily([5] * 10), [moved_in(1, 4)], Reason.OUT_OF_RANGE, 1.25, 1),
        (daily([2] * 10), [moved_in(1, 4), died(5, 6)], Reason.CONTRADICTION, -2, 0),
    ],
)
def test_a_rate_that_may_not_be_shown_says_what_is_missing(collections, events, reason, have, need):
    found = rate(collections, events)
    assert not found.shown
    assert (found.value, found.low, found.high) == (None, None, None)
    assert (found.missing.reason, found.missing.have, found.missing.need) == (reason, have, need)


def test_a_contradiction_names_its_day_and_a_rate_above_one_its_number():
    assert rate(daily([2] * 10), [moved_in(1, 4), died(5, 6)]).missing.detail == "-2 hens on 2026-03-05"
    assert rate(daily([5] * 10), [moved_in(1, 4)]).missing.detail == "1.250 eggs/hen-day"


def test_all_zero_eggs_have_an_upper_limit_all_the_same():
    found = rate(daily([0] * 20), [moved_in(1, 5)])
    # -ln(0.025) / 100 hen-days, the exact Poisson limit
    assert (found.value, found.low, found.high) == (0, 0, pytest.approx(0.0368888, abs=1e-6))


def test_every_hen_laying_every_day_stays_at_or_under_one():
    found = rate(daily([4] * 20), [moved_in(1, 4)])
    assert (found.value, found.high) == (1, 1)
    assert found.low < 1


@pytest.mark.parametrize("eggs", [-1, 1.5, float("nan"), float("inf")])
def test_a_count_that_is_no_count_is_refused(eggs):
    with pytest.raises(ValueError, match="give a whole number"):
        count(1, eggs)
    with pytest.raises(ValueError, match="give a whole number"):
        moved_in(1, eggs)


def test_limits_of_what_happened_cover_a_steady_rate():
    # 5 hens, collections of 1 to 3 days, days independent; truth 0.8. Coverage stated for a rate that stays
    # steady.
    rng = np.random.default_rng(8)
    truth, covered, runs = 0.8, 0, 1500
    for _ in range(runs):
        lengths = rng.integers(1, 4, 25)
        ends = 1 + np.cumsum(lengths)
        eggs = rng.binomial(5 * lengths, truth)
        counts = [count(1, 0), *(count(int(e), int(n)) for e, n in zip(ends, eggs, strict=True))]
        found = rate(counts, [moved_in(1, 5)], last=200)
        covered += found.low <= truth <= found.high
    assert 0.93 <= covered / runs <= 0.97
