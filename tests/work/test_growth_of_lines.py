"""A line's growth as the scale needs it: its own factors where the curve reaches, the stated ones elsewhere."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest

from barnbook.barn.models import FigureTable
from barnbook.figures.stated_growth import stated_factors
from barnbook.work.growth_of_lines import LineWeighed, Weighed, growth_of_line
from barnbook.work.reckon import reckon
from tests.conftest import Cast
from tests.scribe import DAY, NOON, new_id, uid

HATCH = date(2026, 5, 1)
A_G, K, MIDDLE = 320.0, 0.075, 24.0


def truth(age: float, share: float = 1.0) -> float:
    """Gompertz: A exp(-exp(-k (age - middle)))."""
    return share * A_G * math.exp(-math.exp(-K * (age - MIDDLE)))


def hens(ages: range, *, birds: int = 8) -> list[Weighed]:
    """Each hen a few per cent above or below the curve, always."""
    brood = uid(new_id())
    found = []
    for n in range(birds):
        bird = uid(new_id())
        for age in ages:
            grams = truth(age, 1 + 0.02 * (n - (birds - 1) / 2)) + 0.4 * math.sin(7 * n + age)
            found.append(Weighed(bird, brood, "hen", HATCH + timedelta(days=age), age, grams))
    return found


def test_the_lines_own_factors_follow_its_curve() -> None:
    body = growth_of_line(LineWeighed(56, hens(range(7, 71, 7)), 0))
    of_hens = body["sexes"]["hen"]
    factors = {each["age_days"]: each for each in of_hens["factors"]}
    assert sorted(factors) == list(range(49, 64))
    assert all(each["own"] for each in factors.values())
    for age, each in factors.items():
        assert each["factor"] == pytest.approx(truth(56) / truth(age), rel=2e-3)
    figure = of_hens["figure"]
    assert figure["low"] < truth(56) < figure["high"]
    assert (figure["n"], figure["n_of"], of_hens["birds"]) == (80, "weighings", 8)
    assert (figure["first_day"], figure["last_day"]) == ("2026-05-08", "2026-07-10")
    assert of_hens["curve"][0][0] == 7
    assert of_hens["curve"][-1][0] == 70
    assert all(low <= mean <= high for _, mean, low, high in of_hens["curve"])


def test_days_that_the_curve_does_not_reach_get_the_stated_factor_and_say_so() -> None:
    """Weighed to day 19 only, where growth still bends upwards: the curve is not seen whole and does not reach 56."""
    of_hens = growth_of_line(LineWeighed(56, hens(range(4, 20, 3)), 0))["sexes"]["hen"]
    stated = stated_factors(56)
    assert {each["age_days"]: each["own"] for each in of_hens["factors"] if each["age_days"] != 56} == {
        day: False for day in stated if day != 56
    }
    assert [each["factor"] for each in of_hens["factors"]] == pytest.approx(list(stated.values()), rel=1e-5)
    assert of_hens["figure"]["value"] is None
    assert of_hens["figure"]["missing"]["reason"] in ("out_of_range", "not_identified")
    assert of_hens["curve"], "what was seen is drawn all the same"


def test_nobody_weighed_yet() -> None:
    body = growth_of_line(LineWeighed(56, [], 3))
    cocks = body["sexes"]["cock"]
    assert (cocks["curve"], cocks["birds"], cocks["figure"]["missing"]["reason"]) == ([], 0, "no_records")
    assert cocks["figure"]["left_out"] == [{"what": "weighings", "count": 3, "why": "hatch_day_guessed"}]
    assert "BF-1579" in body["stated"]


@pytest.mark.django_db
def test_from_the_entries_to_the_row(cast: Cast) -> None:
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=DAY - timedelta(days=70), chicks=20)
    typed = {"value": "1", "unit": "g"}
    for n in range(6):
        bird = new_id()
        cast.owner.write("bird_sexed", bird=bird, brood=brood, result="cock", band=None)
        for age in range(7, 70, 7):
            cast.owner.write(
                "bird_weight",
                day=DAY - timedelta(days=70 - age),
                bird=bird,
                brood=brood,
                band=None,
                grams=round(truth(age, 1 + 0.01 * n) + 0.3 * math.sin(n + age), 1),
                typed=typed,
            )
    reckon(now=lambda: NOON)
    row = FigureTable.objects.get(subject=f"weighing/{line}")
    cocks = row.body["sexes"]["cock"]
    assert cocks["figure"]["n"] == 54
    assert next(each for each in cocks["factors"] if each["age_days"] == 52)["factor"] == pytest.approx(
        truth(56) / truth(52), rel=5e-3
    )
    assert row.body["sexes"]["hen"]["figure"]["missing"]["reason"] == "no_records"
