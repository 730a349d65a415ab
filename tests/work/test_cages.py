"""The figures of a cage, worked by hand and against the figures package on the same numbers."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from barnbook.barn.reads import Count, HeadChange, stocked_empty_days
from barnbook.figures.estimate import Estimate, LeftOut, Reason
from barnbook.figures.laying import Collection, HeadEvent, HeadEventKind, lay_rate
from barnbook.work.cages import CageSeen, figures_of

STOCKED = date(2026, 7, 1)
TODAY = date(2026, 7, 15)


def july(day: int) -> date:
    return date(2026, 7, day)


def count(day: int, eggs: int, *, clash: bool = False) -> Count:
    """A morning's count, before the lay: its eggs are of the days up to the day before."""
    return Count("morning", july(day), july(day) - timedelta(days=1), eggs, clash)


# Five hens on 1 July into an empty cage; one found dead on the 10th; collected each morning from the 2nd to the 15th.
EGGS = {2: 0, 3: 5, 4: 4, 5: 4, 6: 3, 7: 5, 8: 4, 9: 4, 10: 5, 11: 4, 12: 3, 13: 3, 14: 4, 15: 3}
CHANGES = [HeadChange(july(1), "moved_in", 5, 6), HeadChange(july(10), "died", 1, 1)]
CAGE = CageSeen(STOCKED, [count(day, eggs) for day, eggs in EGGS.items()], CHANGES)


def named(cage: CageSeen, span: str, *, name: str = "lay_rate", today: date = TODAY) -> Estimate:
    found = figures_of(cage, rounds=["morning"], today=today)
    return next(each.estimate for each in found if (each.name, each.span) == (name, span))


def test_a_week_by_hand() -> None:
    # Mornings of the 9th to the 15th hold the lay of the 8th to the 14th: 4+5+4+3+3+4+3 = 26 eggs. Hens alive at the
    # start of those days: 5 on the 8th, 9th and 10th (the day she died counts), 4 on the other four: 31 hen-days.
    week = named(CAGE, "7d")
    assert (week.first_day, week.last_day) == (july(8), july(14))
    assert week.n == 31
    assert week.value == pytest.approx(26 / 31)


def test_since_placed_by_hand() -> None:
    # The morning of the 2nd finds what was laid on the day of stocking, by nobody's hen-day; then 13 days of lay:
    # 5+4+4+3+5+4+4+5+4+3+3+4+3 = 51 eggs of 5 x 9 + 4 x 4 = 61 hen-days.
    since = named(CAGE, "since_placed")
    assert (since.first_day, since.last_day) == (july(2), july(14))
    assert since.n == 61
    assert since.value == pytest.approx(51 / 61)


def test_the_figures_package_gives_the_same_interval() -> None:
    collections = [Collection(july(day) - timedelta(days=1), eggs) for day, eggs in EGGS.items()]
    events = [HeadEvent(july(1), HeadEventKind.MOVED_IN, 5), HeadEvent(july(10), HeadEventKind.DIED, 1)]
    own = lay_rate(collections, events, first_day=july(8), last_day=july(14), stocked_empty_days=[july(1)])
    assert named(CAGE, "7d") == own


def test_four_weeks_are_what_there_is() -> None:
    month = named(CAGE, "28d")
    assert (month.n, month.first_day) == (61, july(2))


def test_a_round_missed_a_week_ago_does_not_cost_the_week() -> None:
    # No round on the 8th: the interval that ends on the 8th's lay began on the 7th, so the week begins there.
    seen = CageSeen(STOCKED, [count(day, eggs) for day, eggs in EGGS.items() if day != 8], CHANGES)
    week = named(seen, "7d")
    assert (week.first_day, week.last_day) == (july(7), july(14))
    assert week.n == 36
    assert week.value == pytest.approx(26 / 36)


def test_a_longer_gap_is_left_out_and_said() -> None:
    # Nothing from the 4th to the 9th: the interval would reach five days before the week.
    seen = CageSeen(STOCKED, [count(day, eggs) for day, eggs in EGGS.items() if not 4 <= day <= 9], CHANGES)
    week = named(seen, "7d")
    assert week.missing is not None
    assert week.missing.reason is Reason.TOO_FEW_DAYS
    assert LeftOut("intervals", 1, "partly_outside_the_span") in week.left_out


def test_the_week_stays_until_nothing_of_it_is_left() -> None:
    assert named(CAGE, "7d", today=july(21)).value is not None  # the 14th is the first day of the last seven
    week = named(CAGE, "7d", today=july(22))
    assert week.missing is not None
    assert week.missing.reason is Reason.NO_RECORDS
    assert named(CAGE, "28d", today=july(22)).value is not None


def test_an_empty_cage_has_no_rate_since_placed() -> None:
    since = named(CageSeen(None, CAGE.counts, CHANGES), "since_placed")
    assert since.missing is not None
    assert since.missing.reason is Reason.TOO_FEW_BIRDS


def test_a_new_cage_says_what_is_missing() -> None:
    new = CageSeen(july(14), [], [HeadChange(july(14), "moved_in", 4, 5)])
    for span in ("7d", "28d", "since_placed"):
        missing = named(new, span).missing
        assert missing is not None
        assert (missing.reason, missing.have, missing.need) == (Reason.NO_RECORDS, 0, 3)
    usual = named(new, "morning", name="usual_count").missing
    assert usual is not None
    assert (usual.have, usual.need) == (0, 5)


def test_usual_count_is_of_the_birds_that_stand_there_now() -> None:
    before = [Count("morning", date(2026, 6, day), date(2026, 6, day - 1), 9, False) for day in range(2, 30)]
    usual = named(CageSeen(STOCKED, before + list(CAGE.counts), CHANGES), "morning", name="usual_count")
    # Of 0 3 3 3 3 4 4 4 4 4 4 5 5 5: places 7 and 8 are 4 and 4; type 7 quartiles at 4.25 and 10.75: 3 and 4.
    assert (usual.value, usual.low, usual.high, usual.n) == (4.0, 3.0, 4.0, 14)


def test_a_clash_is_left_out_of_what_is_usual() -> None:
    counts = [count(day, eggs, clash=day == 12) for day, eggs in EGGS.items()]
    usual = named(CageSeen(STOCKED, counts, CHANGES), "morning", name="usual_count")
    assert (usual.n, usual.left_out) == (13, (LeftOut("counts", 1, "two_counts_of_one_round"),))


def test_stocked_empty_days() -> None:
    changes = [
        HeadChange(july(1), "moved_in", 0, 2),  # two cocks
        HeadChange(july(2), "moved_in", 4, 4),
        HeadChange(july(3), "moved_out", 4, 6),
        HeadChange(july(4), "checked", 0, 0),
        HeadChange(july(5), "checked", 3, 3),
        HeadChange(july(6), "died", 3, 3),
        HeadChange(july(6), "moved_in", 1, 1),
    ]
    assert stocked_empty_days(changes) == [july(1), july(5), july(6)]
