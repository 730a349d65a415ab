"""Laying at the house: every figure on the page equals the figures package on the same counts."""

from __future__ import annotations

import uuid
from datetime import date, timedelta

import pytest

from barnbook.barn.reads import Count, HeadChange
from barnbook.figures.hen_days import intervals_in_span
from barnbook.figures.lay_fell_off import FellOff, lay_fell_off
from barnbook.figures.lay_long_run import LineVariance, line_lay_rate, line_variance
from barnbook.figures.laying import lay_rate
from barnbook.work.cages import CageSeen
from barnbook.work.cohorts import HensIn, Stood, stays_of_hens
from barnbook.work.laying_page import BroodOfLine, CageOfLine, LayingSeen, counted, laying_page

HATCHED = date(2026, 1, 1)
STOCKED = HATCHED + timedelta(days=42)
TODAY = STOCKED + timedelta(days=160)
BROOD = uuid.UUID(int=7)
HENS = 5


def a_cage(number: int, *, falls_on: date | None = None) -> CageOfLine:
    """Five hens from their sixth week on: none lays for a week, then all but one or two a day."""
    counts = []
    for at in range(1, (TODAY - STOCKED).days + 1):
        day = STOCKED + timedelta(days=at)
        laid = 0 if at <= 8 else HENS - (at * 7 + number * 3) % 3
        if falls_on is not None and day > falls_on:
            laid = max(laid - 3, 0)
        counts.append(Count("morning", day, day - timedelta(days=1), laid, False))
    id_ = uuid.UUID(int=100 + number)
    seen = CageSeen(STOCKED, counts, [HeadChange(STOCKED, "moved_in", HENS, HENS)])
    return CageOfLine(id_, f"A{number}", HENS, seen, [Stood(id_, BROOD, STOCKED, None)])


CAGES = [a_cage(1), a_cage(2), a_cage(3, falls_on=TODAY - timedelta(days=12)), a_cage(4), a_cage(5)]
SEEN = LayingSeen(
    cages=CAGES,
    broods={BROOD: BroodOfLine("26-01", HATCHED)},
    laying_life_weeks=100,
    band_g=(15.0, 16.5),
    weighed=[],
)
REACHED = TODAY - timedelta(days=1)  # a morning's round holds the lay of the days before it
PAGE = laying_page(SEEN, today=TODAY)


def own_variance() -> LineVariance:
    first = REACHED - timedelta(days=111)
    found = line_variance([counted(each.seen).between(first, REACHED) for each in CAGES])
    assert isinstance(found, LineVariance)
    return found


def test_each_cage_has_the_figures_packages_rate_with_the_lines_variance() -> None:
    assert PAGE["reached"] == REACHED.isoformat()
    for cage in CAGES:
        row = next(each for each in PAGE["cages"] if each["code"] == cage.code)
        counts = counted(cage.seen)
        own = lay_rate(
            counts.collections,
            counts.changes,
            first_day=REACHED - timedelta(days=27),
            last_day=REACHED,
            stocked_empty_days=counts.stocked,
            pooled_variance=own_variance(),
        )
        assert own.value is not None
        for name in ("value", "low", "high"):
            assert row["rate"][name] == pytest.approx(getattr(own, name), rel=1e-5)
        assert (row["rate"]["n"], row["rate"]["first_day"]) == (140, (REACHED - timedelta(days=27)).isoformat())


def test_the_cage_that_fell_stands_first_with_since_when_and_by_how_much() -> None:
    worst = PAGE["cages"][0]
    assert worst["code"] == "A3"
    counts = counted(CAGES[2].seen)
    own = lay_fell_off(
        intervals_in_span(counts.intervals, first_day=REACHED - timedelta(days=111), last_day=REACHED)[0],
        last_day=REACHED,
        dispersion=own_variance().dispersion(28),
        decline_a_week=0.0,
    )
    assert isinstance(own, FellOff)
    assert own.drop is not None
    assert own.began is not None
    assert worst["fell"]["first_day"] == own.began.isoformat()
    assert abs((own.began - (TODAY - timedelta(days=12))).days) <= 1
    assert worst["fell"]["value"] == pytest.approx(own.drop.value, abs=0.05)  # the page knows the curve's decline too
    assert [each["code"] for each in PAGE["cages"] if each["fell"]] == ["A3"]


