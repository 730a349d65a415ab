"""Bad data at every door: what the keeper's book may hold by mistake, put to each public figure in turn.

Each has a defined, documented answer: a number, a `Missing` with its reason, or one sentence of our own (ValueError).
Never a NaN that looks like a figure, never a warning, never an error from inside NumPy.
"""

from __future__ import annotations

import math
import traceback
import warnings
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import numpy as np
import pytest

from barnbook.figures import (
    breeding_values,
    clustered_share,
    cost,
    egg_weight,
    eggs_to_set,
    growth,
    hatching,
    hen_days,
    heritability,
    inbreeding,
    kinship,
    lay_curve,
    lay_fell_off,
    lay_long_run,
    laying,
    laying_many,
    laying_year,
    mating,
    off_type_weight,
    pedigree,
    promise,
    recessive,
    selection,
    sexing,
    true_to_type,
    wait_or_process,
)
from barnbook.figures.estimate import Estimate, Missing, Reason
from tests.figures.walk import (
    DAY,
    NOT_NUMBERS,
    ODD_NUMBERS,
    numbers_of,
    public_functions,
    sound_calls,
    spoilt,
)

FUNCTIONS = public_functions()
SOUND = sound_calls()

CHOSEN_BY_THE_PROGRAMME = {"seed", "draws"}  # never from the book

MAY_BE_ENDLESS = {
    # (function, argument): documented to take an infinity
    ("interval.t_quantile", "args"),
    ("interval.expit", "args"),
    ("lay_long_run.long_run_lay_rate", "variance"),  # its degrees of freedom
    ("mating.mating_plan", "hens_for_a_cock"),
    ("planning.replacements", "within_days"),
    ("promise.futures", "degrees_of_freedom"),
}
MAY_BE_NAN = {("selection.rank_birds", "args")}  # a bird without a value of the trait

pytestmark = pytest.mark.filterwarnings("error")


def refusal_is_ours(error: Exception) -> bool:
    """A ValueError raised by a line of the figures, with a sentence that says more than a word or two."""
    where = traceback.extract_tb(error.__traceback__)[-1]
    return isinstance(error, ValueError) and "figures" in where.filename and "raise" in (where.line or "raise")


def answer(name: str, argument: str, make: Callable[[], Any]) -> tuple[Any, Exception | None]:
    """What the figure says with this argument put in the place of the sound one, or how it refuses."""
    args, more = SOUND[name]
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            put = make()
            if argument == "args":
                return FUNCTIONS[name](*put, **more), None
            return FUNCTIONS[name](*args, **{**more, argument: put}), None
    except Exception as error:
        return None, error


def test_every_public_figure_is_walked() -> None:
    assert set(FUNCTIONS) == set(SOUND)


@pytest.mark.parametrize("name", SOUND)
def test_a_sound_call_shows_numbers_only(name: str) -> None:
    args, more = SOUND[name]
    assert all(math.isfinite(number) for number in numbers_of(FUNCTIONS[name](*args, **more)))


@pytest.mark.parametrize("name", SOUND)
def test_no_number_of_the_book_can_make_a_figure_of_nonsense(name: str) -> None:
    """Each number of a sound call in turn NaN, an infinity (refused), -1, 0 or 2 (answered or refused)."""
    args, more = SOUND[name]
    whole: dict[str, Any] = {"args": args, **more}
    for bad in (*NOT_NUMBERS, *ODD_NUMBERS):
        for argument, value in whole.items():
            if argument in CHOSEN_BY_THE_PROGRAMME:
                continue
            for make in spoilt(value, bad):
                found, refused = answer(name, argument, make)
                if refused is not None:
                    assert refusal_is_ours(refused), (argument, bad, refused)
                    assert len(str(refused)) > 25, refused
                    continue
                assert all(math.isfinite(number) for number in numbers_of(found)), (argument, bad, found)
                if math.isinf(bad):
                    assert (name, argument) in MAY_BE_ENDLESS, (argument, bad, found)
                if math.isnan(bad):
                    assert (name, argument) in MAY_BE_NAN, (argument, bad, found)


