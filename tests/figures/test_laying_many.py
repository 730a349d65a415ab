"""Many cages at once come to the same answers as one by one."""

import math
from datetime import date, timedelta

import numpy as np
import pytest

from barnbook.figures import laying, laying_many
from barnbook.figures.estimate import Reason
from barnbook.figures.laying import Collection, HeadEvent, HeadEventKind

DAY = date(2026, 1, 1)


def on(day):
    return DAY + timedelta(days=int(day))


def barn(rng, *, cages=60, days=90):
    """Counts, events and hens of a barn with gaps, two rounds a day, clashes, deaths, odd numbers and empty
    cages."""
    counts, events, hens = [], [], []
    for cage in range(cages):
        of_cage = [HeadEvent(on(0), HeadEventKind.MOVED_IN, int(rng.integers(0, 7)))]
        of_cage += [HeadEvent(on(d), HeadEventKind.DIED, 1) for d in rng.choice(days, rng.integers(0, 4))]
        events.append(of_cage)
        alive = laying.hens_by_day(of_cage, first_day=on(0), last_day=on(days - 1)).hens
        hens.append(alive)
        rate = rng.choice([0.0, 0.6, 0.9, 1.3])
        for d in np.flatnonzero(rng.random(days) < rng.choice([0.02, 0.05, 0.5, 0.9])):
            for _ in range(rng.integers(1, 3)):
                laid = int(rng.poisson(max(alive[d], 0) * rate))
                counts.append((cage, int(d), laid, bool(rng.random() < 0.03)))
    return counts, events, np.array(hens)


@pytest.mark.parametrize("seed", range(8))
def test_many_cages_agree_with_each_alone(seed):
    rng = np.random.default_rng(seed)
    counts, events, hens = barn(rng)
    order = rng.permutation(len(counts))
    cage, day, eggs, clash = (np.array([counts[i][j] for i in order]) for j in range(4))
    stocked = [int(c) for c in rng.choice(60, 20, replace=False)]
    found = laying_many.lay_rates(
        cage,
        day,
        eggs,
        clash=clash,
        hens=hens,
        first_day=10,
        last_day=80,
        stocked_empty=(stocked, [0] * len(stocked)),
    )
    for i in range(60):
        alone = laying.lay_rate(
            [Collection(on(d), n, bad) for c, d, n, bad in counts if c == i],
            events[i],
            first_day=on(10),
            last_day=on(80),
            stocked_empty_days=[on(0)] if i in stocked else [],
        )
        assert found.reason[i] == (alone.missing.reason if alone.missing else None)
        if alone.missing is None:
            assert found.value[i] == pytest.approx(alone.value, rel=1e-12)
            assert found.low[i] == pytest.approx(alone.low, rel=1e-10)
            assert found.high[i] == pytest.approx(alone.high, rel=1e-10)
            assert found.hen_days[i] == alone.n
        else:
            assert math.isnan(found.value[i])


def test_the_barns_above_hold_every_kind_of_answer():
    reasons = set()
    for seed in range(8):
        counts, _, hens = barn(np.random.default_rng(seed))
        cage, day, eggs, clash = (np.array(column) for column in zip(*counts, strict=True))
        found = laying_many.lay_rates(cage, day, eggs, clash=clash, hens=hens, first_day=10, last_day=80)
        reasons |= set(found.reason)
    assert reasons == {
        None,
        Reason.NO_RECORDS,
        Reason.TOO_FEW_DAYS,
        Reason.TOO_FEW_RECORDS,
        Reason.OUT_OF_RANGE,
        Reason.CONTRADICTION,
    }


def test_a_barn_without_counts_has_no_rates():
    found = laying_many.lay_rates([], [], [], hens=np.ones((3, 20), dtype=int), first_day=0, last_day=19)
    assert list(found.reason) == [Reason.NO_RECORDS] * 3


@pytest.mark.parametrize(
    ("cage", "day", "eggs", "sentence"),
    [
        ([0, 0], [1], [1], "one of each"),
        ([3], [1], [1], "does not have"),
        ([0], [20], [1], "does not have"),
        ([0], [1], [-1], "0 or more"),
        ([0], [1], [math.nan], "0 or more"),
    ],
)
def test_impossible_counts_are_refused(cage, day, eggs, sentence):
    with pytest.raises(ValueError, match=sentence):
        laying_many.lay_rates(cage, day, eggs, hens=np.ones((3, 20), dtype=int), first_day=0, last_day=19)