def test_the_lines_own_rate_is_over_its_cages() -> None:
    first = REACHED - timedelta(days=27)
    own = line_lay_rate([[i for i in counted(each.seen).intervals if i.first_day >= first] for each in CAGES])
    shown = next(each for each in PAGE["figures"] if each["name"] == "lay_rate")
    assert (shown["value"], shown["low"]) == (pytest.approx(own.value, rel=1e-5), pytest.approx(own.low, rel=1e-5))


def test_a_cohort_seen_coming_into_lay_has_its_laying_years() -> None:
    [cohort] = PAGE["cohorts"]
    assert (cohort["code"], cohort["cages"]) == ("26-01", ["A1", "A2", "A3", "A4", "A5"])
    assert cohort["last_day"] == (HATCHED + timedelta(weeks=100)).isoformat()
    # By hand: from the ninth day all but one or two of five lay, so the first 7 days at half begin within a week of it.
    assert 4 <= (date.fromisoformat(cohort["start"]) - STOCKED).days <= 12
    first = cohort["years"][0]
    assert first["year"] == 1
    assert first["observed"]["value"] > 100
    assert cohort["weeks"][0][0] == 7  # placed on day 42, the end of the sixth week


def test_without_counts_there_is_no_number_anywhere() -> None:
    bare = [CageOfLine(c.id, c.code, c.hens, CageSeen(STOCKED, [], c.seen.changes), c.stays) for c in CAGES]
    page = laying_page(LayingSeen(bare, SEEN.broods, None, None, []), today=TODAY)
    assert page["reached"] is None
    assert page["cages"] == []
    assert all(each["value"] is None for each in page["figures"])


def test_a_stay_ends_when_the_last_hen_goes_and_counts_for_who_brought_most() -> None:
    cage, other = uuid.UUID(int=1), uuid.UUID(int=8)
    changes = [
        HensIn(date(2026, 1, 1), "moved_in", 3, BROOD),
        HensIn(date(2026, 1, 9), "moved_in", 1, other),
        HensIn(date(2026, 2, 1), "died", 1, None),
        HensIn(date(2026, 3, 1), "checked", 0, None),
        HensIn(date(2026, 3, 1), "moved_in", 4, other),
    ]
    assert stays_of_hens(cage, changes) == [
        Stood(cage, BROOD, date(2026, 1, 1), date(2026, 3, 1)),
        Stood(cage, other, date(2026, 3, 1), None),
    ]


def test_counts_of_long_ago_give_the_line_its_rate_with_its_own_span_and_judge_no_cage() -> None:
    later = TODAY + timedelta(days=90)
    page = laying_page(SEEN, today=later)
    then = next(each for each in PAGE["figures"] if each["name"] == "lay_rate")
    now = next(each for each in page["figures"] if each["name"] == "lay_rate")
    assert now == then
    assert now["last_day"] == REACHED.isoformat()
    assert page["cages"] == []


def test_hens_that_left_since_they_were_counted_still_count_for_the_line() -> None:
    gone = TODAY + timedelta(days=3)
    left = [CageOfLine(c.id, c.code, 0, c.seen, [Stood(c.id, BROOD, STOCKED, gone)]) for c in CAGES]
    page = laying_page(LayingSeen(left, SEEN.broods, 100, None, []), today=TODAY + timedelta(days=60))
    then = next(each for each in PAGE["figures"] if each["name"] == "lay_rate")
    assert next(each for each in page["figures"] if each["name"] == "lay_rate") == then