# The cases of the trade, by name


def days(eggs: list[int], *, hens: int) -> list[hen_days.CollectionInterval]:
    return [
        hen_days.CollectionInterval(DAY + timedelta(days=i), DAY + timedelta(days=i), n, hens)
        for i, n in enumerate(eggs)
    ]


def reason(found: Any) -> Reason | None:
    """Why a figure is not shown; None where it is."""
    if isinstance(found, Missing):
        return found.reason
    missing = found.missing
    assert missing is None or isinstance(missing, Missing)
    return None if missing is None else missing.reason


def month(eggs: list[int], *, hens: int) -> Estimate:
    counts = [hen_days.Collection(DAY + timedelta(days=i), n) for i, n in enumerate([0, *eggs])]
    moved = [hen_days.HeadEvent(DAY, hen_days.HeadEventKind.MOVED_IN, hens)]
    return laying.lay_rate(counts, moved, first_day=DAY, last_day=DAY + timedelta(days=40))


LAYING: list[tuple[str, Callable[[], Any], Reason | None]] = [
    ("zero hens: lay rate", lambda: month([0] * 30, hens=0), Reason.NO_RECORDS),
    ("zero hens: long run", lambda: lay_long_run.long_run_lay_rate(days([0] * 30, hens=0)), Reason.NO_RECORDS),
    ("zero hens: line", lambda: lay_long_run.line_lay_rate([days([0] * 9, hens=0)] * 5), Reason.TOO_FEW_GROUPS),
    ("zero hens: variance", lambda: lay_long_run.line_variance([days([0] * 99, hens=0)] * 5), Reason.TOO_FEW_DAYS),
    ("zero hens: start of lay", lambda: laying_year.start_of_lay([days([0] * 30, hens=0)]), Reason.NO_RECORDS),
    (
        "zero hens: fell off",
        lambda: lay_fell_off.lay_fell_off(days([0] * 99, hens=0), last_day=DAY + timedelta(days=98)),
        Reason.NO_RECORDS,
    ),
    ("one day: lay rate", lambda: month([3], hens=4), Reason.TOO_FEW_DAYS),
    ("one day: long run", lambda: lay_long_run.long_run_lay_rate(days([3], hens=4)), Reason.TOO_FEW_DAYS),
    ("one day: start of lay", lambda: laying_year.start_of_lay([days([3], hens=4)]), Reason.NOT_IN_LAY_YET),
    (
        "one day: fell off",
        lambda: lay_fell_off.lay_fell_off(days([3], hens=4), last_day=DAY),
        Reason.TOO_FEW_DAYS,
    ),
    ("one week: curve", lambda: lay_curve.fit_lay_curve([1.0], [0.5]), Reason.TOO_FEW_DAYS),
    ("no egg: lay rate is 0 with an upper limit", lambda: month([0] * 30, hens=4), None),
    ("no egg: line", lambda: lay_long_run.line_lay_rate([days([0] * 60, hens=4)] * 5), Reason.NO_VARIATION),
    ("no egg: variance", lambda: lay_long_run.line_variance([days([0] * 60, hens=4)] * 5), Reason.TOO_FEW_DAYS),
    ("no egg: start of lay", lambda: laying_year.start_of_lay([days([0] * 30, hens=4)]), Reason.NOT_IN_LAY_YET),
    ("no egg: curve", lambda: lay_curve.fit_lay_curve(np.arange(1.0, 31), np.zeros(30)), Reason.NO_VARIATION),
    (
        "no egg: fell off",
        lambda: lay_fell_off.lay_fell_off(days([0] * 99, hens=4), last_day=DAY + timedelta(days=98)),
        Reason.NOT_IN_LAY_YET,
    ),
    ("above one: lay rate", lambda: month([5] * 30, hens=4), Reason.OUT_OF_RANGE),
    ("above one: long run", lambda: lay_long_run.long_run_lay_rate(days([5] * 60, hens=4)), Reason.OUT_OF_RANGE),
    ("above one: line", lambda: lay_long_run.line_lay_rate([days([5] * 60, hens=4)] * 5), Reason.OUT_OF_RANGE),
    (
        "above one: fell off",
        lambda: lay_fell_off.lay_fell_off(days([5] * 99, hens=4), last_day=DAY + timedelta(days=98)),
        Reason.OUT_OF_RANGE,
    ),
    (
        "above one: laying year",
        lambda: (
            laying_year.eggs_a_hen(
                [days([9] * 200, hens=4)], start=DAY, year=1, curves=Missing(Reason.NO_PEAK_SEEN)
            ).observed
        ),
        Reason.OUT_OF_RANGE,
    ),
    (
        "a flat curve",
        lambda: lay_curve.fit_lay_curve(np.arange(1.0, 31), np.full(30, 0.8)),
        Reason.NO_PEAK_SEEN,
    ),
]

