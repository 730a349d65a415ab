"""Who may be whose parents: shares, loops, contradictions, and the order of generations."""

from __future__ import annotations

import numpy as np
import pytest

from barnbook.figures.pedigree import Origin, mating, pedigree
from tests.figures.pedigrees import checks, published


def test_birds_of_a_cage_are_alike_unless_told() -> None:
    assert mating(cocks=["c"], hens=["h1", "h2"]).hens == (("h1", 0.5), ("h2", 0.5))
    assert mating(cocks=["c"], hens={"h1": 0.75, "h2": 0.25}).hens == (("h1", 0.75), ("h2", 0.25))


def test_an_unknown_bird_takes_its_equal_part() -> None:
    assert mating(cocks=["c", None], hens=["h"]).cocks == (("c", 0.5),)


def test_generations_of_a_published_pedigree() -> None:
    built = pedigree(published("fg1990"))
    for row, name in enumerate(built.birds):
        assert built.generation[row] == checks("pedigree")["fg1990", f"generation {name}"]


def test_birds_may_be_listed_in_any_order() -> None:
    origins = published("henderson1976")
    turned = pedigree(dict(reversed(origins.items())))
    straight = pedigree(origins)
    assert dict(zip(turned.birds, turned.generation, strict=True)) == dict(
        zip(straight.birds, straight.generation, strict=True)
    )


def test_chicks_of_one_cage_share_one_origin() -> None:
    cage = mating(cocks=["c"], hens=["h1", "h2"])
    origins: dict[str, Origin] = {"c": None, "h1": None, "h2": None, "a": cage, "b": cage}
    assert pedigree(origins).origin_parents.shape == (1, 5)


def test_a_bird_with_both_parents_unknown_is_a_founder() -> None:
    built = pedigree({"a": mating(cocks=[None], hens=[])})
    assert built.origin_of.tolist() == [-1]
    assert built.generation.tolist() == [0]


def test_no_birds_at_all_is_an_empty_pedigree() -> None:
    assert pedigree({}).birds == ()


def test_a_loop_is_refused_and_its_birds_are_named() -> None:
    origins = {
        "grandsire": None,
        "a": mating(cocks=["c"], hens=[]),
        "b": mating(cocks=["a"], hens=[]),
        "c": mating(cocks=["b"], hens=[]),
        "innocent": mating(cocks=["grandsire"], hens=[]),
        "below": mating(cocks=["c"], hens=[]),
    }
    with pytest.raises(ValueError, match="loop") as refused:
        pedigree(origins)
    sentence = str(refused.value)
    for step in ("a is a parent of b", "b is a parent of c", "c is a parent of a"):
        assert step in sentence
    assert "innocent" not in sentence
    assert "below" not in sentence


def test_a_bird_that_is_its_own_parent_is_a_loop() -> None:
    with pytest.raises(ValueError, match="a is a parent of a"):
        pedigree({"a": mating(cocks=["a"], hens=[])})


def test_a_bird_cannot_be_cock_and_hen() -> None:
    origins = {
        "x": None,
        "y": None,
        "a": mating(cocks=["x"], hens=["y"]),
        "b": mating(cocks=["y"], hens=["x"]),
    }
    with pytest.raises(ValueError, match="as cock in one mating and as hen in another: x, y"):
        pedigree(origins)


def test_a_parent_that_is_nowhere_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="stranger is named as a parent"):
        pedigree({"a": mating(cocks=["stranger"], hens=[])})


@pytest.mark.parametrize("share", [float("nan"), float("inf"), -0.1])
def test_shares_that_are_no_shares_are_refused(share: float) -> None:
    with pytest.raises(ValueError, match="The share of c"):
        mating(cocks={"c": share}, hens=["h"])


def test_shares_above_one_in_total_are_refused() -> None:
    with pytest.raises(ValueError, match=r"add up to 1\.2"):
        mating(cocks={"c": 0.6, "d": 0.6})


def test_a_bird_named_twice_in_a_cage_is_refused() -> None:
    with pytest.raises(ValueError, match="named twice"):
        mating(hens=["h", "h"])


def test_a_bare_name_is_not_taken_for_a_list_of_letters() -> None:
    with pytest.raises(ValueError, match="list of names"):
        mating(cocks="c1")


@pytest.mark.parametrize("share", [0.0, -1.0, 0.7, float("nan")])
def test_shares_of_pooled_cages_are_checked(share: float) -> None:
    cage = mating(cocks=["c"], hens=["h"])
    with pytest.raises(ValueError, match="cages that a may come from"):
        pedigree({"c": None, "h": None, "a": [(0.5, cage), (share, cage)]})


@pytest.mark.parametrize("value", [1.0, -0.1, float("nan"), float("inf")])
def test_inbreeding_of_a_founder_must_be_a_share(value: float) -> None:
    with pytest.raises(ValueError, match="inbreeding of founder f"):
        pedigree({"f": None}, founder_inbreeding={"f": value})


def test_inbreeding_is_not_taken_for_birds_it_can_be_computed_for() -> None:
    origins: dict[str, Origin] = {"f": None, "a": mating(cocks=["f"])}
    with pytest.raises(ValueError, match="a has a parent"):
        pedigree(origins, founder_inbreeding={"a": 0.1})
    with pytest.raises(ValueError, match="not in the pedigree"):
        pedigree(origins, founder_inbreeding={"z": 0.1})


def test_unknown_names_are_refused() -> None:
    with pytest.raises(ValueError, match="Not in the pedigree: z"):
        pedigree({"f": None}).rows(["f", "z"])
    assert np.array_equal(pedigree({"f": None}).rows(["f"]), [0])
