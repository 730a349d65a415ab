"""Promises: the store egg by egg, the most that can be promised, and whether promises are kept."""

from __future__ import annotations

import time
from datetime import date, timedelta

import numpy as np
import pytest
from scipy.special import expit, logit
from scipy.stats import t as student_t

from barnbook.figures.estimate import Estimate, Missing, Reason
from barnbook.figures.promise import Futures, Promise, Use, futures, kept, promise
from tests.figures.pedigrees import checks

EXPECTED = checks("promise")
DAY = date(2026, 3, 2)


def on(days: int) -> date:
    return DAY + timedelta(days=days)


def fixed(*eggs: int) -> Futures:
    """One future: so many eggs each day."""
    return Futures(DAY, np.array([eggs], dtype=np.int64))


def sure_rate(rate: float) -> Estimate:
    return Estimate("eggs/hen-day", rate, rate, rate, n=100)


def drawn(rate: Estimate, hens: int, days: int, **how: object) -> Futures:
    found = futures(rate, hens=[hens] * days, first_day=DAY, **how)  # type: ignore[arg-type]
    assert isinstance(found, Futures)
    return found


def test_ten_hens_for_seven_days() -> None:
    coming = drawn(sure_rate(0.8), 10, 12, draws=20_000)
    answer = promise(Use("order", on(8), 52), drawn=coming)
    assert answer.accepted
    assert answer.most_eggs == EXPECTED["seven days of ten hens", "most eggs at 90 %"]
    assert answer.sure.value == pytest.approx(EXPECTED["seven days of ten hens", "chance of 52"], abs=0.015)
    more = promise(Use("order", on(8), 53), drawn=coming)
    assert not more.accepted
    assert more.sure.value == pytest.approx(EXPECTED["seven days of ten hens", "chance of 53"], abs=0.015)


def met(coming: Futures, uses: list[Use], **how: object) -> list[bool]:
    return [bool(x) for x in kept(coming, uses=uses, **how)[0]]  # type: ignore[arg-type]


def test_eggs_of_the_day_and_eggs_too_old_are_not_shipped() -> None:
    coming = fixed(5, 5, 5, 5, 5, 5)
    assert met(coming, [Use("a", on(2), 10)]) == [True]
    assert met(coming, [Use("a", on(2), 11)]) == [False]
    assert met(coming, [Use("a", on(2), 11, youngest_days=0)]) == [True]
    assert met(coming, [Use("a", on(5), 10, oldest_days=2)]) == [True]
    assert met(coming, [Use("a", on(5), 11, oldest_days=2)]) == [False]


def test_orders_before_it_count_whatever_the_order_they_are_given_in() -> None:
    coming = fixed(5, 5, 5, 5)
    first, second = Use("first", on(1), 5), Use("second", on(2), 5)
    assert met(coming, [second, first]) == [True, True]
    assert met(coming, [Use("second", on(2), 6), first]) == [False, True]


def test_oldest_eggs_go_first_so_that_fresh_ones_are_left() -> None:
    coming = fixed(5, 5, 5)
    uses = [Use("any age", on(2), 5), Use("fresh", on(2), 5, oldest_days=1)]
    assert met(coming, uses) == [True, True]


def test_eggs_set_aside_go_before_orders_of_the_day() -> None:
    coming = fixed(5, 5, 5)
    uses = [Use("order", on(1), 5), Use("to set", on(1), 5, sold=False)]
    assert met(coming, uses) == [False, True]


def test_the_store_counts_until_it_is_too_old() -> None:
    store = {on(-1): 4, on(-3): 2}
    assert met(fixed(0, 0, 0, 0, 0), [Use("a", on(1), 6)], store=store) == [True]
    assert met(fixed(0, 0, 0, 0, 0), [Use("a", on(4), 6, oldest_days=6)], store=store) == [False]