TRAY = hatching.Tray
HATCHING: list[tuple[str, Callable[[], Any], Reason | None]] = [
    ("no tray: fertility", lambda: hatching.fertility([]).share, Reason.NOT_CANDLED),
    ("no tray: hatch of set", lambda: hatching.hatch_of_set([]).share, Reason.NO_RECORDS),
    ("no shipment", lambda: hatching.shipped_hatch_of_sent([]).share, Reason.NO_RECORDS),
    ("a single tray", lambda: hatching.hatch_of_set([TRAY(40, 30)]).share, None),
    ("a tray of one egg", lambda: hatching.hatch_of_set([TRAY(1, 1)]).share, Reason.TOO_FEW_RECORDS),
    ("all hatched", lambda: hatching.hatch_of_set([TRAY(40, 40), TRAY(40, 40)]).share, None),
    ("none hatched", lambda: hatching.hatch_of_set([TRAY(40, 0), TRAY(40, 0)]).share, None),
    ("all clear", lambda: hatching.fertility([TRAY(40, 0, 40, 40)]).share, None),
    ("all clear: of fertile", lambda: hatching.hatch_of_fertile([TRAY(40, 0, 40, 40)]).share, Reason.NO_RECORDS),
    ("not candled", lambda: hatching.fertility([TRAY(40, 30)]).share, Reason.NOT_CANDLED),
    ("one egg age", lambda: hatching.egg_age([3] * 5, [30] * 5, [40] * 5).slope, Reason.NO_VARIATION),
    ("all hatched: egg age", lambda: hatching.egg_age(range(5), [40] * 5, [40] * 5).slope, Reason.NO_VARIATION),
    (
        "parted by age",
        lambda: hatching.egg_age([0, 0, 9, 9], [40, 40, 0, 0], [40] * 4).slope,
        Reason.NOT_IDENTIFIED,
    ),
    ("a cage without eggs", lambda: hatching.failing_male({"A": 0}, {"A": 0}, cage="A"), Reason.NOT_CANDLED),
    (
        "nothing hatched before: eggs to set",
        lambda: eggs_to_set.eggs_to_set(
            eggs_to_set.PastRates(*[eggs_to_set.PastGroups((0, 0), (40, 40))] * 5), cocks_wanted=2, hens_wanted=6
        ),
        Reason.OUT_OF_RANGE,
    ),
    (
        "more birds than eggs there are",
        lambda: eggs_to_set.eggs_to_set(
            eggs_to_set.PastRates(*[eggs_to_set.PastGroups((30, 30), (40, 40))] * 5),
            cocks_wanted=10**6,
            hens_wanted=10**6,
        ),
        Reason.OUT_OF_RANGE,
    ),
]

