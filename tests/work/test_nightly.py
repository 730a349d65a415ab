"""Nights: three o'clock where the farm is."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from barnbook.barn.models import Farm, ToReckon
from barnbook.work.nightly import call_up, night_of
from tests.barn.factories import a_farm

pytestmark = pytest.mark.django_db


def test_three_in_the_farms_zone() -> None:
    # New York is at UTC-4 in July: 3 o'clock there is 7 o'clock UTC.
    farm = Farm(zone="America/New_York")
    assert night_of(farm, datetime(2026, 7, 15, 6, 59, tzinfo=UTC)) == date(2026, 7, 14)
    assert night_of(farm, datetime(2026, 7, 15, 7, 0, tzinfo=UTC)) == date(2026, 7, 15)


def test_the_night_the_clock_goes_forward() -> None:
    # Vienna, 29 March 2026: 2 o'clock does not exist, 3 o'clock is 1 o'clock UTC. Source: IANA tz database.
    farm = Farm(zone="Europe/Vienna")
    assert night_of(farm, datetime(2026, 3, 29, 0, 59, tzinfo=UTC)) == date(2026, 3, 28)
    assert night_of(farm, datetime(2026, 3, 29, 1, 0, tzinfo=UTC)) == date(2026, 3, 29)


def test_each_farm_once_a_night() -> None:
    here, there = a_farm(zone="America/New_York"), a_farm(zone="Asia/Tokyo")
    assert call_up(datetime(2026, 7, 15, 12, 0, tzinfo=UTC)) == 2  # the first of all
    ToReckon.objects.all().delete()
    assert call_up(datetime(2026, 7, 15, 13, 0, tzinfo=UTC)) == 0
    # 18:00 UTC is 3 o'clock of the 16th in Tokyo, 14 o'clock of the 15th in New York.
    assert call_up(datetime(2026, 7, 15, 18, 0, tzinfo=UTC)) == 1
    assert list(ToReckon.objects.values_list("farm", "subject")) == [(there.pk, "farm")]
    assert call_up(datetime(2026, 7, 16, 7, 0, tzinfo=UTC)) == 1
    assert {row.farm_id for row in ToReckon.objects.all()} == {here.pk, there.pk}


def test_nights_slept_through_are_made_good_once() -> None:
    farm = a_farm(zone="Europe/Vienna")
    call_up(datetime(2026, 7, 10, 12, 0, tzinfo=UTC))
    ToReckon.objects.all().delete()
    assert call_up(datetime(2026, 7, 15, 6, 0, tzinfo=UTC)) == 1
    assert ToReckon.objects.get().farm_id == farm.pk
    assert call_up(datetime(2026, 7, 15, 6, 5, tzinfo=UTC)) == 0


def test_a_night_done_under_a_wrong_clock_holds_up_no_other() -> None:
    a_farm(zone="Europe/Vienna")
    assert call_up(datetime(2051, 7, 10, 12, 0, tzinfo=UTC)) == 1
    ToReckon.objects.all().delete()
    assert call_up(datetime(2026, 7, 15, 6, 0, tzinfo=UTC)) == 1
    assert call_up(datetime(2026, 7, 15, 6, 5, tzinfo=UTC)) == 0
    assert ToReckon.objects.count() == 1
