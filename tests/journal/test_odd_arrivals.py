"""What comes in an odd order, from another farm, or makes the house itself fail: it touches only itself."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from barnbook.barn.models import Cage, Collection
from barnbook.journal.kinds import KINDS
from barnbook.journal.models import Entry, SetAside
from barnbook.journal.rebuild import differences
from tests.conftest import Cast
from tests.scribe import new_id

pytestmark = pytest.mark.django_db


def test_a_strike_of_what_was_aside_holds_when_the_entry_can_be_read_after_all(cast: Cast) -> None:
    cage = cast.owner.cage()
    count = cast.helper.entry("egg_count", **cast.helper.count_body(cage, 7))
    assert cast.owner.send(count)[0].code == "author_not_here"
    assert cast.owner.write("strike", entry=count["id"], why="seven cannot be").verdict == "written"
    both = [cast.owner.person, cast.helper.person]
    cast.owner.send(count, authors=both)
    assert not Collection.objects.exists()
    assert Entry.objects.get(pk=count["id"]).struck_by is not None
    assert differences(cast.owner.farm) == []


def test_a_strike_in_the_same_batch_as_what_is_set_aside_closes_it(cast: Cast) -> None:
    cage = cast.owner.cage()
    bad = cast.owner.entry("egg_count", **cast.owner.count_body(cage, -1))
    verdicts = cast.owner.send(cast.owner.entry("strike", entry=bad["id"], why=""), bad)
    assert [v.verdict for v in verdicts] == ["written", "aside"]
    assert SetAside.objects.get().mended_by is not None


def test_a_mend_that_comes_before_what_it_mends_closes_it(cast: Cast) -> None:
    cage = cast.owner.cage()
    bad = cast.owner.entry("egg_count", **cast.owner.count_body(cage, -1))
    mend = {**cast.owner.entry("egg_count", **cast.owner.count_body(cage, 1)), "mends": bad["id"]}
    cast.owner.send(mend)
    cast.owner.send(bad)
    assert str(SetAside.objects.get().mended_by) == mend["id"]


def test_a_helper_does_not_close_what_the_owner_must_answer_for(cast: Cast) -> None:
    cage = cast.owner.cage()
    bad = cast.owner.entry("egg_count", **cast.owner.count_body(cage, -1))
    cast.owner.send(bad)
    mend = {**cast.helper.entry("egg_count", **cast.helper.count_body(cage, 1)), "mends": bad["id"]}
    assert cast.helper.send(mend)[0].verdict == "written"
    assert SetAside.objects.get().mended_by is None


def test_another_farms_cage_cannot_be_written_again_here(cast: Cast) -> None:
    theirs = cast.stranger.cage("A1")
    body = {"cage": theirs, "code": "MINE", "row": "A", "place": 1, "line": None, "closed": False}
    good = cast.owner.entry("cage", **{**body, "cage": new_id()})
    verdicts = cast.owner.send(cast.owner.entry("cage", **body), good)
    assert [v.verdict for v in verdicts] == ["aside", "written"]
    assert verdicts[0].code == "other_farm"
    assert Cage.objects.get(pk=theirs).code == "A1"


@pytest.mark.parametrize("where", ["id", "kind"])
def test_half_a_character_in_an_envelope_touches_only_itself(cast: Cast, where: str) -> None:
    cage = cast.owner.cage()
    bad = {**cast.owner.entry("egg_count", **cast.owner.count_body(cage, 1, "r1")), where: "\ud800"}
    verdicts = cast.owner.send(bad, cast.owner.entry("egg_count", **cast.owner.count_body(cage, 2, "r2")))
    assert [v.verdict for v in verdicts][1] == "written"
    assert verdicts[0].verdict in ("aside", "later")


def test_an_entry_on_which_the_house_itself_fails_is_kept_and_the_others_are_taken(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(entry: Any) -> Any:
        if entry.body["text"] == "poison":
            raise ZeroDivisionError
        return []

    monkeypatch.setitem(KINDS, "cage_note", replace(KINDS["cage_note"], effects=fails))
    cage = cast.owner.cage()
    counts = [cast.owner.entry("egg_count", **cast.owner.count_body(cage, n, f"r{n}")) for n in range(6)]
    poison = cast.owner.entry("cage_note", cage=cage, text="poison")
    verdicts = cast.owner.send(*counts[:3], poison, *counts[3:])
    assert [v.verdict for v in verdicts] == ["written"] * 3 + ["later"] + ["written"] * 3
    assert verdicts[3].code == "house_fault"
    kept = SetAside.objects.get()
    assert (kept.code, kept.later) == ("house_fault", True)
    assert cast.owner.send(poison)[0].code == "house_fault"
    assert SetAside.objects.count() == 1

    monkeypatch.undo()  # the house is updated, and the phone sends it again
    assert cast.owner.send(poison)[0].verdict == "written"
    assert str(SetAside.objects.get().mended_by) == poison["id"]


def test_an_entry_that_waited_is_doubted_when_it_comes_to_stand(cast: Cast) -> None:
    cage = new_id()
    weighed = cast.helper.entry("egg_weight", cage=cage, eggs=1, grams=155.0, typed={"value": "155", "unit": "g"})
    assert cast.helper.send(weighed)[0].verdict == "waits"
    cast.owner.cage(cage=cage)
    assert Entry.objects.get(pk=weighed["id"]).code == "weight_far_off"


def test_a_question_about_one_cage_stays_when_the_other_cage_of_the_move_is_built_anew(cast: Cast) -> None:
    one, two = cast.owner.cage("A1"), cast.owner.cage("A2", place=2)
    move = cast.owner.write(
        "birds_placed", day=date(2026, 7, 2), cage=two, brood=None, from_cage=one, hens=2, cocks=0, unsexed=0
    )
    assert move.code == "below_zero"
    dead = {"cage": two, "brood": None, "hens": 1, "cocks": 0, "unsexed": 0, "note": ""}
    cast.owner.write("found_dead", day=date(2026, 7, 3), **dead)
    assert Entry.objects.get(pk=move.id).code == "below_zero"
    cast.owner.stock(one, hens=5, day=date(2026, 7, 1))
    assert Entry.objects.get(pk=move.id).code == ""
