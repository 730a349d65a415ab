"""A batch comes in: each entry has a verdict of its own, and none can hurt another."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from barnbook.barn.models import Brood, Cage, Collection, HeadEvent, ToReckon
from barnbook.journal.models import Entry, SetAside
from tests.conftest import Cast
from tests.scribe import DAY, new_id, uid

pytestmark = pytest.mark.django_db


def test_a_count_is_written_and_stands_in_the_barn(cast: Cast) -> None:
    cage = cast.owner.cage(line=cast.owner.line())
    verdict = cast.owner.count(cage, 5)
    assert verdict.verdict == "written"
    stands = Collection.objects.of(cast.owner.farm).get()
    assert (stands.cage, stands.day, stands.round, stands.eggs, stands.clash) == (
        uid(cage),
        DAY,
        "morning",
        5,
        False,
    )
    assert ToReckon.objects.of(cast.owner.farm).filter(subject=f"cage/{cage}").exists()


def test_the_same_entry_again_is_already_there_and_counts_once(cast: Cast) -> None:
    cage = cast.owner.cage()
    entry = cast.owner.entry("egg_count", **cast.owner.count_body(cage, 4))
    words = [cast.owner.send(entry)[0].verdict for _ in range(2)] + [v.verdict for v in cast.owner.send(entry, entry)]
    assert words == ["written", "already", "already", "already"]
    assert Entry.objects.filter(kind="egg_count").count() == 1
    assert Collection.objects.get().eggs == 4


def test_an_id_used_twice_with_other_content_is_set_aside_and_the_first_stays(cast: Cast) -> None:
    cage = cast.owner.cage()
    entry = cast.owner.entry("egg_count", **cast.owner.count_body(cage, 4))
    other = {**entry, "body": {**entry["body"], "eggs": 5}}
    first, second = cast.owner.send(entry, other)
    assert (first.verdict, second.verdict, second.code) == ("written", "aside", "id_taken")
    again = cast.owner.send(other)[0]
    assert (again.verdict, again.code) == ("aside", "id_taken")
    assert Collection.objects.get().eggs == 4
    assert SetAside.objects.get().code == "id_taken"


def test_an_entry_that_names_a_cage_not_here_yet_waits_and_counts_once_it_comes(cast: Cast) -> None:
    cage = new_id()
    count = cast.helper.entry("egg_count", **cast.helper.count_body(cage, 3))
    verdict = cast.helper.send(count)[0]
    assert (verdict.verdict, verdict.code) == ("waits", "names_something_not_here")
    assert "cage" in verdict.detail
    assert not Collection.objects.exists()
    cast.owner.cage(cage=cage)
    assert Collection.objects.get().eggs == 3
    assert Entry.objects.get(pk=count["id"]).state == "stands"
    assert cast.helper.send(count)[0].verdict == "already"


def test_a_count_and_its_cage_may_come_in_one_batch_in_any_order(cast: Cast) -> None:
    cage = new_id()
    count = cast.owner.entry("egg_count", **cast.owner.count_body(cage, 3))
    body = {"cage": cage, "code": "B2", "row": "B", "place": 2, "line": None, "closed": False}
    verdicts = cast.owner.send(count, cast.owner.entry("cage", **body))
    assert [v.verdict for v in verdicts] == ["written", "written"]
    assert Collection.objects.get().eggs == 3


BAD: list[tuple[str, Any, str, str]] = [
    ("not an object", 7, "aside", "unreadable"),
    ("no id", {"kind": "egg_count"}, "aside", "unreadable"),
    ("an unknown kind", {"kind": "moon_phase"}, "later", "newer_than_the_house"),
    ("a newer version", {"version": 2}, "later", "newer_than_the_house"),
    ("a field missing from the envelope", {"stamp": None}, "aside", "unreadable"),
    ("the day after tomorrow", {"day": "2026-07-17"}, "aside", "day_in_future"),
    ("no day at all", {"day": "2026-13-01"}, "aside", "unreadable"),
    ("an author who never signed in here", {"author": new_id()}, "aside", "author_not_here"),
    ("a negative count", {"body": {"eggs": -1}}, "aside", "body_wrong_field"),
    ("half an egg", {"body": {"eggs": 0.5}}, "aside", "body_wrong_field"),
    ("a thousand eggs", {"body": {"eggs": 1000}}, "aside", "body_wrong_field"),
    ("a field too many", {"body": {"moon": 1}}, "aside", "body_extra_field"),
    ("a null character", {"body": {"round": "mor\x00ning"}}, "aside", "body_wrong_field"),
]


@pytest.mark.parametrize(("what", "wrong", "word", "code"), BAD, ids=[each[0] for each in BAD])
def test_bad_input_touches_only_itself_and_is_kept(cast: Cast, what: str, wrong: Any, word: str, code: str) -> None:
    cage = cast.owner.cage()
    good = [cast.owner.entry("egg_count", **cast.owner.count_body(cage, n, f"r{n}")) for n in (1, 2)]
    bad: Any = wrong
    if isinstance(wrong, dict):
        bad = cast.owner.entry("egg_count", **cast.owner.count_body(cage, 5, "r5"))
        bad["body"].update(wrong.get("body", {}))
        bad.update({key: value for key, value in wrong.items() if key != "body"})
        if what == "no id":
            del bad["id"]
    verdicts = cast.owner.send(good[0], bad, good[1])
    assert [v.verdict for v in verdicts] == ["written", word, "written"]
    assert verdicts[1].code == code
    assert verdicts[1].detail.endswith(".")
    assert sorted(Collection.objects.values_list("eggs", flat=True)) == [1, 2]
    kept = SetAside.objects.get()
    assert kept.code == code
    cast.owner.send(bad)
    assert SetAside.objects.count() == 1, "the same bytes are kept once"


def test_another_farms_cage_is_refused(cast: Cast) -> None:
    theirs = cast.stranger.cage()
    verdict = cast.owner.count(theirs, 3)
    assert (verdict.verdict, verdict.code) == ("aside", "other_farm")
    assert not Collection.objects.exists()


def test_onlookers_do_not_write_and_helpers_do_not_set_up(cast: Cast) -> None:
    cage = cast.owner.cage()
    assert cast.onlooker.count(cage, 3).code == "onlookers_do_not_write"
    body = {"cage": new_id(), "code": "Z9", "row": "Z", "place": 9, "line": None, "closed": False}
    assert cast.helper.write("cage", **body).code == "owners_only"
    assert cast.helper.count(cage, 3).verdict == "written"


def test_a_mended_entry_takes_the_aside_one_off_the_list(cast: Cast) -> None:
    cage = cast.owner.cage()
    bad = cast.owner.entry("egg_count", **cast.owner.count_body(cage, -1))
    cast.owner.send(bad)
    mended = {**cast.owner.entry("egg_count", **cast.owner.count_body(cage, 1)), "mends": bad["id"]}
    assert cast.owner.send(mended)[0].verdict == "written"
    assert str(SetAside.objects.get().mended_by) == mended["id"]


def test_two_phones_counting_one_cage_both_stand_and_the_owner_is_asked(cast: Cast) -> None:
    cage = cast.owner.cage()
    first = cast.owner.entry("egg_count", **cast.owner.count_body(cage, 4))
    cast.owner.send(first)
    second = cast.helper.count(cage, 5)
    assert (second.verdict, second.code) == ("questioned", "counted_twice")
    assert Collection.objects.get().clash
    assert Entry.objects.get(pk=first["id"]).code == "counted_twice"
    cast.owner.write("strike", entry=second.id, why="")
    stands = Collection.objects.get()
    assert (stands.eggs, stands.clash) == (4, False)
    assert Entry.objects.get(pk=first["id"]).code == ""


def test_counts_of_different_rounds_stand_side_by_side(cast: Cast) -> None:
    cage = cast.owner.cage()
    cast.owner.count(cage, 4, round_="morning")
    cast.helper.count(cage, 1, round_="evening")
    assert sorted(Collection.objects.values_list("eggs", "clash")) == [(1, False), (4, False)]


def test_more_eggs_than_the_hens_can_lay_are_written_and_asked_about(cast: Cast) -> None:
    cage = cast.owner.cage()
    cast.owner.stock(cage, hens=3, day=date(2026, 7, 1))
    cast.owner.count(cage, 3, day=date(2026, 7, 13))
    assert cast.owner.count(cage, 4, day=date(2026, 7, 14)).verdict == "written"
    asked = cast.owner.count(cage, 9, day=date(2026, 7, 15))
    assert (asked.verdict, asked.code) == ("questioned", "more_eggs_than_hens")


def test_birds_placed_in_the_same_batch_are_known_when_their_eggs_are_doubted(cast: Cast) -> None:
    cage = cast.owner.cage()
    cast.owner.count(cage, 0, day=date(2026, 7, 13))
    placed = {"cage": cage, "brood": None, "from_cage": None, "hens": 6, "cocks": 1, "unsexed": 0}
    count = cast.owner.entry("egg_count", day=date(2026, 7, 15), **cast.owner.count_body(cage, 5))
    verdicts = cast.owner.send(cast.owner.entry("birds_placed", day=date(2026, 7, 14), **placed), count)
    assert [v.verdict for v in verdicts] == ["written", "written"]


def test_a_first_count_is_doubted_by_the_days_since_the_birds_were_placed(cast: Cast) -> None:
    cage, never_stocked = cast.owner.cage("A1"), cast.owner.cage("A2", place=2)
    cast.owner.stock(cage, hens=5, day=date(2026, 7, 12))
    assert cast.owner.count(cage, 99, day=date(2026, 7, 15)).code == "more_eggs_than_hens"
    assert cast.owner.count(never_stocked, 9, day=date(2026, 7, 15)).code == ""


def test_hens_that_died_after_they_laid_are_counted_when_their_eggs_are_doubted(cast: Cast) -> None:
    cage = cast.owner.cage()
    cast.owner.stock(cage, hens=6, day=date(2026, 7, 1))
    cast.owner.count(cage, 5, day=date(2026, 7, 13))
    gone = {"cage": cage, "brood": None, "hens": 4, "cocks": 0, "unsexed": 0, "note": "a stoat"}
    count = cast.owner.entry("egg_count", day=date(2026, 7, 14), **cast.owner.count_body(cage, 6))
    verdicts = cast.owner.send(count, cast.owner.entry("found_dead", day=date(2026, 7, 14), **gone))
    assert [v.verdict for v in verdicts] == ["written", "written"]


def test_heads_follow_placing_deaths_moves_and_checks(cast: Cast) -> None:
    one, two = cast.owner.cage("A1"), cast.owner.cage("A2", place=2)
    cast.owner.stock(one, hens=5, cocks=1, day=date(2026, 7, 1))
    cast.owner.write("found_dead", day=date(2026, 7, 3), cage=one, brood=None, hens=1, cocks=0, unsexed=0, note="")
    cast.owner.write(
        "birds_placed", day=date(2026, 7, 5), cage=two, brood=None, from_cage=one, hens=2, cocks=0, unsexed=0
    )
    a, b = Cage.objects.get(pk=one), Cage.objects.get(pk=two)
    assert (a.hens, a.cocks, a.stocked_on) == (2, 1, date(2026, 7, 1))
    assert (b.hens, b.cocks, b.stocked_on) == (2, 0, date(2026, 7, 5))
    cast.owner.write("head_check", day=date(2026, 7, 6), cage=one, hens=3, cocks=1, unsexed=0)
    assert Cage.objects.get(pk=one).hens == 3
    assert [e.kind for e in HeadEvent.objects.filter(cage=one).order_by("place")] == [
        "moved_in", "died", "moved_out", "checked",
    ]  # fmt: skip


def test_hens_below_zero_are_said_and_not_clipped(cast: Cast) -> None:
    cage = cast.owner.cage()
    cast.owner.stock(cage, hens=1, cocks=0, day=date(2026, 7, 1))
    dead = cast.owner.write(
        "found_dead", day=date(2026, 7, 2), cage=cage, brood=None, hens=2, cocks=0, unsexed=0, note=""
    )
    assert (dead.verdict, dead.code) == ("questioned", "below_zero")
    assert Cage.objects.get(pk=cage).hens == -1


def test_a_brood_is_sexed_and_a_bird_looked_at_again_is_not_a_second_one(cast: Cast) -> None:
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=date(2026, 6, 1), chicks=3)
    birds = [new_id() for _ in range(3)]
    for bird, result in zip(birds, ["cock", "hen", "unsure"], strict=True):
        cast.owner.write("bird_sexed", bird=bird, brood=brood, result=result, band=None)
    row = Brood.objects.get(pk=brood)
    assert (row.cocks, row.hens, row.unsure, row.unlooked) == (1, 1, 1, 0)
    cast.owner.write("bird_sexed", bird=birds[2], brood=brood, result="hen", band="B-3")
    row.refresh_from_db()
    assert (row.cocks, row.hens, row.unsure, row.unlooked) == (1, 2, 0, 0)
    assert list(row.birds.order_by("number").values_list("number", "sex", "band")) == [
        (1, "cock", None), (2, "hen", None), (3, "hen", "B-3"),
    ]  # fmt: skip
    fourth = cast.owner.write("bird_sexed", bird=new_id(), brood=brood, result="hen", band="B-3")
    assert fourth.code in ("more_birds_than_chicks", "band_used_twice")


def test_birds_placed_as_hens_and_cocks_are_not_left_to_be_looked_at(cast: Cast) -> None:
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=date(2026, 5, 1), chicks=10)
    cage = cast.owner.cage(line=line)
    cast.owner.stock(cage, hens=5, cocks=1, brood=brood)
    assert Brood.objects.get(pk=brood).unlooked == 4
    for left in (3, 2, 1, 0):
        cast.owner.write("bird_sexed", bird=new_id(), brood=brood, result="hen", band=None)
        assert Brood.objects.get(pk=brood).unlooked == left, "the others, looked at one by one"


def test_birds_looked_at_and_then_placed_are_counted_once(cast: Cast) -> None:
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=date(2026, 5, 1), chicks=10)
    for _ in range(8):
        cast.owner.write("bird_sexed", bird=new_id(), brood=brood, result="hen", band=None)
    cast.owner.stock(cast.owner.cage(line=line), hens=5, cocks=1, brood=brood)
    assert Brood.objects.get(pk=brood).unlooked == 2
    cast.owner.stock(cast.owner.cage("A2", line=line, place=2), hens=3, cocks=1, brood=brood)
    assert Brood.objects.get(pk=brood).unlooked == 0, "two more than were looked at went as hens or cocks"
