"""What the owner is asked: every asker's own question on an entry, answered for good by finding it right."""

from __future__ import annotations

from datetime import date

import pytest

from barnbook.barn.models import Farm
from barnbook.journal.changes import changes_after
from barnbook.journal.models import Asked, Entry, SetAside
from barnbook.journal.rebuild import differences
from tests.conftest import Cast
from tests.scribe import new_id

pytestmark = pytest.mark.django_db

HATCHED = date(2026, 5, 1)


def shows(entry: str) -> str:
    return Entry.objects.get(pk=entry).code


def two_doubts(cast: Cast) -> str:
    """An entry that takes more birds out of a brood than hatched, and out of a cage more than stand there."""
    owner = cast.owner
    line = owner.line()
    brood, one, other = owner.brood(line, hatched_on=HATCHED, chicks=4), owner.cage("A1"), owner.cage("A2")
    birds = [{"bird": new_id(), "brood": brood} for _ in range(6)]
    body = {"cage": other, "brood": None, "from_cage": one, "hens": 6, "cocks": 0, "unsexed": 0, "birds": birds}
    placed = owner.entry("birds_placed", **body) | {"version": 2}
    owner.send(placed)
    dead = owner.entry("found_dead", cage=one, brood=None, hens=1, cocks=0, unsexed=0, note="")
    owner.send(dead)
    Asked.objects.create(farm=owner.farm, entry_id=placed["id"], asker="brood/x", code="gone_twice", detail="Twice.")
    return str(placed["id"])


def test_an_entry_keeps_every_question_and_shows_one(cast: Cast) -> None:
    entry = two_doubts(cast)
    assert set(Asked.objects.filter(entry=entry).values_list("code", flat=True)) == {"below_zero", "gone_twice"}
    right = cast.owner.entry("found_right", entries=[entry], code="gone_twice", note="looked again")
    cast.owner.send(right)
    assert shows(entry) == "below_zero"
    cast.owner.write("found_right", entries=[entry], code="below_zero", note="")
    assert shows(entry) == ""
    cast.owner.write("strike", entry=right["id"], why="it was not")
    assert shows(entry) == "gone_twice", "an answer that is struck answers nothing"


def test_an_unlikely_count_found_right_is_not_asked_about_again(cast: Cast) -> None:
    cage = cast.owner.cage()
    cast.owner.write(
        "birds_placed", day=date(2026, 7, 10), cage=cage, brood=None, from_cage=None, hens=2, cocks=0, unsexed=0
    )
    cast.owner.count(cage, 2, day=date(2026, 7, 13))
    much = cast.owner.entry("egg_count", day=date(2026, 7, 14), **cast.owner.count_body(cage, 9))
    verdict = cast.owner.send(much)[0]
    assert (verdict.verdict, verdict.code) == ("questioned", "more_eggs_than_hens")
    cast.owner.write("found_right", entries=[much["id"]], code="more_eggs_than_hens", note="a clutch under the straw")
    assert shows(much["id"]) == ""
    assert cast.owner.send(much)[0].code == ""
    again = cast.owner.entry("egg_count", day=date(2026, 7, 14), **cast.owner.count_body(cage, 4))
    cast.owner.send(again)
    assert shows(much["id"]) == "counted_twice", "another question is another matter"
    cast.owner.write("strike", entry=again["id"], why="")
    assert shows(much["id"]) == ""
    assert differences(Farm.objects.get(pk=cast.owner.farm.pk)) == []


def test_a_clash_and_a_doubt_are_both_kept(cast: Cast) -> None:
    """Settling the clash does not take the doubt along."""
    cage = cast.owner.cage()
    cast.owner.write(
        "birds_placed", day=date(2026, 7, 10), cage=cage, brood=None, from_cage=None, hens=2, cocks=0, unsexed=0
    )
    cast.owner.count(cage, 2, day=date(2026, 7, 13))
    much = cast.owner.entry("egg_count", day=date(2026, 7, 14), **cast.owner.count_body(cage, 9))
    other = cast.owner.entry("egg_count", day=date(2026, 7, 14), **cast.owner.count_body(cage, 2))
    cast.owner.send(much)
    cast.owner.send(other)
    assert shows(much["id"]) == "counted_twice"
    cast.owner.write("strike", entry=other["id"], why="")
    assert shows(much["id"]) == "more_eggs_than_hens"


def test_two_counts_of_a_round_cannot_both_be_found_right(cast: Cast) -> None:
    verdict = cast.owner.write("found_right", entries=[new_id()], code="counted_twice", note="")
    assert (verdict.verdict, verdict.code) == ("aside", "body_wrong_field")
    assert "strike the count that is wrong" in verdict.detail


def test_helpers_do_not_answer_what_the_owner_is_asked(cast: Cast) -> None:
    cage = cast.owner.cage()
    note = cast.owner.entry("cage_note", cage=cage, text="x")
    cast.owner.send(note)
    verdict = cast.helper.write("found_right", entries=[note["id"]], code="weight_far_off", note="")
    assert (verdict.verdict, verdict.code) == ("aside", "owners_only")


def test_what_was_mended_by_an_entry_that_is_struck_is_to_be_mended_again(cast: Cast) -> None:
    cage = cast.owner.cage()
    bad = cast.owner.entry("cage_note", cage=cage, text=7)
    cast.owner.send(bad)
    mended = cast.owner.entry("cage_note", cage=cage, text="seven") | {"mends": bad["id"]}
    cast.owner.send(mended)
    assert str(SetAside.objects.get().mended_by) == mended["id"]
    cast.owner.write("strike", entry=mended["id"], why="")
    assert SetAside.objects.get().mended_by is None


def test_a_row_with_the_id_of_one_that_is_left_is_not_said_to_be_gone(cast: Cast) -> None:
    """A bird under two broods by mistake: one of them struck, the phones keep the other."""
    owner = cast.owner
    line = owner.line()
    broods = [owner.brood(line, hatched_on=HATCHED, code=code) for code in ("26-01", "26-02")]
    bird = new_id()
    looks = [owner.entry("bird_sexed", bird=bird, brood=brood, result="hen", band=None) for brood in broods]
    owner.send(*looks)
    owner.write("strike", entry=looks[1]["id"], why="another brood's")
    farm = Farm.objects.get(pk=owner.farm.pk)
    rows = changes_after(farm.pk, after=0, limit=2000, today=date(2026, 7, 15)).rows
    told = [row["row"] for row in rows if row["table"] == "bird" and row["id"] == bird]
    assert [row and row["brood"] for row in told] == [broods[0]]
