"""What is inherited on the example farm: as the infinitesimal model has it, from its parents, and seen by the house."""

from __future__ import annotations

import math
import statistics
from datetime import date
from random import Random
from typing import Any

import numpy as np
import pytest

from barnbook.barn.models import Farm, Line, Setting
from barnbook.house.example_farm import make_example_farm, story
from barnbook.house.example_farm.broods import LINES, a_bird
from barnbook.house.example_farm.heredity import Pairing, chick_g, founder_g
from barnbook.house.example_farm.imagine import imagine
from barnbook.work.choosing_page import choosing_page, see_choosing
from barnbook.work.parents import lay_parents_down, see_parents

TODAY = date(2026, 7, 15)
DUN = LINES["dun"]
MANY = 20_000


def test_a_share_h2_of_the_variance_of_weights_is_of_breeding_values() -> None:
    luck = Random(1)
    values = [founder_g(luck, DUN) for _ in range(MANY)]
    weights = [a_bird(luck, DUN, "hen", DUN.plumage, 0.0, value).weight_g for value in values]
    assert statistics.stdev(weights) == pytest.approx(DUN.sd_g, rel=0.03)
    assert statistics.variance(values) / statistics.variance(weights) == pytest.approx(story.HERITABILITY, abs=0.02)


def test_chicks_lie_about_the_middle_of_their_parents_with_half_the_variance() -> None:
    """Regression of chick on mid-parent 1, Mendelian variance h2 V / 2 (Falconer & Mackay ch. 10, from memory)."""
    luck = Random(2)
    middles, chicks = [], []
    for _ in range(MANY):
        sire, dam = founder_g(luck, DUN), founder_g(luck, DUN)
        middles.append((sire + dam) / 2)
        chicks.append(chick_g(luck, DUN, Pairing((dam,), (sire,))))
    slope, _ = statistics.linear_regression(middles, chicks)
    assert slope == pytest.approx(1.0, abs=0.04)
    left = [chick - middle for chick, middle in zip(chicks, middles, strict=True)]
    assert statistics.stdev(left) == pytest.approx(DUN.sd_g * math.sqrt(story.HERITABILITY / 2), rel=0.03)


def test_a_line_of_which_the_heaviest_are_kept_gains() -> None:
    birds = imagine(today=TODAY).truth.birds

    def mean(*broods: str) -> float:
        return statistics.mean(bird.breeding_g for brood in broods for bird in birds[brood])

    assert mean("dun-4", "dun-5", "dun-6") > mean("dun-1") + 5


@pytest.mark.django_db
def test_choosing_sees_it_and_has_something_to_gain() -> None:
    """Breeding values follow the true ones; the line's cut on the brood to choose from gains grams, not a tenth."""
    made: Any = make_example_farm(today=TODAY, progress=lambda done, total: None)
    farm = Farm.objects.get(pk=made.farm.pk)
    lay_parents_down(farm, see_parents(farm, list(Setting.objects.of(farm).values_list("pk", flat=True))))
    truth = imagine(today=TODAY)
    line = Line.objects.of(farm).get(name=DUN.name)
    page = choosing_page(see_choosing(farm, line))
    assert page["missing"] is None
    true_g = {bird.id: bird.breeding_g for birds in truth.truth.birds.values() for bird in birds}
    pairs = [(each["value_g"], true_g[each["bird"]]) for each in page["birds"] if each["bird"] in true_g]
    assert len(pairs) > 50
    assert np.corrcoef(np.array(pairs).T)[0, 1] > 0.45
    brood = next(each for each in page["groups"] if each["key"] == truth.broods[story.BROOD_TO_CHOOSE_FROM])
    half = [sexes["by_kept"][len(sexes["by_kept"]) // 2]["gain"][0] for sexes in brood["sexes"].values()]
    assert sum(half) > 2.0