AGES = np.repeat(np.arange(0.0, 63, 7), 6)
BIRDS = [f"b{i % 6}" for i in range(AGES.size)]
GROWTH: list[tuple[str, Callable[[], Any], Reason | None]] = [
    ("no weighing", lambda: growth.choose_curve([], []), Reason.NO_RECORDS),
    ("identical weights", lambda: growth.choose_curve(AGES, np.full(AGES.size, 200.0)), Reason.NO_VARIATION),
    ("one age", lambda: growth.choose_curve([42.0] * 9, np.arange(200.0, 209)), Reason.TOO_FEW_RECORDS),
    ("still bending upwards", lambda: growth.asymptote(upwards()), Reason.NOT_IDENTIFIED),
    ("falling weights", lambda: growth.choose_curve(AGES, 300 - 3 * AGES), Reason.NOT_IDENTIFIED),
    ("no bird: class weight", lambda: off_type([], [], []), Reason.NO_RECORDS),
    (
        "identical weights: off-type",
        lambda: off_type([300.0] * 20, [True, False] * 10, ["hen"] * 20),
        Reason.NO_VARIATION,
    ),
    (
        "off-type is a sex",
        lambda: off_type(list(np.arange(300.0, 320)), [True, False] * 10, ["hen", "cock"] * 10),
        Reason.NOT_IDENTIFIED,
    ),
    ("no bird: cut", lambda: selection.cuts_by_number_kept([]), Reason.NO_RECORDS),
    ("one bird: share", lambda: selection.share_making_cut([300.0], cut_weight_g=290), Reason.TOO_FEW_BIRDS),
    (
        "identical eggs",
        lambda: egg_weight.egg_weight([egg_weight.EggWeighing(12)] * 20, band_low_g=11, band_high_g=13).mean,
        Reason.NO_VARIATION,
    ),
    ("no egg weighed", lambda: egg_weight.egg_weight([], band_low_g=11, band_high_g=13).sd, Reason.TOO_FEW_RECORDS),
    ("one bird a sex", lambda: sexing.sex_ratio(1, 1).cocks, Reason.TOO_FEW_BIRDS),
    ("no bird sexed", lambda: sexing.sex_ratio(0, 0, unsure=30).cocks, Reason.TOO_FEW_BIRDS),
    ("all cocks", lambda: sexing.sex_ratio_of_broods([9, 9, 9], [0, 0, 0]).cocks, None),
    ("none guessed", lambda: sexing.guess_score([], []).right, Reason.TOO_FEW_BIRDS),
    (
        "no chick",
        lambda: true_to_type.class_shares([[0, 0]], classes=["type", "white"])["white"],
        Reason.NO_RECORDS,
    ),
    (
        "a class never seen",
        lambda: true_to_type.class_shares([[200, 0]], classes=["type", "white"])["white"],
        None,
    ),
    ("never shown: allele", lambda: recessive.allele_frequency(0, 200, random_mating=True), None),
    ("all show it: allele", lambda: recessive.allele_frequency(200, 200, random_mating=True), None),
    ("no chick: allele", lambda: recessive.allele_frequency(0, 0, random_mating=True), Reason.NO_RECORDS),
    (
        "nothing entered: cost",
        lambda: (
            cost.cost_of_dozen([], sound_eggs=1, currency="EUR", first_day=DAY, last_day=DAY + timedelta(days=40)).each
        ),
        Reason.NO_RECORDS,
    ),
    (
        "waiting always pays",
        lambda: (
            wait_or_process.wait_or_process(
                [100.0, 200], age_days=[28.0, 35], feed_g=[0.0], feed_price_per_kg=0, price_per_kg=4
            ).process_at
        ),
        Reason.OUT_OF_RANGE,
    ),
    (
        "no forecast: promise",
        lambda: promise.promise(promise.Use("order", DAY, 12), drawn=Missing(Reason.NO_RECORDS, "intervals")).sure,
        Reason.NO_RECORDS,
    ),
    (
        "identical weights: dams and sires",
        lambda: heritability.nested_components([300.0] * 8, sire=list("ssssTTTT"), dam=list("aabbccdd")),
        Reason.NO_VARIATION,
    ),
]


