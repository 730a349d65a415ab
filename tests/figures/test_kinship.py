"""Relationships and their inverse against published pedigrees and every possible parentage."""

from __future__ import annotations

import numpy as np
import pytest

from barnbook.figures.estimate import Reason
from barnbook.figures.inbreeding import inbreeding
from barnbook.figures.kinship import coancestry, inbreeding_of, relationship, sparse_inverse
from barnbook.figures.pedigree import Origin, mating, pedigree
from tests.figures.pedigrees import average_tabular, checks, mean_over_parentages, published, random_flock

EXPECTED = checks("kinship")

POSSIBLE_SIRES: dict[str, Origin] = {
    "1": None,
    "2": None,
    "3": None,
    "4": None,
    "5": mating(cocks=["1", "2"], hens=["3"]),
    "6": mating(cocks={"1": 0.75, "2": 0.25}, hens=["4"]),
    "7": mating(cocks=["1", "2"], hens=["5"]),
}


def assert_cells(case: str, matrix: str, found: np.ndarray, birds: tuple[str, ...], *, tolerance: float) -> None:
    cells = {quantity: value for (named, quantity), value in EXPECTED.items() if named == case}
    compared = 0
    for quantity, value in cells.items():
        word, row, column = quantity.split()
        if word == matrix:
            assert found[birds.index(row), birds.index(column)] == pytest.approx(value, abs=tolerance), quantity
            compared += 1
    assert compared > 0


@pytest.mark.parametrize("name", ["henderson1976", "tabular7", "fg1990"])
def test_published_relationships(name: str) -> None:
    built = pedigree(published(name))
    assert_cells(name, "A", relationship(built), built.birds, tolerance=1e-9)


def test_published_inverse() -> None:
    built = pedigree(published("henderson1976"))
    assert_cells("henderson1976", "inverse", sparse_inverse(built).toarray(), built.birds, tolerance=5e-7)


def test_several_possible_sires() -> None:
    built = pedigree(POSSIBLE_SIRES)
    assert_cells("possible sires", "A", relationship(built), built.birds, tolerance=1e-12)
    assert_cells("possible sires", "inverse", sparse_inverse(built).toarray(), built.birds, tolerance=5e-7)
    assert relationship(built) == pytest.approx(mean_over_parentages(POSSIBLE_SIRES), abs=1e-12)


def test_two_chicks_of_one_hen_with_three_cocks() -> None:
    cage = mating(cocks=["c1", "c2", "c3"], hens=["h"])
    origins: dict[str, Origin] = {"c1": None, "c2": None, "c3": None, "h": None, "a": cage, "b": cage}
    found = relationship(pedigree(origins), ["a"], others=["b"])[0, 0]
    assert found == pytest.approx(EXPECTED["three cocks alike", "A of two chicks of one hen"], abs=1e-12)


def test_chicks_of_pooled_cages_have_both_parents_in_one_cage() -> None:
    one, two = mating(cocks=["c1"], hens=["h1"]), mating(cocks=["c2"], hens=["h2"])
    origins: dict[str, Origin] = {
        "c1": None,
        "h1": mating(cocks=["c1"]),
        "c2": None,
        "h2": mating(cocks=["c2"]),
    }
    origins["a"] = [(0.5, one), (0.5, two)]
    built = pedigree(origins)
    # Each cage alone gives F = 1/4; drawn apart, half of the chicks would have unrelated parents and F = 1/8.
    assert inbreeding(built).f[built.place["a"]] == pytest.approx(0.25, abs=1e-12)
    assert relationship(built) == pytest.approx(mean_over_parentages(origins), abs=1e-12)


