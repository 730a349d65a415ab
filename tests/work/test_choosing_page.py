"""Choosing at the house: the table by number kept equals the figures package on the same weights."""

from __future__ import annotations

import uuid
from dataclasses import replace
from datetime import date, timedelta

import pytest

from barnbook.figures.breeding_values import BreedingValues, Weighing, breeding_values
from barnbook.figures.inbreeding import inbreeding
from barnbook.figures.kinship import sparse_inverse
from barnbook.figures.pedigree import mating, pedigree
from barnbook.figures.selection import cuts_by_number_kept, expected_response
from barnbook.work.choosing_page import BirdHere, ChoosingSeen, choosing_page
from barnbook.work.growth_of_lines import LineWeighed, Weighed

HATCHED = date(2026, 3, 1)
BROOD = uuid.UUID(int=3)
WEIGHT_DAY = HATCHED + timedelta(days=56)
HENS = [351.0, 340.0, 322.0, 318.0, 311.0, 300.0]
COCKS = [310.0, 305.0, 290.0, 288.0, 270.0]
IDS = [uuid.UUID(int=100 + n) for n in range(len(HENS) + len(COCKS))]
WEIGHED = [
    Weighed(id_, BROOD, sex, WEIGHT_DAY, 56, grams)
    for id_, (sex, grams) in zip(IDS, [("hen", g) for g in HENS] + [("cock", g) for g in COCKS], strict=True)
]
SIRE, DAM = "sire", "dam"
PEDIGREE = pedigree({SIRE: None, DAM: None} | {str(id_): mating(cocks=[SIRE], hens=[DAM]) for id_ in IDS})
SEEN = ChoosingSeen(
    weighed=LineWeighed(56, WEIGHED, 0),
    birds={id_: BirdHere(n + 1, None, None, None, gone=n == 5) for n, id_ in enumerate(IDS)},
    broods={BROOD: ("26-05", HATCHED)},
    plumage={IDS[0]: "brown", IDS[1]: "cream"},
    type_key="cream",
    pedigree=PEDIGREE,
)
PAGE = choosing_page(SEEN)
LIVING_HENS = HENS[:5]  # the sixth is gone


def test_the_table_by_number_kept_is_the_figures_packages() -> None:
    group = PAGE["groups"][0]
    assert (group["code"], group["sexes"]["hen"]["birds"]) == ("26-05", 5)
    own = cuts_by_number_kept(LIVING_HENS)
    assert isinstance(own, list)
    for row, cut in zip(group["sexes"]["hen"]["by_kept"], own, strict=True):
        assert row["kept"] == cut.kept
        assert row["cut_g"] == pytest.approx(cut.cut_weight_g, abs=0.05)
        assert row["differential_g"] == pytest.approx(cut.differential_g, rel=1e-5)
    # By hand: the two heaviest hens weigh 345.5 on average, all five 328.4.
    assert group["sexes"]["hen"]["by_kept"][1]["differential_g"] == pytest.approx(345.5 - 328.4)


def test_what_each_sex_gives_adds_up_to_the_response_of_both() -> None:
    sexes = PAGE["groups"][0]["sexes"]
    hens, cocks = cuts_by_number_kept(LIVING_HENS), cuts_by_number_kept(COCKS)
    assert isinstance(hens, list)
    assert isinstance(cocks, list)
    h = PAGE["heritability"]
    both = expected_response(
        cocks=cocks[1],
        hens=hens[2],
        heritability=h["used"],
        heritability_low=h["low"],
        heritability_high=h["high"],
    )
    added = [
        a + b for a, b in zip(sexes["cock"]["by_kept"][1]["gain"], sexes["hen"]["by_kept"][2]["gain"], strict=True)
    ]
    assert added == pytest.approx([both.value, both.low, both.high], rel=1e-4)


def test_the_dead_help_the_breeding_values_but_are_not_chosen() -> None:
    known = inbreeding(PEDIGREE)
    own = breeding_values(
        [Weighing(str(each.bird), each.grams, each.sex, str(BROOD)) for each in WEIGHED],
        pedigree=PEDIGREE,
        known=known,
        inverse=sparse_inverse(PEDIGREE, known=known),
        candidates=[str(id_) for n, id_ in enumerate(IDS) if n != 5],
    )
    assert isinstance(own, BreedingValues)
    assert str(IDS[5]) not in {each["bird"] for each in PAGE["birds"]}
    heaviest = next(each for each in PAGE["birds"] if each["bird"] == str(IDS[0]))
    assert heaviest["value_g"] == pytest.approx(own.value_g[own.birds.index(str(IDS[0]))], rel=1e-4)
    assert (heaviest["plumage"], PAGE["type"]) == ("brown", "cream")


def test_kinship_of_a_brood_of_one_pair_is_that_of_full_sibs() -> None:
    assert PAGE["kin"]["coancestry"] == [[pytest.approx(0.25)]]  # Wright: full sibs of unrelated parents
    assert PAGE["kin"]["all_parents_known"]


def test_nobody_weighed_gives_no_group() -> None:
    bare = ChoosingSeen(LineWeighed(56, [], 0), {}, {}, {}, None, pedigree({}))
    page = choosing_page(bare)
    assert page["groups"] == page["birds"] == []


def test_a_pedigree_that_contradicts_itself_stops_no_page_and_says_why() -> None:
    page = choosing_page(replace(SEEN, pedigree="D-3 is its own ancestor. Correct its parents."))
    assert page["groups"][0]["sexes"] == PAGE["groups"][0]["sexes"]
    assert page["missing"]["reason"] == "contradiction"
    assert page["missing"]["detail"] == "D-3 is its own ancestor. Correct its parents."
    assert page["kin"] is None
    assert {each["value_g"] for each in page["birds"]} == {None}
    assert PAGE["missing"] is None