def test_eggs_of_a_withdrawal_span_are_not_sold_but_may_be_set() -> None:
    coming = fixed(5, 5, 5)
    withheld = {on(0)}
    assert met(coming, [Use("order", on(2), 6)], withheld=withheld) == [False]
    assert met(coming, [Use("order", on(2), 5)], withheld=withheld) == [True]
    assert met(coming, [Use("to set", on(2), 10, sold=False)], withheld=withheld) == [True]


def egg_by_egg(eggs: list[int], store: dict[date, int], uses: list[Use], withheld: set[date]) -> list[bool]:
    """The store again, one egg at a time."""
    shelf = sorted(
        [day for day, n in store.items() for _ in range(n)] + [on(d) for d, n in enumerate(eggs) for _ in range(n)]
    )
    result = dict.fromkeys(range(len(uses)), False)
    for at in sorted(range(len(uses)), key=lambda at: (uses[at].day, uses[at].sold)):
        use = uses[at]
        fit = [day for day in shelf if use.youngest_days <= (use.day - day).days <= use.oldest_days]
        fit = [day for day in fit if not (use.sold and day in withheld)][: use.eggs]
        for day in fit:
            shelf.remove(day)
        result[at] = len(fit) == use.eggs
    return [result[at] for at in range(len(uses))]


@pytest.mark.parametrize("seed", range(40))
def test_random_stores_egg_by_egg(seed: int) -> None:
    rng = np.random.default_rng(seed)
    eggs = rng.integers(0, 6, size=15).tolist()
    store = {on(-int(d)): int(rng.integers(0, 5)) for d in range(1, 6)}
    uses = []
    for number in range(6):
        young = int(rng.integers(0, 3))
        old = young + int(rng.integers(0, 8))
        uses.append(
            Use(
                f"u{number}",
                on(int(rng.integers(15))),
                int(rng.integers(0, 15)),
                young,
                old,
                sold=bool(rng.integers(2)),
            )
        )
    withheld = {on(int(d)) for d in rng.integers(15, size=2)}
    assert met(fixed(*eggs), uses, store=store, withheld=withheld) == egg_by_egg(eggs, store, uses, withheld)


def test_an_order_may_not_break_an_earlier_word() -> None:
    coming = drawn(sure_rate(0.8), 10, 20)
    promised = Use("promised", on(8), 50)
    answer = promise(Use("new", on(6), 20), drawn=coming, before=[promised])
    assert answer.sure.value == 1.0
    assert not answer.accepted
    assert answer.breaks == ("promised",)
    assert answer.most_eggs < 20
    small = promise(Use("new", on(6), answer.most_eggs), drawn=coming, before=[promised])
    assert small.accepted


def test_a_word_that_is_already_unsure_is_not_made_worse() -> None:
    coming = drawn(sure_rate(0.8), 10, 20)
    rash = Use("rash", on(8), 55)
    assert promise(Use("new", on(8), 5), drawn=coming, before=[rash]).breaks == ()
    assert promise(Use("new", on(5), 30), drawn=coming, before=[rash]).breaks == ("rash",)


def test_the_first_day_from_which_an_order_can_be_kept() -> None:
    coming = drawn(sure_rate(0.8), 10, 20)
    answer = promise(Use("order", on(3), 40), drawn=coming)
    assert not answer.accepted
    assert answer.first_day is not None
    assert promise(Use("order", answer.first_day, 40), drawn=coming).accepted
    assert not promise(Use("order", answer.first_day - timedelta(days=1), 40), drawn=coming).accepted
    assert promise(Use("order", on(3), 1_000), drawn=coming).first_day is None


def test_unsure_rates_and_unruly_weeks_promise_less() -> None:
    plain = drawn(sure_rate(0.8), 40, 15)
    unsure = drawn(Estimate("eggs/hen-day", 0.8, 0.65, 0.9), 40, 15)
    unruly = drawn(sure_rate(0.8), 40, 15, dispersion=12.0)
    most = [promise(Use("order", on(9), 1), drawn=coming).most_eggs for coming in (plain, unsure, unruly)]
    assert most[0] > most[1]
    assert most[0] > most[2]