@pytest.mark.parametrize("seed", range(15))
def test_random_flocks_against_the_rule_and_the_plain_inverse(seed: int) -> None:
    rng = np.random.default_rng(100 + seed)
    origins = random_flock(rng, birds=60, founders=6, overlap=int(rng.integers(6, 50)))
    told = {"b0": 0.3, "b1": 0.125}
    expected = average_tabular(origins, told)
    built = pedigree(origins, founder_inbreeding=told)
    assert relationship(built) == pytest.approx(expected, abs=1e-12)
    assert sparse_inverse(built).toarray() == pytest.approx(np.linalg.inv(expected), abs=1e-10)


@pytest.mark.parametrize("seed", range(5))
def test_random_flocks_against_every_parentage(seed: int) -> None:
    origins = random_flock(np.random.default_rng(seed), birds=9, founders=5, overlap=8)
    assert relationship(pedigree(origins)) == pytest.approx(mean_over_parentages(origins), abs=1e-12)


def test_many_columns_come_out_as_few() -> None:
    origins = random_flock(np.random.default_rng(8), birds=300, founders=10, overlap=60, certain=True)
    built = pedigree(origins)
    assert relationship(built) == pytest.approx(average_tabular(origins), abs=1e-12)
    some = ["b250", "b3", "b77"]
    rows = built.rows(some)
    assert relationship(built, some) == pytest.approx(relationship(built)[np.ix_(rows, rows)], abs=1e-14)


def test_coancestry_is_the_inbreeding_of_the_chicks() -> None:
    built = pedigree(POSSIBLE_SIRES)
    assert coancestry(built, ["1", "2"], ["5"]).ravel() == pytest.approx([0.125, 0.125], abs=1e-12)
    mated = pedigree(POSSIBLE_SIRES | {"8": mating(cocks=["6"], hens=["7"])})
    assert inbreeding(mated).f[7] == pytest.approx(coancestry(built, ["6"], ["7"])[0, 0], abs=1e-12)


def test_wholly_inbred_parents_leave_no_inverse() -> None:
    origins: dict[str, Origin] = {"c": None, "h": None, "a": mating(cocks=["c"], hens=["h"])}
    just_below_one = {"c": 1 - 2**-53, "h": 1 - 2**-53}  # 1 + F rounds to 2
    with pytest.raises(ValueError, match="Both parents of a are wholly inbred"):
        sparse_inverse(pedigree(origins, founder_inbreeding=just_below_one))


def test_inbreeding_of_a_bird_says_how_far_it_hangs_on_who_its_parents_were() -> None:
    origins = POSSIBLE_SIRES | {"8": mating(cocks=["1", "2"], hens={"5": 0.5, "6": 0.5})}
    figure = inbreeding_of(pedigree(origins), "8")
    assert figure.value == pytest.approx((0.125 + 0.125 + 0.1875 + 0.0625) / 4, abs=1e-12)
    assert (figure.low, figure.high) == (0.0625, 0.1875)
    assert figure.n == 4


def test_an_unlikely_parent_does_not_widen_the_range() -> None:
    origins = POSSIBLE_SIRES | {"8": mating(cocks={"1": 0.98, "2": 0.02}, hens=["6"])}
    figure = inbreeding_of(pedigree(origins), "8")
    assert (figure.low, figure.high) == (0.1875, 0.1875)
    assert figure.value == pytest.approx(0.98 * 0.1875 + 0.02 * 0.0625, abs=1e-12)


def test_a_founder_has_no_figure_unless_its_inbreeding_was_told() -> None:
    origins: dict[str, Origin] = {"f": None}
    missing = inbreeding_of(pedigree(origins), "f").missing
    assert missing is not None
    assert (missing.reason, missing.what, missing.have, missing.need) == (Reason.NO_RECORDS, "parents", 0, 1)
    told = inbreeding_of(pedigree(origins, founder_inbreeding={"f": 0.25}), "f")
    assert (told.value, told.low, told.high) == (0.25, 0.25, 0.25)


def test_a_half_known_bird_has_a_figure_of_nothing() -> None:
    figure = inbreeding_of(pedigree({"c": None, "a": mating(cocks=["c"])}), "a")
    assert (figure.value, figure.low, figure.high) == (0, 0, 0)
