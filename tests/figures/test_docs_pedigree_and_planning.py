"""The worked examples of the pages on kinship, breeding values, mating and planning, recomputed."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from barnbook.figures import effective_number as en
from barnbook.figures.breeding_values import BreedingValues, Weighing, breeding_values
from barnbook.figures.estimate import Estimate
from barnbook.figures.hen_days import CollectionInterval
from barnbook.figures.inbreeding import inbreeding
from barnbook.figures.kinship import coancestry, inbreeding_of, sparse_inverse
from barnbook.figures.line_forecast import LineForecast, line_forecast
from barnbook.figures.mating import Cage, MatingPlan, NoPlan, mating_plan, swap
from barnbook.figures.pedigree import Origin, Pedigree, mating, pedigree
from barnbook.figures.planning import LineAges, Work, replacement
from barnbook.figures.promise import Futures, Use, futures, promise
from tests.figures.pedigrees import checks

DOCS = Path(__file__).parents[2] / "docs" / "figures"


def says(page: str, *pieces: str) -> None:
    text = " ".join((DOCS / f"{page}.md").read_text().split())
    for piece in pieces:
        assert piece in text, piece


def percent(value: float, digits: int) -> str:
    return f"{100 * value:.{digits}f} %"


def cage_three() -> Pedigree:
    cage = mating(cocks=["Ash", "Birch"], hens=["H1", "H2", "H3"])
    origins: dict[str, Origin] = dict.fromkeys(["Ash", "Birch", "H1", "H2", "H3"])
    origins |= {"cock 11": cage, "hen 12": cage}
    origins["hen 20"] = mating(cocks=["Ash"], hens=["hen 12"])
    origins["chick 30"] = mating(cocks=["Ash", "Birch"], hens=["hen 20"])
    return pedigree(origins)


def test_brother_and_sister_perhaps() -> None:
    found = coancestry(cage_three(), ["cock 11"], ["hen 12"])[0, 0]
    assert found == pytest.approx((1 / 2 + 1 / 3) / 8)
    says("kinship", f"1/8 x (1/2 + 1/3) = {percent(found, 2)}")


def test_inbreeding_with_its_range() -> None:
    figure = inbreeding_of(cage_three(), "chick 30")
    assert figure.value is not None
    assert figure.low is not None
    assert figure.high is not None
    says(
        "kinship",
        f"Its inbreeding is {percent(figure.value, 2)}",
        f"{percent(figure.low, 2)} if Birch was the sire, {percent(figure.high, 2)} if it was Ash",
    )


def test_effective_number_of_a_cage() -> None:
    ne = en.effective_number(3, hens=12)
    rate = en.inbreeding_a_generation(ne)
    count = en.effective_count([60, 20, 10])
    says(
        "kinship",
        f"an effective number of {ne:.1f}, not 15, and add {percent(rate, 2)}",
        f"after ten generations {percent(en.inbreeding_after(10, a_generation=rate), 1)}",
        f"the three count as {count:.2f} cocks, and the effective number is {en.effective_number(count, hens=12):.1f}",
    )


def test_eight_birds_of_two_cages() -> None:
    one, two = mating(cocks=["c1"], hens=["h1", "h2"]), mating(cocks=["c2"], hens=["h3", "h4"])
    weights = {"11": 312, "12": 334, "13": 305, "14": 341, "21": 288, "22": 318, "23": 299, "24": 309}
    origins: dict[str, Origin] = dict.fromkeys(["c1", "h1", "h2", "c2", "h3", "h4"])
    origins |= {name: one if name[0] == "1" else two for name in weights}
    built = pedigree(origins)
    known = inbreeding(built)
    found = breeding_values(
        [Weighing(name, g, "cock" if int(name) % 2 else "hen", "12 May") for name, g in weights.items()],
        pedigree=built,
        known=known,
        inverse=sparse_inverse(built, known=known),
        told_heritability=0.35,
    )
    assert isinstance(found, BreedingValues)
    assert found.accuracy is not None
    for name, g in weights.items():
        row = found.birds.index(name)
        figure = found.figure(name)
        sex = "cock" if int(name) % 2 else "hen"
        says(
            "breeding_values",
            f"| {name} | {name[0]} | {sex} | {g} | {figure.value:+.1f} | {figure.low:+.1f} to {figure.high:+.1f} | "
            f"{found.accuracy[row]:.2f} | {found.rank[row]} |",
        )
    value = dict(zip(found.birds, found.value_g, strict=True))
    assert found.rank[found.birds.index("c1")] == 3
    says(
        "breeding_values",
        f"they are {value['13'] - value['22']:.1f} g apart",
        f"stands third with {value['c1']:+.1f} g",
        f"Cock 13 weighs {weights['13'] - found.sex_mean_g['cock']:.0f} g over the mean of the cocks",
        f"hen 22 {found.sex_mean_g['hen'] - weights['22']:.1f} g under that of the hens",
    )


def test_brothers_and_sisters_in_three_cages() -> None:
    one, two = mating(cocks=["c1"], hens=["h1"]), mating(cocks=["c2"], hens=["h2"])
    origins: dict[str, Origin] = dict.fromkeys(["c1", "h1", "c2", "h2", "n"])
    origins |= dict.fromkeys(["b1", "b2", "s1", "s2"], one) | dict.fromkeys(["b3", "s3", "s4"], two)
    cocks, hens = ["b1", "b2", "b3"], ["s1", "s2", "s3", "s4", "n"]
    f = coancestry(pedigree(origins), cocks, hens)
    plan = mating_plan(f, cocks=cocks, hens=hens, cages=[Cage(f"K{i}", 1, 2) for i in (1, 2, 3)])
    assert isinstance(plan, MatingPlan)
    assert plan.proven
    for stand in plan.stands:
        says("mating", f"| {stand.cage} | {', '.join(stand.cocks)} | {', '.join(stand.hens)} |")
    after = swap(plan, "s1", "s3")
    assert (after.worst.cock, after.worst.hen) == ("b1", "s1")
    says(
        "mating",
        f"Expected inbreeding {percent(plan.expected_inbreeding, 1)}; pairing at random would give "
        f"{percent(plan.mean_of_all_pairs, 1)}",
        f"the expected inbreeding would be {percent(after.expected_inbreeding, 1)}, and the worst pair would be b1 and "
        f"s1 with {percent(after.worst.coancestry, 1)}",
    )


def test_no_plan_names_the_hen() -> None:
    f = np.array([[0.25, 0.05, 0.0], [0.125, 0.0, 0.05]])
    cages = [Cage("K1", 1, 2), Cage("K2", 1, 2)]
    answer = mating_plan(f, cocks=["a", "b"], hens=["x", "y", "z"], cages=cages, limit=0.1)
    assert isinstance(answer, NoPlan)
    assert answer.hens_without_cock == ("x",)
    says("mating", f"the smallest worst pair is {percent(answer.least_worst, 1)}, and x is named")


def written(day: date) -> str:
    return f"{day.day} {day:%b %Y}"


def test_hens_that_go_on_the_first_of_march() -> None:
    plan = replacement(date(2027, 3, 1), today=date(2026, 11, 1), ages=LineAges())
    names = {Work.KEEP_EGGS: "keep eggs back"} | {work: work.value.replace("_", " ") for work in list(Work)[1:]}
    for step in plan.steps:
        says("planning", f"| {names[step.work]} | {written(step.first_day)} | {written(step.last_day)} |")
    late = replacement(date(2027, 3, 1), today=date(2027, 1, 10), ages=LineAges())
    says("planning", f"would be {late.late_days} days late", f"lay from {late.in_lay.day} {late.in_lay:%B %Y}")


def test_the_forecast_of_four_weeks() -> None:
    weeks = [
        CollectionInterval(date(2026, 3, 2) + timedelta(days=7 * w), date(2026, 3, 8) + timedelta(days=7 * w), eggs, 70)
        for w, eggs in enumerate((56, 49, 56, 63))
    ]
    found = line_forecast([weeks])
    assert isinstance(found, LineForecast)
    rate = found.rate
    assert rate.value is not None
    assert rate.low is not None
    assert rate.high is not None
    says(
        "planning",
        f"{percent(rate.value, 1)} ({100 * rate.low:.1f} to {percent(rate.high, 1)}), "
        f"the weeks {found.dispersion:.1f} times",
    )


def test_an_order_for_the_thirteenth_of_april() -> None:
    coming = futures(
        Estimate("eggs/hen-day", 0.82, 0.78, 0.855),
        hens=[24] * 21,
        first_day=date(2026, 4, 1),
        dispersion=2.0,
        degrees_of_freedom=11,
    )
    assert isinstance(coming, Futures)
    before = [Use("to set", date(2026, 4, 11), 60, youngest_days=0, sold=False)]
    asked = Use("order", date(2026, 4, 13), 96)
    small = promise(asked, drawn=coming, before=before)
    assert small.accepted
    assert small.sure.value is not None
    large = promise(Use("order", date(2026, 4, 13), 120), drawn=coming, before=before)
    assert not large.accepted
    assert large.first_day is not None
    says(
        "planning",
        f"the most that can be promised is {small.most_eggs} eggs",
        f"An order of 96 is {percent(small.sure.value, 0)} sure and accepted; one of 120 is not, and the first day for "
        f"it is {large.first_day.day} April",
    )


def test_fifty_six_eggs_cannot_be_promised() -> None:
    expected = checks("promise")
    most = expected["seven days of ten hens", "most eggs at 90 %"]
    chance = expected["seven days of ten hens", "chance of 52"]
    says("planning", f"{10 * 7 * 0.8:.0f} cannot be promised: {most:.0f} can, with {percent(chance, 0)}")
