"""Striking: it stays readable, counts for nothing, and has its rights."""

from __future__ import annotations

from datetime import date

import pytest

from barnbook.barn.models import Cage, Collection, EggWeighing, Gone
from barnbook.journal.models import Entry, SetAside
from tests.conftest import Cast
from tests.scribe import new_id

pytestmark = pytest.mark.django_db


def test_a_struck_count_is_gone_from_the_barn_and_still_readable(cast: Cast) -> None:
    cage = cast.owner.cage()
    count = cast.owner.count(cage, 5)
    strike = cast.owner.write("strike", entry=count.id, why="wrong cage")
    assert strike.verdict == "written"
    assert not Collection.objects.exists()
    struck = Entry.objects.get(pk=count.id)
    assert (str(struck.struck_by), struck.body["eggs"]) == (strike.id, 5)


def test_a_strike_that_comes_before_its_entry_waits_for_it(cast: Cast) -> None:
    cage = cast.owner.cage()
    count = cast.owner.entry("egg_count", **cast.owner.count_body(cage, 5))
    assert cast.owner.write("strike", entry=count["id"], why="").verdict == "waits"
    cast.owner.send(count)
    assert not Collection.objects.exists()
    assert Entry.objects.get(pk=count["id"]).struck_by is not None


def test_helpers_strike_their_own_and_owners_anybodys(cast: Cast) -> None:
    cage = cast.owner.cage()
    owners, helpers = cast.owner.count(cage, 5), cast.helper.count(cage, 4, round_="evening")
    refused = cast.helper.write("strike", entry=owners.id, why="")
    assert (refused.verdict, refused.code) == ("aside", "not_yours_to_strike")
    assert Collection.objects.count() == 2
    assert cast.helper.write("strike", entry=helpers.id, why="").verdict == "written"
    assert cast.owner.write("strike", entry=owners.id, why="").verdict == "written"
    assert not Collection.objects.exists()


def test_a_strike_cannot_be_struck(cast: Cast) -> None:
    cage = cast.owner.cage()
    strike = cast.owner.write("strike", entry=cast.owner.count(cage, 5).id, why="")
    again = cast.owner.write("strike", entry=strike.id, why="")
    assert (again.verdict, again.code) == ("aside", "strike_of_a_strike")
    assert not Collection.objects.exists()


def test_striking_a_cage_makes_its_counts_wait_and_tells_the_phones(cast: Cast) -> None:
    cage = new_id()
    body = {"cage": cage, "code": "C1", "row": "C", "place": 1, "line": None, "closed": False}
    written = cast.owner.write("cage", **body)
    cast.owner.stock(cage, hens=4, day=date(2026, 7, 1))
    count = cast.owner.count(cage, 3)
    cast.owner.write("strike", entry=written.id, why="no such cage")
    assert not Cage.objects.exists()
    assert not Collection.objects.exists()
    assert Entry.objects.get(pk=count.id).state == "waits"
    assert Gone.objects.get(table="cage").row_id == cage
    cast.owner.write("cage", **body)
    assert Cage.objects.get().hens == 4
    assert Collection.objects.get().eggs == 3
    assert not Gone.objects.filter(table="cage").exists()


def test_a_struck_weighing_is_weighed_no_more(cast: Cast) -> None:
    cage = cast.owner.cage()
    weighed = cast.owner.write("egg_weight", cage=cage, eggs=1, grams=15.2, typed={"value": "15.2", "unit": "g"})
    assert EggWeighing.objects.get().grams == 15.2
    cast.owner.write("strike", entry=weighed.id, why="")
    assert not EggWeighing.objects.exists()


def test_what_was_set_aside_can_be_struck(cast: Cast) -> None:
    cage = cast.owner.cage()
    bad = cast.owner.entry("egg_count", **cast.owner.count_body(cage, -4))
    cast.owner.send(bad)
    strike = cast.owner.write("strike", entry=bad["id"], why="a slip of the thumb")
    assert strike.verdict == "written"
    assert str(SetAside.objects.get().mended_by) == strike.id


def test_a_strike_waits_for_what_is_set_aside_when_it_comes(cast: Cast) -> None:
    bad = cast.owner.entry("egg_count", **cast.owner.count_body(cast.owner.cage(), -4))
    strike = cast.owner.entry("strike", entry=bad["id"], why="")
    assert cast.owner.send(strike)[0].verdict == "waits"
    cast.owner.send(bad)
    assert Entry.objects.get(pk=strike["id"]).state == "stands"
    assert str(SetAside.objects.get().mended_by) == strike["id"]


def test_a_strike_of_what_was_aside_strikes_it_still_once_it_can_be_read(cast: Cast) -> None:
    cage = new_id()
    body = {"cage": cage, "code": "C1", "row": "C", "place": 1, "line": None, "closed": False}
    theirs = cast.helper.entry("cage", **body)
    assert cast.helper.send(theirs)[0].code == "owners_only"
    assert cast.owner.write("strike", entry=theirs["id"], why="").verdict == "written"
    cast.helper.person.role = "owner"
    cast.helper.person.save()
    assert cast.helper.send(theirs)[0].verdict == "written"
    assert Entry.objects.get(pk=theirs["id"]).struck_by is not None
    assert not Cage.objects.exists()
