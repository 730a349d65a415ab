"""A day is the farm's calendar day that was meant at the tap: no clock and no change of clocks moves it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from barnbook.barn.models import Collection, Farm, Figure
from barnbook.barn.to_reckon import reckon_again
from barnbook.journal.models import Entry
from barnbook.work.reckon import reckon
from tests.conftest import Cast

pytestmark = pytest.mark.django_db

SPRING = date(2026, 3, 29)  # Vienna goes from 2 to 3 o'clock: 23 hours
AUTUMN = date(2026, 10, 25)  # and from 3 back to 2: 25 hours


def in_vienna(cast: Cast) -> Farm:
    Farm.objects.filter(pk=cast.owner.farm.pk).update(zone="Europe/Vienna")
    return Farm.objects.get(pk=cast.owner.farm.pk)


def week_around(cast: Cast, changes: date) -> dict[str, Any]:
    """Five hens counted each morning of the ten days up to three after that one; their lay rate of a week."""
    farm = in_vienna(cast)
    cage = cast.owner.cage(f"C{changes.month}")
    last = changes + timedelta(days=3)
    noon = datetime(last.year, last.month, last.day, 11, tzinfo=UTC)
    birds = {"brood": None, "from_cage": None, "hens": 5, "cocks": 1, "unsexed": 0}
    cast.owner.write("birds_placed", day=last - timedelta(days=12), now=noon, cage=cage, **birds)
    for back in range(9, -1, -1):
        cast.owner.count(cage, 4, day=last - timedelta(days=back), now=noon)
    reckon_again(Farm.objects.locked(farm.pk), {f"cage/{cage}"}, noon)
    reckon(now=lambda: noon)
    figure = Figure.objects.get(subject=f"cage/{cage}", name="lay_rate", span="7d")
    return {"value": figure.value, "low": figure.low, "high": figure.high, "n": figure.n}


def test_a_change_of_clocks_makes_no_hen_day_longer_or_shorter(cast: Cast) -> None:
    plain = week_around(cast, date(2026, 5, 10))
    assert plain["n"] == 35, "five hens on seven days"
    assert week_around(cast, SPRING) == plain
    assert week_around(cast, AUTUMN) == plain


@pytest.mark.parametrize(
    ("now", "today"),
    [
        (datetime(2026, 3, 28, 22, 59, tzinfo=UTC), date(2026, 3, 28)),  # 23:59, the evening before
        (datetime(2026, 3, 28, 23, 1, tzinfo=UTC), SPRING),
        (datetime(2026, 3, 29, 21, 59, tzinfo=UTC), SPRING),  # midnight comes an hour sooner
        (datetime(2026, 3, 29, 22, 1, tzinfo=UTC), date(2026, 3, 30)),
        (datetime(2026, 10, 25, 0, 30, tzinfo=UTC), AUTUMN),  # half past two, the first time
        (datetime(2026, 10, 25, 1, 30, tzinfo=UTC), AUTUMN),  # half past two, the second time
        (datetime(2026, 10, 25, 23, 1, tzinfo=UTC), date(2026, 10, 26)),
    ],
)
def test_whether_a_day_has_come_is_asked_of_the_farm_s_own_calendar(cast: Cast, now: datetime, today: date) -> None:
    """Tomorrow is let in (a phone may be in another zone), the day after is not."""
    in_vienna(cast)
    cage = cast.owner.cage()
    tomorrow = cast.owner.count(cage, 3, day=today + timedelta(days=1), now=now, round_="a")
    assert tomorrow.verdict == "written"
    later = cast.owner.count(cage, 3, day=today + timedelta(days=2), now=now, round_="b")
    assert (later.verdict, later.code) == ("aside", "day_in_future")


def test_two_counts_in_the_hour_that_comes_twice_keep_their_order(cast: Cast) -> None:
    """Order is (day, stamp, id), and stamp counts on through the change: the local times do not."""
    in_vienna(cast)
    cage = cast.owner.cage()
    first = int(datetime(2026, 10, 25, 0, 45, tzinfo=UTC).timestamp() * 1000)  # 2:45, before the clocks go back
    second = int(datetime(2026, 10, 25, 1, 15, tzinfo=UTC).timestamp() * 1000)  # 2:15, after
    body = {"hens": 0, "cocks": 0, "unsexed": 0}
    noon = datetime(2026, 10, 26, 12, tzinfo=UTC)
    late = cast.owner.entry("head_check", day=AUTUMN, stamp=second, cage=cage, **body | {"hens": 4})
    early = cast.owner.entry("head_check", day=AUTUMN, stamp=first, cage=cage, **body | {"hens": 6})
    cast.owner.send(late, early, now=noon)
    from barnbook.barn.models import Cage

    assert Cage.objects.get(pk=cage).hens == 4


def test_an_entry_found_on_a_phone_months_later_counts_once(cast: Cast) -> None:
    cage = cast.owner.cage()
    entry = cast.owner.entry("egg_count", day=date(2026, 7, 1), **cast.owner.count_body(cage, 5))
    assert cast.owner.send(entry)[0].verdict == "written"
    assert cast.owner.send(entry, now=datetime(2027, 5, 1, tzinfo=UTC))[0].verdict == "already"
    assert Collection.objects.get().eggs == 5
    assert Entry.objects.filter(kind="egg_count").count() == 1