def upwards() -> growth.GrowthCurve:
    """Birds weighed up to day 21 of a curve that gains most on day 28."""
    early = AGES <= 21
    age = np.concatenate((AGES[early], AGES[early][:12] + 3))
    curve = growth.choose_curve(age, 300 / (1 + np.exp(-0.1 * (age - 28))) + 0.05 * np.sin(9 * age))
    assert isinstance(curve, growth.GrowthCurve)
    return curve


def off_type(weights: list[float], off: list[bool], sexes: list[str]) -> Estimate:
    return off_type_weight.weight_difference(weights, off_type=off, sexes=sexes, broods=["a"] * len(weights))


@pytest.mark.parametrize(
    ("call", "expected"),
    [case[1:] for case in (*LAYING, *HATCHING, *GROWTH)],
    ids=[case[0] for case in (*LAYING, *HATCHING, *GROWTH)],
)
def test_the_answer_is_the_documented_one(call: Callable[[], Any], expected: Reason | None) -> None:
    found = call()
    assert reason(found) is expected
    if expected is None:
        assert 0 <= found.low <= found.value <= found.high <= 1
        assert found.low < found.high


def test_nothing_is_claimed_for_certain_after_all_or_none() -> None:
    assert hatching.hatch_of_set([TRAY(40, 0), TRAY(40, 0)]).share.high > 0.05
    assert hatching.hatch_of_set([TRAY(40, 40), TRAY(40, 40)]).share.low < 0.95
    assert hatching.hatch_of_set([TRAY(40, 40)]).share.low < 0.95
    assert clustered_share.fit_beta_binomial([0, 0], [40, 40]).rho == 0


def test_a_barn_without_cages_or_counts_has_no_rates() -> None:
    empty: list[int] = []
    found = laying_many.lay_rates(empty, empty, empty, hens=np.zeros((2, 9), dtype=int), first_day=0, last_day=8)
    assert found.reason.tolist() == [Reason.NO_RECORDS] * 2
    none = laying_many.lay_rates(empty, empty, empty, hens=np.zeros((0, 9), dtype=int), first_day=0, last_day=8)
    assert none.value.shape == (0,)


def test_birds_weighed_once_beside_one_weighed_often_keep_a_sound_interval() -> None:
    # Six clusters, one of which carries the whole curve: leaving it out leaves none
    age = np.concatenate((np.arange(0.0, 63, 7), [42.0] * 5))
    grams = 300 * np.exp(-3.6 * np.exp(-0.065 * age)) * (1 + 0.02 * np.cos(7 * age + np.arange(age.size)))
    birds = ["a"] * 9 + ["b", "c", "d", "e", "f"]
    curve = growth.choose_curve(age, grams, birds=birds)
    assert isinstance(curve, growth.GrowthCurve)
    found = growth.expected_weight(curve, age_days=42)
    assert reason(found) is not None or (found.low < found.value < found.high)
    assert np.isfinite(growth.draw_weights(curve, age_days=[42.0], draws=10, seed=1)).all()


# Pedigree


def test_an_empty_book_has_an_empty_pedigree() -> None:
    none = pedigree.pedigree({})
    assert inbreeding.inbreeding(none).f.shape == (0,)
    assert kinship.relationship(none).shape == (0, 0)
    assert kinship.sparse_inverse(none).shape == (0, 0)


def test_missing_and_half_known_parents_count_as_unrelated() -> None:
    family = pedigree.pedigree(
        {
            "c": None,
            "h": None,
            "half": pedigree.mating(cocks=["c"]),
            "maybe": pedigree.mating(cocks=["c", None], hens=["h"]),
            "chick": pedigree.mating(cocks=["maybe"], hens=["half"]),
        }
    )
    known = inbreeding.inbreeding(family)
    assert known.f.tolist() == [0, 0, 0, 0, pytest.approx(1 / 16)]  # by c alone, through maybe (1/2) and half
    assert reason(kinship.inbreeding_of(family, "c")) is Reason.NO_RECORDS
    assert kinship.inbreeding_of(family, "half").value == 0


