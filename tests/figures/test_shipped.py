"""Shipped eggs: customers as groups, who told, what broke."""

from __future__ import annotations

import numpy as np
import pytest

from barnbook.figures import hatching, shipped
from barnbook.figures.clustered_share import clustered_share
from barnbook.figures.estimate import Reason
from barnbook.figures.shipped import Parcel


def test_seventy_one_of_a_hundred_shipped_eggs():
    # "about 71 of 100 shipped eggs hatch": common practice, no source; it tests the arithmetic.
    found = shipped.hatch_of_sent([Parcel(100, 4, 96, 71, "a")])
    assert found.share.value == 0.71
    assert shipped.hatch_of_set([Parcel(100, 4, 96, 71, "a")]).share.value == 71 / 96


def test_parcels_of_one_customer_are_one_group():
    parcels = [Parcel(50, 1, 49, 40, "a"), Parcel(50, 0, 50, 41, "a"), Parcel(50, 0, 50, 20, "b")]
    found = shipped.hatch_of_sent(parcels)
    by_hand = clustered_share([81, 20], [100, 50])
    assert (found.groups, found.share.value) == (2, by_hand.value)
    assert (found.share.low, found.share.high) == (by_hand.low, by_hand.high)
    # Nobody knows whose they are: each is a group of its own.
    unknown = [Parcel(p.sent, p.broken, p.eggs_set, p.hatched) for p in parcels]
    assert shipped.hatch_of_sent(unknown).groups == 3


def test_limits_over_customers_cover_where_limits_over_parcels_would_not():
    """Simulated here: 8 customers, 4 parcels each of 40 eggs, their incubators as different as beta(10, 4), seeded."""
    rng = np.random.default_rng(20260715)
    covered = {"customers": 0, "parcels": 0}
    runs = 400
    for _ in range(runs):
        parcels = []
        for customer in range(8):
            share = rng.beta(10, 4)
            parcels += [Parcel(40, 0, 40, int(rng.binomial(40, share)), f"c{customer}") for _ in range(4)]
        ways = {"customers": parcels, "parcels": [Parcel(40, 0, 40, p.hatched) for p in parcels]}
        for name, way in ways.items():
            share_ = shipped.hatch_of_sent(way).share
            covered[name] += share_.low <= 10 / 14 <= share_.high
    assert 0.91 <= covered["customers"] / runs <= 0.98
    assert covered["parcels"] / runs < 0.85


def test_silent_parcels_are_counted_and_not_taken_for_failed_hatches():
    found = shipped.hatch_of_sent([Parcel(100, 4, 96, 71, "a"), Parcel(100, customer="b"), Parcel(50, 3, 47)])
    assert found.share.value == 0.71
    assert [(left.what, left.count, left.why) for left in found.share.left_out] == [("shipments", 2, "not_reported")]
    assert shipped.MAY_DIFFER in found.share.notes


def test_how_many_told():
    found = shipped.reported([Parcel(100, 4, 96, 71), Parcel(100), Parcel(50, 3, 47), Parcel(50)])
    assert (found.value, found.n, found.low, found.high) == (0.25, 4, None, None)
    assert shipped.reported([]).missing.reason is Reason.NO_RECORDS


def test_broken_over_parcels():
    parcels = [Parcel(48, 2), Parcel(48, 0), Parcel(48, 7), Parcel(48)]
    found = shipped.broken_in_transit(parcels)
    by_hand = clustered_share([2, 0, 7], [48, 48, 48])
    assert (found.share.value, found.share.low, found.share.high) == (9 / 144, by_hand.low, by_hand.high)
    assert (found.groups, found.share.left_out[0].count) == (3, 1)
    assert shipped.broken_in_transit([Parcel(48)]).share.missing.reason is Reason.NO_RECORDS
    assert shipped.broken_in_transit([Parcel(4, 1)]).share.missing.reason is Reason.TOO_FEW_RECORDS


def test_older_eggs_hatch_less_as_the_house_would_find_it():
    parcels = [Parcel(50, 0, 50, hatched) for hatched in (42, 40, 33, 30, 24)] + [Parcel(50)]
    days = [1.0, 2.0, 4.0, 5.0, 7.0, 3.0]
    found = shipped.hatch_by_egg_age(parcels, days)
    by_hand = hatching.egg_age(days[:5], [42, 40, 33, 30, 24], [50] * 5)
    assert found.slope.value == by_hand.slope.value
    assert found.slope.value < 0
    with pytest.raises(ValueError, match="one of each"):
        shipped.hatch_by_egg_age(parcels, days[:5])


@pytest.mark.parametrize("bad", [(10, 3, 8, 5), (10, -1, 5, 5), (10, 0, 5, 6), (0, 0, 0, 0), (10, 0.5, 5, 5)])
def test_what_cannot_be_is_refused(bad):
    with pytest.raises(ValueError, match=r"ask the customer|does not count eggs"):
        Parcel(*bad)
