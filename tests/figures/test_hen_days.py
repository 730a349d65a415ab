"""Hens by day and collection intervals, worked by hand."""

from datetime import date, timedelta

import pytest

from barnbook.figures import hen_days
from barnbook.figures.estimate import LeftOut
from barnbook.figures.hen_days import Collection, CollectionInterval, HeadEvent, HeadEventKind


def on(day_of_march):
    return date(2026, 3, 1) + timedelta(days=day_of_march - 1)


def moved_in(day_of_march, hens):
    return HeadEvent(on(day_of_march), HeadEventKind.MOVED_IN, hens)


def died(day_of_march, hens=1):
    return HeadEvent(on(day_of_march), HeadEventKind.DIED, hens)


def count(day_of_march, eggs, *, clash=False):
    return Collection(on(day_of_march), eggs, clash)


# Hens by day


def test_a_hen_that_died_counts_for_her_day():
    hens = hen_days.hens_by_day([moved_in(1, 3), died(4)], first_day=on(1), last_day=on(6))
    assert hens.hens.tolist() == [0, 3, 3, 3, 2, 2]  # by hand
    assert hens.hen_days == 13
    assert hens.contradictions == ()


def test_a_moved_hen_counts_once_between_two_cages():
    left = hen_days.hens_by_day(
        [moved_in(1, 2), HeadEvent(on(5), HeadEventKind.MOVED_OUT, 1)], first_day=on(2), last_day=on(9)
    )
    came = hen_days.hens_by_day([moved_in(5, 1)], first_day=on(2), last_day=on(9))
    assert (left.hens + came.hens).tolist() == [2] * 8


def test_a_head_check_resets_the_count_from_the_next_day():
    events = [moved_in(1, 5), HeadEvent(on(3), HeadEventKind.CHECKED, 4), died(4)]
    hens = hen_days.hens_by_day(events, first_day=on(2), last_day=on(6))
    assert hens.hens.tolist() == [5, 5, 4, 3, 3]


def test_hens_below_zero_are_reported_and_not_clipped():
    hens = hen_days.hens_by_day([moved_in(1, 1), died(3, 2)], first_day=on(2), last_day=on(5))
    assert hens.hens.tolist() == [1, 1, -1, -1]
    assert [(c.day, c.hens) for c in hens.contradictions] == [(on(3), -1)]


def test_a_head_check_before_the_span_settles_an_old_contradiction():
    events = [died(1), HeadEvent(on(4), HeadEventKind.CHECKED, 2)]
    assert hen_days.hens_by_day(events, first_day=on(5), last_day=on(6)).contradictions == ()
    assert len(hen_days.hens_by_day(events, first_day=on(4), last_day=on(6)).contradictions) == 1


def test_the_order_of_entries_of_different_days_does_not_matter():
    events = [died(4), moved_in(1, 3), moved_in(9, 2)]
    either = [
        hen_days.hens_by_day(given, first_day=on(1), last_day=on(12)).hens.tolist() for given in (events, events[::-1])
    ]
    assert either[0] == either[1]


def test_a_span_that_ends_before_it_begins_is_refused():
    with pytest.raises(ValueError, match="swap the two days"):
        hen_days.hens_by_day([], first_day=on(2), last_day=on(1))


# Intervals


def test_a_day_without_a_round_is_part_of_the_interval_and_no_zero():
    found = hen_days.collection_intervals([count(2, 9), count(3, 4), count(6, 11)], [moved_in(1, 4)])
    assert [(i.first_day, i.last_day, i.eggs, i.hen_days, i.days) for i in found] == [
        (on(3), on(3), 4, 4, 1),
        (on(4), on(6), 11, 12, 3),
    ]


def test_rounds_of_one_day_add_up():
    found = hen_days.collection_intervals([count(2, 0), count(3, 2), count(3, 3)], [moved_in(1, 6)])
    assert [(i.eggs, i.hen_days) for i in found] == [(5, 6)]


def test_a_clash_marks_its_interval_but_still_closes_it():
    found = hen_days.collection_intervals([count(2, 0), count(3, 2, clash=True), count(4, 3)], [moved_in(1, 4)])
    assert [(i.first_day, i.clash) for i in found] == [(on(3), True), (on(4), False)]


def test_a_cage_stocked_empty_opens_its_first_interval_the_day_after():
    first = hen_days.collection_intervals([count(4, 6)], [moved_in(1, 3)], stocked_empty_days=[on(1)])
    assert [(i.first_day, i.last_day, i.eggs, i.hen_days) for i in first] == [(on(2), on(4), 6, 9)]
    assert hen_days.collection_intervals([count(4, 6)], [moved_in(1, 3)]) == ()


# In a span, and by day


def test_the_span_takes_whole_settled_intervals_with_hens_and_names_the_rest():
    def interval(first, last, eggs, hens, *, clash=False):
        return CollectionInterval(on(first), on(last), eggs, hens * (last - first + 1), clash)

    every = [
        interval(1, 3, 5, 2),
        interval(4, 4, 2, 2),
        interval(5, 5, 9, 2, clash=True),
        interval(6, 6, 1, 0),
        interval(7, 7, 0, 0),
        interval(8, 9, 3, 2),
        interval(10, 12, 5, 2),
        interval(20, 20, 2, 2),
    ]
    used, left_out = hen_days.intervals_in_span(every, first_day=on(3), last_day=on(11))
    assert [i.first_day for i in used] == [on(4), on(8)]
    assert set(left_out) == {
        LeftOut("intervals", 2, "partly_outside_the_span"),
        LeftOut("intervals", 1, "two_counts_of_one_round"),
        LeftOut("intervals", 1, "no_hens"),
        LeftOut("eggs", 1, "no_hens"),
    }


def test_by_day_spreads_an_interval_and_adds_cages():
    one = [CollectionInterval(on(1), on(2), 3, 4), CollectionInterval(on(4), on(4), 9, 2, clash=True)]
    two = [CollectionInterval(on(2), on(3), 2, 2)]
    first, eggs, hens = hen_days.by_day([one, two])
    assert first == on(1)
    assert eggs.tolist() == [1.5, 2.5, 1]
    assert hens.tolist() == [2, 3, 1]
    assert hen_days.by_day([])[0] is None