def test_inbred_founders_are_carried_and_wholly_inbred_pairs_have_no_inverse() -> None:
    family = pedigree.pedigree(
        {"c": None, "h": None, "x": pedigree.mating(cocks=["c"], hens=["h"])}, founder_inbreeding={"c": 0.5}
    )
    assert inbreeding.inbreeding(family).mendelian.tolist() == [1.5, 1.0, 0.375]  # 1/2 - (0.5 + 0) / 4
    with pytest.raises(ValueError, match="from 0 to below 1"):
        pedigree.pedigree({"c": None}, founder_inbreeding={"c": 1.0})


def test_a_loop_is_refused_naming_the_birds() -> None:
    origins = {
        "a": pedigree.mating(cocks=["b"]),
        "b": pedigree.mating(cocks=["c"]),
        "c": pedigree.mating(cocks=["a"]),
    }
    with pytest.raises(ValueError, match=r"loop.*No bird descends from itself") as refused:
        pedigree.pedigree(origins)
    assert all(f"{bird} is a parent of" in str(refused.value) for bird in "abc")
    with pytest.raises(ValueError, match="a is a parent of a"):
        pedigree.pedigree({"a": pedigree.mating(hens=["a"])})


@pytest.mark.parametrize("sexes", [["hen"] * 12, ["cock"] + ["hen"] * 11])
def test_breeding_values_of_identical_weights_are_none_apart(sexes: list[str]) -> None:
    cage = pedigree.mating(cocks=["c"], hens=["h1", "h2"])
    family = pedigree.pedigree({"c": None, "h1": None, "h2": None} | {f"x{i}": cage for i in range(12)})
    known = inbreeding.inbreeding(family)
    weighed = [breeding_values.Weighing(f"x{i}", 300.0, sex, "may") for i, sex in enumerate(sexes)]
    found = breeding_values.breeding_values(
        weighed, pedigree=family, known=known, inverse=kinship.sparse_inverse(family, known=known)
    )
    assert isinstance(found, breeding_values.BreedingValues)
    assert found.heritability_from == "assumed"
    assert found.value_g == pytest.approx(np.zeros(15), abs=1e-9)
    assert set(found.rank.tolist()) == {1}
    few = breeding_values.breeding_values(
        weighed[:1], pedigree=family, known=known, inverse=kinship.sparse_inverse(family, known=known)
    )
    assert reason(few) is Reason.TOO_FEW_RECORDS


def test_one_bird_of_a_sex_is_its_own_mean() -> None:
    assert selection.sex_adjusted_weight([300.0, 340.0], sexes=["cock", "hen"]).tolist() == [320, 320]
    assert selection.cuts_by_number_kept([300.0])[0].reached is None
    ranked = selection.rank_birds({"g": [300.0, 340.0]}, weights={"g": 1}, sexes=["cock", "hen"])
    assert ranked.score.tolist() == [0, 0]


def test_one_cock_and_one_hen_have_the_one_plan() -> None:
    found = mating.mating_plan(np.array([[0.25]]), cocks=["c"], hens=["h"], cages=[mating.Cage("K", 1, 1)], seconds=1)
    assert isinstance(found, mating.MatingPlan)
    assert (found.expected_inbreeding, found.proven) == (0.25, True)
    refused = mating.mating_plan(
        np.array([[0.25]]), cocks=["c"], hens=["h"], cages=[mating.Cage("K", 1, 1)], limit=0.1, seconds=1
    )
    assert isinstance(refused, mating.NoPlan)
    assert refused.least_worst == 0.25
    assert set(refused.birds) == {"c", "h"}
