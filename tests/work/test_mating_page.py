"""Who to whom: from entries to pedigree and plan, equal to the figures package."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pytest

from barnbook.barn.models import Farm, FigureTable, Line
from barnbook.figures.kinship import coancestry
from barnbook.figures.mating import Cage as Places
from barnbook.figures.mating import MatingPlan, mating_plan, swap
from barnbook.figures.pedigree import mating, pedigree
from barnbook.work.mating_page import Keeper, MatingCage, MatingSeen, mating_page, see_mating, who_is_asked
from barnbook.work.pedigree_of_line import TrayParents, origin_of, pedigree_of_line
from barnbook.work.reckon import reckon
from tests.conftest import Cast
from tests.journal.bodies import hatching, set_eggs, tray
from tests.scribe import NOON, Scribe, new_id

# Cocks m1, m2 and hens f1 to f3 are founders; a and b are of m1 with f1, c of m1 with f2, d of m2 with f3.
FAMILY = pedigree(
    {
        "m1": None,
        "m2": None,
        "f1": None,
        "f2": None,
        "f3": None,
        "a": mating(cocks=["m1"], hens=["f1"]),
        "b": mating(cocks=["m1"], hens=["f1"]),
        "c": mating(cocks=["m1"], hens=["f2"]),
        "d": mating(cocks=["m2"], hens=["f3"]),
    }
)


def keeper(name: str, sex: str, *, hatched_on: date = date(2026, 3, 1), **more: Any) -> Keeper:
    known = {"cage": None, "too_old": False, **more}
    return Keeper(name, "b", "26-3", name, sex, hatched_on, known["cage"], known["too_old"])


KEEPERS = [keeper("a", "cock"), keeper("d", "cock"), keeper("b", "hen"), keeper("c", "hen")]
CAGES = [MatingCage("A1", "A1", 1, 1), MatingCage("A2", "A2", 1, 1)]


def test_the_plan_and_its_pairs_equal_the_figures() -> None:
    page = mating_page(MatingSeen(KEEPERS, CAGES, FAMILY))
    between = coancestry(FAMILY, page["cocks"], page["hens"])
    assert np.allclose(page["coancestry"], between)
    # By hand: full brother and sister 1/4, half 1/8, strangers 0 (Falconer & Mackay, from memory).
    at = {(c, h): page["coancestry"][i][j] for i, c in enumerate(page["cocks"]) for j, h in enumerate(page["hens"])}
    assert at == {("a", "b"): 0.25, ("a", "c"): 0.125, ("d", "b"): 0.0, ("d", "c"): 0.0}
    want = mating_plan(
        between,
        cocks=page["cocks"],
        hens=page["hens"],
        cages=[Places(cage.id, cage.cocks, cage.hens) for cage in CAGES],
        limit=0.25,
    )
    assert isinstance(want, MatingPlan)
    assert page["plan"]["expected"] == pytest.approx(want.expected_inbreeding) == pytest.approx(0.125 / 2)
    assert page["plan"]["worst"] == ["a", "c", 0.125]
    # A swap, as the phone adds it up from the table: both hens change places.
    assert swap(want, "b", "c").expected_inbreeding == pytest.approx((at["a", "b"] + at["d", "c"]) / 2)


def test_the_same_question_has_the_same_answer_and_is_not_asked_again() -> None:
    seen = MatingSeen(KEEPERS, CAGES, FAMILY)
    first = mating_page(seen)
    kept = {**first, "plan": {**first["plan"], "at_random": 0.999}}  # as if it had been another answer
    assert mating_page(seen, before=kept)["plan"]["at_random"] == 0.999
    fewer = MatingSeen(KEEPERS[:-1], CAGES, FAMILY)
    assert mating_page(fewer, before=kept)["plan"]["at_random"] != 0.999


def test_the_youngest_hens_come_first_and_those_past_breeding_not_at_all() -> None:
    old = keeper("f2", "hen", hatched_on=date(2025, 1, 1))
    past = keeper("f3", "hen", too_old=True)
    asked = who_is_asked(MatingSeen([*KEEPERS, old, past], CAGES, FAMILY))
    assert [bird.id for bird in asked.hens] == ["c", "b"]
    assert [bird.id for bird in asked.over] == ["f2"]


def test_what_is_missing_is_said() -> None:
    no_cock = mating_page(MatingSeen(KEEPERS[2:], CAGES, FAMILY))
    assert (no_cock["missing"]["what"], no_cock["plan"]) == ("cocks", None)
    no_cage = mating_page(MatingSeen(KEEPERS, [], FAMILY))
    assert no_cage["missing"]["what"] == "cages"
    loop = mating_page(MatingSeen(KEEPERS, CAGES, "D-4 is its own ancestor."))
    assert (loop["missing"]["reason"], loop["missing"]["detail"]) == ("contradiction", "D-4 is its own ancestor.")


def test_too_close_a_pair_is_named_where_no_plan_avoids_it() -> None:
    # Of one brood of brother and sister mated once more; only one cock for one hen.
    twice = pedigree(
        {
            "m": None,
            "f": None,
            "x": mating(cocks=["m"], hens=["f"]),
            "y": mating(cocks=["m"], hens=["f"]),
            "p": mating(cocks=["x"], hens=["y"]),
            "q": mating(cocks=["x"], hens=["y"]),
        }
    )
    page = mating_page(MatingSeen([keeper("p", "cock"), keeper("q", "hen")], CAGES[:1], twice))
    assert page["plan"] is None
    # Full brother and sister of full brother and sister: 3/8 (Falconer & Mackay, table of inbreeding, from memory).
    assert page["no_plan"]["pairs"] == [["p", "q", 0.375]]


def test_chicks_of_trays_pooled_have_each_trays_share() -> None:
    one = TrayParents(("m1",), ("f1", "f2"), 0, 0, chicks=30)
    two = TrayParents((), ("f3",), 1, 1, chicks=10)  # its cock is not known, nor is one of its two hens
    assert origin_of([one, two], known=2) == [
        (0.75, mating(cocks=["m1"], hens=["f1", "f2"])),
        (0.25, mating(hens={"f3": 0.5})),
    ]
    assert origin_of([one], known=2) is None  # of another tray nobody knows the cage: who knows whose chick it is


def stock(owner: Scribe, cage: str, brood: str, birds: dict[str, str], *, day: date) -> None:
    named = [{"bird": bird, "brood": brood} for bird in birds]
    sexes = list(birds.values())
    body = {"cage": cage, "brood": brood, "from_cage": None, "unsexed": 0, "birds": named}
    entry = owner.entry("birds_placed", day=day, **body, hens=sexes.count("hen"), cocks=sexes.count("cock"))
    owner.send({**entry, "version": 2})


def birds_of(owner: Scribe, brood: str, sexes: list[str], *, day: date) -> dict[str, str]:
    found = {new_id(): sex for sex in sexes}
    for bird, sex in found.items():
        body = {"bird": bird, "brood": brood, "result": sex, "band": None}
        owner.expect("written", owner.write("bird_sexed", day=day, **body))
    return found


def a_family(owner: Scribe) -> tuple[str, list[dict[str, str]], str, dict[str, str], str]:
    """Two cages of a cock and two hens, a brood of both, a cock and a hen of it kept: line, parents of each cage, the
    brood, the young, and the first cage."""
    line = owner.line()
    cages = [owner.cage(f"A{n}", line=line, place=n) for n in (1, 2)]
    old = owner.brood(line, hatched_on=date(2025, 9, 1), code="25-9")
    parents = [birds_of(owner, old, ["cock", "hen", "hen"], day=date(2025, 10, 20)) for _ in cages]
    for cage, birds in zip(cages, parents, strict=True):
        stock(owner, cage, old, birds, day=date(2025, 11, 1))
    setting, brood = new_id(), new_id()
    trays = [tray(line, cage=cage, laid=[("2026-02-01", 20)], name=str(n)) for n, cage in enumerate(cages)]
    set_eggs(owner, *trays, set_on="2026-02-02", setting=setting)
    for each, chicks in zip(trays, (12, 6), strict=True):
        owner.expect(
            "written", owner.write("hatched", day=date(2026, 2, 19), **hatching(setting, each["tray"], chicks))
        )
    body = {"brood": brood, "setting": setting, "trays": [each["tray"] for each in trays], "line": line}
    owner.write("brood_hatched", day=date(2026, 2, 19), **body, code="26-2", hatched_on="2026-02-19", note="")
    owner.write("chicks_seen", day=date(2026, 2, 19), brood=brood, setting=setting, plumage=None, chicks=18)
    young = birds_of(owner, brood, ["cock", "hen"], day=date(2026, 4, 10))
    for bird in young:
        owner.write("bird_decided", day=date(2026, 4, 16), bird=bird, brood=brood, decision="keep", note="")
    return line, parents, brood, young, cages[0]


@pytest.mark.django_db
def test_from_the_entries_to_pedigree_and_plan(cast: Cast) -> None:
    owner = cast.owner
    line, parents, _, young, _ = a_family(owner)
    reckon(now=lambda: NOON)

    farm, row = Farm.objects.get(pk=owner.farm.pk), Line.objects.get(pk=line)
    known = pedigree_of_line(farm, row)
    (sire, *dams), (other_sire, *_) = (list(birds) for birds in parents)
    chick = next(iter(young))
    # 12 of 18 chicks are of the first cage: its cock is the father of two thirds, each of its two hens the mother of
    # one third.
    halves = known.origin_parents[[int(known.origin_of[known.place[chick]])]].toarray()[0]
    assert halves[known.place[sire]] == pytest.approx(1 / 3)
    assert halves[known.place[dams[0]]] == pytest.approx(1 / 6)
    assert halves[known.place[other_sire]] == pytest.approx(1 / 6)

    page: dict[str, Any] = FigureTable.objects.get(subject=f"mating/{line}").body
    assert len(page["cocks"]) == 3
    assert len(page["hens"]) == 4  # there are four places: the oldest of five hens has none
    assert len(page["no_place"]) == 1
    assert np.allclose(page["coancestry"], coancestry(known, page["cocks"], page["hens"]), atol=1e-6)
    assert page["by_brood"] == [["26-2", "2026-02-19", 0.0, 2]]
    assert page["a_generation"]["missing"]["what"] == "matings"
    assert len(page["plan"]["left_out"]) == 1  # three cocks for two cages


@pytest.mark.django_db
def test_a_bird_that_is_its_own_ancestor_stops_no_page_and_is_named_by_its_number(cast: Cast) -> None:
    owner = cast.owner
    line, _, brood, young, cage = a_family(owner)
    cock = next(bird for bird, sex in young.items() if sex == "cock")
    weight = {"band": None, "grams": 290.0, "typed": {"value": "290", "unit": "g"}}
    owner.write("bird_weight", day=date(2026, 4, 16), bird=cock, brood=brood, **weight)
    stock(owner, cage, brood, {cock: "cock"}, day=date(2026, 1, 20))  # the wrong day: before its own egg was laid
    assert reckon(now=lambda: NOON).failed == set()
    for name in ("mating", "choosing"):
        page: dict[str, Any] = FigureTable.objects.get(subject=f"{name}/{line}").body
        assert page["missing"]["reason"] == "contradiction"
        assert "no. 1 of 26-2" in page["missing"]["detail"]
        assert cock not in page["missing"]["detail"]


@pytest.mark.django_db
def test_two_keepers_of_one_number_are_told_apart_by_who_gave_it(cast: Cast) -> None:
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=date(2026, 5, 1), code="26-4")
    for scribe, number, sex in ((cast.owner, 3, "cock"), (cast.helper, 3, "hen"), (cast.helper, 4, "hen")):
        bird = new_id()
        look = scribe.entry("bird_sexed", bird=bird, brood=brood, number=number, result=sex, band=None)
        scribe.send({**look, "version": 2})
        scribe.write("bird_decided", bird=bird, brood=brood, decision="keep", note="")
    seen = see_mating(cast.owner.farm, Line.objects.get(pk=line), today=date(2026, 7, 15))
    names = sorted(each.name for each in seen.keepers)
    people = sorted(person.name for person in (cast.owner.person, cast.helper.person))
    assert names == [*(f"no. 3 of 26-4 ({name}’s)" for name in people), "no. 4 of 26-4"]
