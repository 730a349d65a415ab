"""Inbreeding against published pedigrees, the tabular method and every possible parentage."""

from __future__ import annotations

import numpy as np
import pytest

from barnbook.figures.inbreeding import inbreeding
from barnbook.figures.pedigree import Origin, mating, pedigree
from tests.figures.pedigrees import average_tabular, checks, mean_over_parentages, published, random_flock

EXPECTED = checks("inbreeding")


@pytest.mark.parametrize("name", ["henderson1976", "tabular7", "fg1990"])
@pytest.mark.parametrize("most_at_once", [8_000, 0])
def test_published_pedigrees(name: str, most_at_once: int) -> None:
    built = pedigree(published(name))
    f = inbreeding(built, most_at_once=most_at_once).f
    for row, bird in enumerate(built.birds):
        assert f[row] == pytest.approx(EXPECTED[name, f"F {bird}"], abs=1e-9)


@pytest.mark.parametrize("most_at_once", [8_000, 0])
def test_mendelian_variances_that_mrode_prints(most_at_once: int) -> None:
    mendelian = inbreeding(pedigree(published("henderson1976")), most_at_once=most_at_once).mendelian
    expected = [EXPECTED["henderson1976", f"D {bird}"] for bird in range(1, 7)]
    assert mendelian == pytest.approx(expected, abs=1e-9)


def test_classical_matings() -> None:
    origins: dict[str, Origin] = dict.fromkeys(("c", "h", "g", "h2", "h3"))
    origins |= {
        "son": mating(cocks=["c"], hens=["h"]),
        "daughter": mating(cocks=["c"], hens=["h"]),
        "half sister": mating(cocks=["c"], hens=["g"]),
        "granddaughter": mating(cocks=["c"], hens=["daughter"]),
        "cousin cock": mating(cocks=["son"], hens=["h2"]),
        "cousin hen": mating(cocks=["brother"], hens=["h3"]),
        "brother": mating(cocks=["c"], hens=["h"]),
        "parent x offspring": mating(cocks=["c"], hens=["daughter"]),
        "full sibs": mating(cocks=["son"], hens=["daughter"]),
        "half sibs": mating(cocks=["son"], hens=["half sister"]),
        "first cousins": mating(cocks=["cousin cock"], hens=["cousin hen"]),
        "sire x granddaughter by own daughter": mating(cocks=["c"], hens=["granddaughter"]),
    }
    built = pedigree(origins)
    f = inbreeding(built).f
    for (case, quantity), expected in EXPECTED.items():
        if case == "classical":
            assert f[built.place[quantity]] == pytest.approx(expected, abs=1e-12), quantity


def full_sib_line(generations: int) -> dict[str, Origin]:
    origins: dict[str, Origin] = {"c0": None, "h0": None}
    for number in range(1, generations + 2):
        pair = mating(cocks=[f"c{number - 1}"], hens=[f"h{number - 1}"])
        origins |= {f"c{number}": pair, f"h{number}": pair}
    return origins


def test_repeated_full_sib_mating() -> None:
    built = pedigree(full_sib_line(10))
    f = inbreeding(built).f
    for number in range(1, 11):
        expected = EXPECTED["full-sib mating", f"F generation {number}"]
        assert f[built.place[f"c{number + 1}"]] == pytest.approx(expected, abs=1e-12)


def test_half_known_parents_are_not_inbred() -> None:
    built = pedigree({"c": None, "h": None, "a": mating(cocks=["c"]), "b": mating(cocks=["c", None], hens=["h"])})
    known = inbreeding(built, most_at_once=8_000)
    assert known.f.tolist() == [0, 0, 0, 0]
    assert known.mendelian.tolist() == [1, 1, 0.75, 1 - (0.5**2) / 4 - 1 / 4]


def test_inbred_founders_pass_less_chance_on() -> None:
    built = pedigree({"c": None, "a": mating(cocks=["c"])}, founder_inbreeding={"c": 0.4})
    known = inbreeding(built)
    assert known.f == pytest.approx([0.4, 0.0])
    assert known.mendelian == pytest.approx([1.4, 1 - 1.4 / 4])


@pytest.mark.parametrize("seed", range(20))
def test_random_flocks_against_the_rule_cell_by_cell(seed: int) -> None:
    rng = np.random.default_rng(seed)
    origins = random_flock(rng, birds=70, founders=6, overlap=int(rng.integers(6, 60)))
    told = {"b0": 0.3, "b1": 0.125}
    diagonal = average_tabular(origins, told).diagonal()
    names = [str(name) for name in rng.permutation(list(origins))]
    built = pedigree({name: origins[name] for name in names}, founder_inbreeding=told)
    expected = diagonal[[list(origins).index(name) for name in names]] - 1
    assert inbreeding(built).f == pytest.approx(expected, abs=1e-12)
    traced = inbreeding(built, most_at_once=0)
    assert traced.f == pytest.approx(expected, abs=1e-12)
    assert traced.mendelian == pytest.approx(inbreeding(built).mendelian, abs=1e-12)


@pytest.mark.parametrize("seed", range(5))
def test_average_is_the_mean_over_every_parentage(seed: int) -> None:
    origins = random_flock(np.random.default_rng(seed), birds=9, founders=5, overlap=8)
    told = {"b0": 0.25}
    expected = mean_over_parentages(origins, told).diagonal() - 1
    known = inbreeding(pedigree(origins, founder_inbreeding=told))
    assert known.f == pytest.approx(expected, abs=1e-12)


def test_a_large_random_flock_against_the_tabular_method() -> None:
    origins = random_flock(np.random.default_rng(5), birds=600, founders=10, overlap=80, certain=True)
    expected = average_tabular(origins).diagonal() - 1
    assert inbreeding(pedigree(origins)).f == pytest.approx(expected, abs=1e-12)


def test_no_birds_have_no_inbreeding() -> None:
    assert inbreeding(pedigree({})).f.size == 0