def test_drawn_weeks_have_the_dispersion_asked() -> None:
    coming = drawn(sure_rate(0.75), 30, 70, dispersion=4.0, draws=6_000)
    # Weeks begin on a random weekday: only spans of 7 days within one week count, so compare by a shorter formula:
    # a 7-day span cut k : 7 - k by a week's end has dispersion 1 + (phi - 1) ((k^2 + (7 - k)^2) / 49).
    expected = np.mean([1 + 3 * (k**2 + (7 - k) ** 2) / 49 for k in range(7)])
    weekly = coming.eggs.reshape(6_000, 10, 7).sum(axis=2)
    found = weekly.var() / (210 * 0.75 * 0.25)
    assert weekly.mean() == pytest.approx(210 * 0.75, rel=0.01)
    assert found == pytest.approx(expected, rel=0.05)


def test_sound_share_and_rates_by_day() -> None:
    by_day = [sure_rate(0.9)] * 5 + [sure_rate(0.1)] * 5
    share = Estimate("share", 0.5, 0.5, 0.5)
    found = futures(by_day, hens=[20] * 10, first_day=DAY, sound_share=share)
    assert isinstance(found, Futures)
    means = found.eggs.mean(axis=0)
    assert means[:5] == pytest.approx(9, abs=0.2)
    assert means[5:] == pytest.approx(1, abs=0.1)


def test_no_hens_and_hens_that_never_lay_promise_nothing() -> None:
    nobody = drawn(sure_rate(0.8), 0, 10)
    answer = promise(Use("order", on(8), 1), drawn=nobody)
    assert (answer.accepted, answer.most_eggs, answer.first_day) == (False, 0, None)
    idle = drawn(sure_rate(0.0), 10, 10)
    assert promise(Use("order", on(8), 3), drawn=idle).accepted is False
    every_day = drawn(sure_rate(1.0), 10, 10)
    assert promise(Use("order", on(8), 69), drawn=every_day).accepted


def test_one_hen_on_one_day() -> None:
    one = drawn(sure_rate(0.95), 1, 1)
    assert promise(Use("order", DAY, 1, youngest_days=0), drawn=one).accepted
    assert not promise(Use("order", DAY, 1), drawn=one).accepted


def test_without_a_forecast_nothing_is_promised() -> None:
    unknown = Estimate("eggs/hen-day", missing=Missing(Reason.TOO_FEW_DAYS, "days", 10, 28))
    coming = futures(unknown, hens=[10] * 10, first_day=DAY)
    assert isinstance(coming, Missing)
    answer = promise(Use("order", on(8), 1), drawn=coming)
    assert isinstance(answer, Promise)
    assert not answer.accepted
    assert answer.sure.missing == Missing(Reason.TOO_FEW_DAYS, "days", 10, 28)


def test_what_cannot_be_is_refused_in_a_sentence() -> None:
    coming = fixed(5, 5)
    with pytest.raises(ValueError, match="outside the forecast"):
        promise(Use("order", on(9), 1), drawn=coming)
    with pytest.raises(ValueError, match="asks for -1 eggs"):
        kept(coming, uses=[Use("order", on(1), -1)])
    with pytest.raises(ValueError, match="of 5 to 3 days"):
        kept(coming, uses=[Use("order", on(1), 1, 5, 3)])
    with pytest.raises(ValueError, match="correct the store"):
        kept(coming, uses=[], store={on(0): 3})
    with pytest.raises(ValueError, match="correct the store"):
        kept(coming, uses=[], store={on(-1): -3})
    with pytest.raises(ValueError, match="never below 0 hens"):
        futures(sure_rate(0.8), hens=[5, -1], first_day=DAY)
    with pytest.raises(ValueError, match="2 lay rates for 3 days"):
        futures([sure_rate(0.8)] * 2, hens=[5] * 3, first_day=DAY)
    with pytest.raises(ValueError, match="outside 0 to 1"):
        futures(Estimate("eggs/hen-day", 1.2, 1.0, 1.3), hens=[5], first_day=DAY)
    with pytest.raises(ValueError, match="outside 0 to 1"):
        futures(Estimate("eggs/hen-day", float("nan"), 0.0, 1.0), hens=[5], first_day=DAY)
    with pytest.raises(ValueError, match="The dispersion is"):
        futures(sure_rate(0.8), hens=[5], first_day=DAY, dispersion=float("inf"))


