"""The line forecast: its arithmetic, what it refuses, and whether promises made on it are kept."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from barnbook.figures.estimate import Missing, Reason
from barnbook.figures.hen_days import CollectionInterval
from barnbook.figures.line_forecast import LineForecast, line_forecast
from barnbook.figures.promise import Futures, Use, futures, kept, most_by_day, promise, standing

DAY = date(2026, 3, 2)


def on(days: int) -> date:
    return DAY + timedelta(days=days)


def cage(*eggs: int, hens: int = 10, first: date = DAY) -> list[CollectionInterval]:
    """One count a day."""
    days = [first + timedelta(days=at) for at in range(len(eggs))]
    return [CollectionInterval(day, day, number, hens) for day, number in zip(days, eggs, strict=True)]


def found(cages: list[list[CollectionInterval]]) -> LineForecast:
    forecast = line_forecast(cages)
    assert isinstance(forecast, LineForecast)
    return forecast


def test_by_hand() -> None:
    """Four weeks of 10 hens at 56, 49, 56, 63 eggs: r = 224 / 280 = 0.8; phi = (0 + 49 + 0 + 49) / (0.16 * 70) / 3."""
    forecast = found([cage(*[8] * 7, *[7] * 7, *[8] * 7, *[9] * 7)])
    assert forecast.rate.value == pytest.approx(0.8)
    assert forecast.dispersion == pytest.approx(98 / 11.2 / 3)
    assert forecast.degrees_of_freedom == 3
    # half width on the logit scale: t(0.975, 3) = 3.18245 times sqrt(2.916667 / (0.16 * 280))
    half = 3.18245 * (2.916667 / 44.8) ** 0.5
    assert forecast.rate.low is not None
    assert np.log(0.8 / 0.2) - np.log(forecast.rate.low / (1 - forecast.rate.low)) == pytest.approx(half, rel=1e-5)


def test_cages_add_up_and_only_the_last_twelve_weeks_count() -> None:
    both = found([cage(*[8] * 28), cage(*[6] * 27, 5)])
    assert both.rate.value == pytest.approx((8 * 28 + 6 * 27 + 5) / 560)
    long_ago = found([cage(*[1] * 70, *[8] * 83, 7)])
    assert long_ago.rate.value == pytest.approx((8 * 83 + 7) / 840)
    assert long_ago.rate.first_day == on(70)


def test_what_is_missing_is_said() -> None:
    assert line_forecast([]) == Missing(Reason.TOO_FEW_DAYS, "weeks", have=0, need=4)
    assert line_forecast([cage(*[8] * 27)]) == Missing(Reason.TOO_FEW_DAYS, "weeks", have=3, need=4)
    none = line_forecast([cage(*[0] * 28)])
    assert isinstance(none, Missing)
    assert none.reason == Reason.NO_VARIATION
    many = line_forecast([cage(*[11] * 28)])
    assert isinstance(many, Missing)
    assert many.reason == Reason.OUT_OF_RANGE


def test_the_most_by_day_is_what_promise_would_accept() -> None:
    """Against `promise`, the slow way, with words given before on both sides."""
    coming = futures(
        found([cage(*[8] * 7, *[7] * 7, *[8] * 7, *[9] * 7)]).rate,
        hens=[10] * 20,
        first_day=DAY,
        dispersion=2.0,
        draws=500,
    )
    assert isinstance(coming, Futures)
    before = [Use("first", on(8), 20), Use("second", on(12), 25)]
    store = {on(-2): 6, on(-1): 7}
    days = [on(at) for at in (1, 5, 8, 10, 12, 14, 19)]
    most = most_by_day(coming, days=days, before=before, store=store)
    slow = [promise(Use("x", day, 1), drawn=coming, before=before, store=store).most_eggs for day in days]
    assert most == slow
    now = standing(coming, uses=before, store=store)
    shares = kept(coming, uses=before, store=store).mean(axis=0)
    assert [each.sure for each in now] == [float(share) for share in shares]
    assert [each.short for each in standing(coming, uses=[Use("all", on(8), 1_000)], store={})] != [0]


def simulated(rng: np.random.Generator, rate: float, *, hens: int, weeks: int, rho: float) -> np.ndarray:
    """(days,) eggs of hens whose weeks are better or worse than their rate: a beta-binomial of its own."""
    p = rng.beta(rate * (1 / rho - 1), (1 - rate) * (1 / rho - 1), size=weeks)
    return rng.binomial(hens, np.repeat(p, 7))


def test_orders_accepted_at_90_percent_are_kept_in_88_to_95_of_100_months() -> None:
    """As the house does it: twelve weeks of counts are read as a book holds them, what the table says is promised to
    the last egg, twice a month and after an order already given; and the month comes as it comes."""
    rng = np.random.default_rng(2027)
    outcome: list[bool] = []
    for _ in range(300):
        hens, rate, rho = int(rng.integers(15, 60)), float(rng.uniform(0.55, 0.9)), float(rng.uniform(0.001, 0.03))
        past = simulated(rng, rate, hens=hens, weeks=12, rho=rho)
        forecast = line_forecast([cage(*(int(eggs) for eggs in past), hens=hens, first=on(-84))])
        if isinstance(forecast, Missing):
            continue
        coming = futures(
            forecast.rate,
            hens=[hens] * 28,
            first_day=DAY,
            dispersion=forecast.dispersion,
            degrees_of_freedom=forecast.degrees_of_freedom,
            draws=1_000,
            seed=3,
        )
        assert isinstance(coming, Futures)
        uses = [Use("regular", on(14), hens)]
        for day in (10, 21):
            (most,) = most_by_day(coming, days=[on(day)], before=uses)
            if most:
                uses.append(Use(f"order {day}", on(day), most))
        truth = Futures(DAY, simulated(rng, rate, hens=hens, weeks=4, rho=rho)[None, :].astype(np.int64))
        met = kept(truth, uses=uses)[0]
        outcome += [bool(ok) for use, ok in zip(uses, met, strict=True) if use.name.startswith("order")]
    share = float(np.mean(outcome))
    print(f"\npromises by the table: {100 * share:.1f} % of {len(outcome)} orders kept over 300 simulated months")
    assert len(outcome) > 500
    assert 0.88 <= share <= 0.95
