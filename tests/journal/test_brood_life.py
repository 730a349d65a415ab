"""A brood's birds placed, sold, processed and dead, worked by hand; and what contradicts."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from barnbook.barn.models import Bird, Brood, Cage, Processing, Stay, Withdrawal
from barnbook.journal.models import Entry
from tests.conftest import Cast
from tests.journal.bodies import NOT_WEIGHED, leaving, second
from tests.scribe import Scribe, new_id, uid

pytestmark = pytest.mark.django_db

HATCHED = date(2026, 5, 20)
TEN_DAYS_ON = date(2026, 7, 5)
NEXT_DAY = datetime(2026, 7, 16, 12, 0, tzinfo=UTC)


def sexed(scribe: Scribe, brood: str, result: str, band: str | None = None) -> str:
    bird = new_id()
    scribe.expect("written", scribe.write("bird_sexed", bird=bird, brood=brood, result=result, band=band))
    return bird


def placed(scribe: Scribe, cage: str, brood: str, birds: list[str], *, hens: int, day: date = TEN_DAYS_ON) -> str:
    named = [{"bird": bird, "brood": brood} for bird in birds]
    body = {"cage": cage, "brood": brood, "from_cage": None, "hens": hens, "cocks": 0, "unsexed": 0, "birds": named}
    entry = second(scribe.entry("birds_placed", day=day, **body))
    scribe.send(entry)
    return str(entry["id"])


def test_what_is_left_to_look_at(cast: Cast) -> None:
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=HATCHED, chicks=20)

    def numbers() -> tuple[int, int]:
        row = Brood.objects.get()
        return row.alive, row.unlooked

    hens = [sexed(cast.owner, brood, "hen") for _ in range(4)]
    sexed(cast.owner, brood, "unsure")
    assert numbers() == (20, 15)
    # Two unsexed chicks die: two fewer to look at.
    cast.helper.send(second(cast.helper.entry("found_dead", **leaving(brood=brood, unsexed=2))))
    assert numbers() == (18, 13)
    # One of the hens that were looked at is processed: the thirteen are still to be looked at.
    cast.helper.write("processed", **leaving(brood=brood, hens=1, birds=[(hens[0], brood)]), **NOT_WEIGHED)
    assert numbers() == (17, 13)
    # Five unsexed are sold.
    cast.owner.write("birds_sold", **leaving(brood=brood, unsexed=5))
    assert numbers() == (12, 8)
    # The eight are processed unseen: nothing is left to look at, and four birds are here.
    cast.owner.write("processed", **leaving(brood=brood, unsexed=8), **NOT_WEIGHED)
    assert numbers() == (4, 0)
    row = Brood.objects.get()
    assert (row.hens, row.unsure) == (3, 1)
    assert Entry.objects.exclude(code="").count() == 0


def test_a_hen_looked_at_that_died_is_not_one_too_many(cast: Cast) -> None:
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=HATCHED, chicks=3)
    for _ in range(3):
        sexed(cast.owner, brood, "hen")
    verdict = cast.owner.write("found_dead", cage=None, brood=brood, hens=1, cocks=0, unsexed=0, note="")
    assert verdict.verdict == "written"
    row = Brood.objects.get()
    assert (row.alive, row.unlooked) == (2, 0)


def test_a_bird_knows_its_cage_and_leaves_it(cast: Cast) -> None:
    line = cast.owner.line()
    first, other = cast.owner.cage("A1", line=line), cast.owner.cage("A2", line=line)
    brood = cast.owner.brood(line, hatched_on=HATCHED, chicks=10)
    hen = sexed(cast.owner, brood, "hen")
    placed(cast.owner, first, brood, [hen], hens=3, day=date(2026, 7, 5))
    bird = Bird.objects.get().row()
    assert (bird["cage"], bird["placed_on"]) == (first, "2026-07-05")
    move = {"cage": other, "brood": None, "from_cage": first, "hens": 1, "cocks": 0, "unsexed": 0}
    cast.owner.send(
        second(cast.owner.entry("birds_placed", day=date(2026, 7, 9), **move, birds=[{"bird": hen, "brood": brood}]))
    )
    assert Bird.objects.get().row()["cage"] == other
    stays = list(Stay.objects.order_by("from_day").values_list("from_day", "to_day"))
    assert stays == [(date(2026, 7, 5), date(2026, 7, 9)), (date(2026, 7, 9), None)]
    cast.owner.write("birds_sold", day=date(2026, 7, 12), **leaving(cage=other, hens=1, birds=[(hen, brood)]))
    row = Bird.objects.get().row()
    assert (row["gone"], row["gone_on"], row["sex"]) == ("sold", "2026-07-12", "hen")
    assert Stay.objects.get(from_day=date(2026, 7, 9)).to_day == date(2026, 7, 12)
    assert dict(Cage.objects.values_list("code", "hens")) == {"A1": 2, "A2": 0}
    assert Brood.objects.get().alive == 9
    assert Entry.objects.exclude(code="").count() == 0


def test_a_bird_in_two_cages_is_asked_about_on_both_entries(cast: Cast) -> None:
    line = cast.owner.line()
    first, other = cast.owner.cage("A1", line=line), cast.owner.cage("A2", line=line)
    brood = cast.owner.brood(line, hatched_on=HATCHED, chicks=10)
    hen = sexed(cast.owner, brood, "hen")
    one = placed(cast.owner, first, brood, [hen], hens=1)
    two = placed(cast.helper, other, brood, [hen], hens=1)
    asked = set(Entry.objects.filter(code="bird_in_two_cages").values_list("pk", flat=True))
    assert asked == {uid(one), uid(two)}
    cast.owner.write("strike", entry=two, why="it is in A1")
    assert Entry.objects.filter(code="bird_in_two_cages", struck_by=None).count() == 0
    assert Bird.objects.get().row()["cage"] == first


def test_gone_twice(cast: Cast) -> None:
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=HATCHED, chicks=10)
    hen = sexed(cast.owner, brood, "hen")
    for kind in ("birds_sold", "processed"):
        more = NOT_WEIGHED if kind == "processed" else {}
        cast.owner.write(kind, **leaving(brood=brood, hens=1, birds=[(hen, brood)]), **more)
    assert sorted(Entry.objects.filter(code="gone_twice").values_list("kind", flat=True)) == ["birds_sold", "processed"]
    assert Brood.objects.get().alive == 8  # said, not clipped


def test_more_sold_than_there_were(cast: Cast) -> None:
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=HATCHED, chicks=10)
    cast.owner.write("birds_sold", **leaving(brood=brood, unsexed=12))
    asked = Entry.objects.filter(code="more_birds_than_chicks").values_list("kind", flat=True)
    assert sorted(asked) == ["birds_sold", "brood"]
    assert Brood.objects.get().alive == -2


def test_a_band_is_unique_among_living_birds_of_all_broods(cast: Cast) -> None:
    line = cast.owner.line()
    old = cast.owner.brood(line, hatched_on=HATCHED, code="26-01")
    young = cast.owner.brood(line, hatched_on=HATCHED, code="26-02")
    hen = sexed(cast.owner, old, "hen", band="B-7")
    chick = {"bird": new_id(), "band": "B-7"}
    cast.owner.write("birds_banded", brood=young, birds=[chick])
    asked = Entry.objects.filter(code="band_used_twice").values_list("kind", flat=True)
    assert sorted(asked) == ["bird_sexed", "birds_banded"]
    # The old hen is sold: the band may be worn again, and nothing is asked any more.
    cast.owner.write("birds_sold", **leaving(brood=old, hens=1, birds=[(hen, old)]))
    assert Entry.objects.filter(code="band_used_twice").count() == 0


def test_a_band_taken_off_by_a_strike_is_asked_about_no_more(cast: Cast) -> None:
    line = cast.owner.line()
    old = cast.owner.brood(line, hatched_on=HATCHED, code="26-01")
    young = cast.owner.brood(line, hatched_on=HATCHED, code="26-02")
    sexed(cast.owner, old, "hen", band="B-7")
    entry = cast.owner.entry("birds_banded", brood=young, birds=[{"bird": new_id(), "band": "B-7"}])
    cast.owner.send(entry)
    cast.owner.write("strike", entry=entry["id"], why="misread")
    assert Entry.objects.filter(code="band_used_twice", struck_by=None).count() == 0


def test_hens_below_zero_are_asked_about_on_both_entries(cast: Cast) -> None:
    cage = cast.owner.cage()
    cast.owner.stock(cage, hens=2, cocks=0)
    cast.owner.write("birds_sold", **leaving(cage=cage, hens=3))
    assert Cage.objects.get().hens == -1
    assert sorted(Entry.objects.filter(code="below_zero").values_list("kind", flat=True)) == [
        "birds_placed",
        "birds_sold",
    ]


def test_a_guess_is_no_look(cast: Cast) -> None:
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=HATCHED, chicks=2)
    bird = new_id()
    guess = {"bird": bird, "brood": brood, "guess": "unsure", "by": "foam", "band": None}
    cast.helper.write("sex_guessed", **guess)
    row = Bird.objects.get().row()
    assert (row["sex"], row["looked_on"], row["guess"], row["guessed_by"]) == ("unsexed", None, "unsure", "foam")
    assert Brood.objects.get().unlooked == 2
    cast.owner.write("bird_sexed", bird=bird, brood=brood, result="cock", band=None)
    row = Bird.objects.get().row()
    assert (row["sex"], row["guess"]) == ("cock", "unsure")


def test_birds_bought_in_are_a_brood_of_known_sex(cast: Cast) -> None:
    line = cast.owner.line()
    body = {"brood": new_id(), "line": line, "code": "in 1", "hatched_on": "2026-04-20", "hatch_day_sure": False}
    numbers = {"hens": 6, "cocks": 2, "unsexed": 1}
    cast.owner.write("birds_bought_in", **body, **numbers, quarantine_until="2026-08-12", note="")
    row = Brood.objects.get().row()
    assert (row["chicks"], row["alive"], row["unlooked"]) == (9, 9, 1)
    assert (row["bought_in"], row["hatch_day_sure"], row["quarantine_until"]) == (True, False, "2026-08-12")


def test_processed_is_kept_with_its_weights(cast: Cast) -> None:
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=HATCHED, chicks=10)
    cock = sexed(cast.owner, brood, "cock")
    typed = {"live_typed": {"value": "290", "unit": "g"}, "dressed_typed": {"value": "203", "unit": "g"}}
    body = (
        leaving(brood=brood, cocks=1, birds=[(cock, brood)]) | typed | {"live_g": 290.0, "dressed_g": 203.0, "pluck": 4}
    )
    assert cast.helper.write("processed", **body).verdict == "written"
    row = Processing.objects.get()
    assert (row.live_g, row.dressed_g, row.pluck, str(row.bird), str(row.brood)) == (290.0, 203.0, 4, cock, brood)


@pytest.mark.parametrize(
    ("live_g", "dressed_g", "code"), [(290.0, 310.0, "weight_far_off"), (2900.0, 203.0, "weight_far_off")]
)
def test_a_weight_that_no_bird_has_is_asked_about(cast: Cast, live_g: float, dressed_g: float, code: str) -> None:
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=HATCHED, chicks=10)
    typed = {"value": "1", "unit": "g"}
    weights = {"live_g": live_g, "live_typed": typed, "dressed_g": dressed_g, "dressed_typed": typed, "pluck": None}
    verdict = cast.helper.write("processed", **leaving(brood=brood, cocks=1), **weights)
    assert (verdict.verdict, verdict.code) == ("questioned", code)


def test_a_batch_of_birds_by_the_weight_of_one(cast: Cast) -> None:
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=HATCHED, chicks=10)
    typed = {"value": "1120", "unit": "g"}
    four = {"brood": brood, "hens": 0, "cocks": 4, "unsexed": 0, "grams": 1120.0, "typed": typed}
    assert cast.helper.write("birds_weighed", **four).verdict == "written"  # 280 g a bird
    assert cast.helper.write("birds_weighed", **{**four, "cocks": 1}).code == "weight_far_off"


def test_a_decision_is_the_last_one(cast: Cast) -> None:
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=HATCHED, chicks=10)
    hen = sexed(cast.owner, brood, "hen")
    cast.owner.write("bird_decided", bird=hen, brood=brood, decision="hold", note="")
    cast.owner.write("bird_decided", bird=hen, brood=brood, decision="process", note="")
    row = Bird.objects.get().row()
    assert (row["decision"], row["gone"]) == ("process", None)  # decided, and still alive


def test_a_treatment_written_again_replaces(cast: Cast) -> None:
    cage = cast.owner.cage()
    days = {"from_day": "2026-07-01", "to_day": None, "eggs_until": "2026-07-10", "meat_until": "2026-07-17"}
    body = {"treatment": new_id(), "cage": cage, "brood": None, "line": None, "what": "mites", "note": ""} | days
    assert cast.helper.write("treated", **body).code == "owners_only"
    cast.owner.write("treated", **body)
    cast.owner.write("treated", **{**body, "to_day": "2026-07-03", "meat_until": "2026-07-24"})
    row = Withdrawal.objects.get().row()
    assert (row["subject"], row["last_day"], row["meat_until"]) == (f"cage/{cage}", "2026-07-03", "2026-07-24")


def called(scribe: Scribe, brood: str, number: int | None, *, stamp: int, result: str = "hen") -> str:
    """A look as a phone of today writes it, with the number that stood on its screen."""
    bird = new_id()
    scribe.send(
        second(scribe.entry("bird_sexed", stamp=stamp, bird=bird, brood=brood, number=number, result=result, band=None))
    )
    return bird


def test_a_bird_keeps_the_number_that_it_had_in_the_hand(cast: Cast) -> None:
    brood = cast.owner.brood(cast.owner.line(), hatched_on=HATCHED, chicks=20)
    mine = [called(cast.owner, brood, number, stamp=1000 + 10 * number) for number in (1, 2, 3)]
    first = Entry.objects.get(body__bird=mine[0]).pk
    # Another phone was apart meanwhile, and comes home later with entries made in between.
    theirs = [called(cast.helper, brood, number, stamp=1005 + 10 * number) for number in (1, 2)]
    untold = called(cast.helper, brood, None, stamp=1001)

    def numbers() -> dict[str, int]:
        return {str(bird.bird): bird.number for bird in Bird.objects.all()}

    both = {mine[0]: 1, mine[1]: 2, mine[2]: 3, theirs[0]: 1, theirs[1]: 2, untold: 4}
    assert numbers() == both
    people = {str(bird.bird): bird.numbered_by for bird in Bird.objects.all()}
    assert {people[bird] for bird in mine} == {cast.owner.person.pk}
    assert {people[bird] for bird in theirs} == {cast.helper.person.pk}
    assert people[untold] is None
    # One struck: no other bird is called otherwise for it.
    cast.owner.write("strike", entry=str(first), why="")
    assert numbers() == {bird: number for bird, number in both.items() if bird != mine[0]}
    # What is written of a bird later does not call it otherwise.
    weight = {"bird": mine[1], "brood": brood, "number": 77, "band": None, "grams": 210.0}
    entry = cast.owner.entry("bird_weight", **weight, typed={"value": "210", "unit": "g"})
    cast.owner.send(second(entry))
    assert numbers()[mine[1]] == 2


def test_one_bird_read_as_a_cock_and_as_a_hen_on_one_day_by_two_people_is_asked_about_on_both_looks(
    cast: Cast,
) -> None:
    brood = cast.owner.brood(cast.owner.line(), hatched_on=HATCHED, chicks=20)
    bird = new_id()
    look = {"bird": bird, "brood": brood, "band": None}
    cast.owner.write("bird_sexed", stamp=1001, **look, result="unsure")
    cast.helper.write("bird_sexed", stamp=1002, **look, result="hen")  # unsure no more: no contradiction
    assert not Entry.objects.filter(code="looked_at_twice").exists()
    again = cast.owner.entry("bird_sexed", stamp=1003, **look, result="cock")
    cast.owner.send(again)
    asked = Entry.objects.filter(code="looked_at_twice")
    assert asked.count() == 2
    assert all("Bird 1 was read as a hen and as a cock by two people" in entry.detail for entry in asked)
    cast.owner.write("strike", entry=again["id"], why="")
    assert not Entry.objects.filter(code="looked_at_twice", struck_by=None).exists()
    # On another day it is a correction, and nobody is asked.
    later = cast.owner.write("bird_sexed", day=date(2026, 7, 16), now=NEXT_DAY, **look, result="cock")
    assert later.verdict == "written"