def test_an_answer_comes_at_once() -> None:
    coming = drawn(Estimate("eggs/hen-day", 0.8, 0.75, 0.85), 60, 90, dispersion=3.0)
    before = [Use(f"order {i}", on(10 + 5 * i), 100) for i in range(12)]
    began = time.process_time()
    promise(Use("order", on(12), 200), drawn=coming, before=before)
    assert time.process_time() - began < 5


def simulated_weeks(rng: np.random.Generator, rate: float, *, hens: int, weeks: int, rho: float) -> np.ndarray:
    """(days,) eggs of a line whose weeks are better or worse than its rate, by a beta-binomial of its own."""
    p = rng.beta(rate * (1 / rho - 1), (1 - rate) * (1 / rho - 1), size=weeks)
    return rng.binomial(hens, np.repeat(p, 7))


def estimated(past: np.ndarray, hens: int) -> tuple[Estimate, float, float]:
    """Lay rate with its interval, dispersion and degrees of freedom from whole weeks, as the owner's book has them."""
    weekly = past.reshape(-1, 7).sum(axis=1)
    n, days = weekly.size, hens * 7
    rate = weekly.sum() / (n * days)
    dispersion = max(float(weekly.var(ddof=1) / (days * rate * (1 - rate))), 0.05)
    error = np.sqrt(dispersion / (n * days * rate * (1 - rate)))
    half = student_t.ppf(0.975, n - 1) * error
    low, high = expit(logit(rate) - half), expit(logit(rate) + half)
    return Estimate("eggs/hen-day", rate, low, high, n=n * days), dispersion, n - 1


def test_orders_accepted_at_90_percent_are_kept_in_88_to_95_of_100_months() -> None:
    """Each month: 12 past weeks of a line are read, orders are promised to the last egg, and the month comes as it
    comes.
    """
    rng = np.random.default_rng(2026)
    outcome = []
    for _ in range(400):
        hens, rate, rho = int(rng.integers(15, 60)), float(rng.uniform(0.55, 0.9)), float(rng.uniform(0.001, 0.03))
        past = simulated_weeks(rng, rate, hens=hens, weeks=12, rho=rho)
        known, dispersion, df = estimated(past, hens)
        coming = futures(
            known, hens=[hens] * 28, first_day=DAY, dispersion=dispersion, degrees_of_freedom=df, draws=1_000, seed=1
        )
        assert isinstance(coming, Futures)
        uses = [Use("to set", on(9), 3 * hens, youngest_days=0, sold=False), Use("regular", on(14), hens)]
        for day in (10, 21):
            asked = promise(Use(f"order {day}", on(day), hens), drawn=coming, before=uses)
            if asked.most_eggs:
                uses.append(Use(f"order {day}", on(day), asked.most_eggs))
        truth = Futures(DAY, simulated_weeks(rng, rate, hens=hens, weeks=4, rho=rho)[None, :].astype(np.int64))
        outcome += [ok for use, ok in zip(uses, met(truth, uses), strict=True) if use.name.startswith("order")]
    share = float(np.mean(outcome))
    print(f"\npromises at 90 %: {100 * share:.1f} % of {len(outcome)} orders kept over 400 simulated months")
    assert 0.88 <= share <= 0.95
