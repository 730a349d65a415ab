"""Numbers that contradict one another: both stand, both entries are asked about, and striking one settles it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from barnbook.barn.models import Bird, Brood, Cage, Farm, Tray
from barnbook.journal.models import Entry
from barnbook.journal.rebuild import differences
from tests.conftest import Cast
from tests.journal.bodies import hatching, leaving, second, set_eggs, tray
from tests.scribe import Scribe, new_id

pytestmark = pytest.mark.django_db
HATCHED = date(2026, 5, 1)

Made = tuple[list[str], Callable[[], bool]]
"""The two entries that contradict one another, the one to strike last; and whether the numbers stand unclipped."""


def send(scribe: Scribe, kind: str, *, version: int = 1, **body: Any) -> str:
    entry = scribe.entry(kind, **body)
    scribe.send(second(entry) if version == 2 else entry)
    return str(entry["id"])


def more_chicks_than_eggs(scribe: Scribe) -> Made:
    one = tray(scribe.line(), cage=None, laid=[(None, 10)])
    setting = set_eggs(scribe, one)
    hatched = send(scribe, "hatched", **hatching(setting, one["tray"], 14))
    set_ = Entry.objects.get(kind="eggs_set").pk
    return [str(set_), hatched], lambda: Tray.objects.get().hatched == 14


def more_sexed_than_alive(scribe: Scribe) -> Made:
    line, brood = scribe.line(), new_id()
    body = {"brood": brood, "line": line, "code": "26-07", "hatched_on": HATCHED.isoformat(), "chicks": 2, "note": ""}
    written = send(scribe, "brood", **body)
    looks = [send(scribe, "bird_sexed", bird=new_id(), brood=brood, result="cock", band=None) for _ in range(3)]
    return [written, looks[-1]], lambda: Brood.objects.get().unlooked == -1


def hens_below_zero(scribe: Scribe) -> Made:
    cage = scribe.cage()
    put = send(scribe, "birds_placed", cage=cage, brood=None, from_cage=None, hens=2, cocks=0, unsexed=0)
    sold = send(scribe, "birds_sold", **leaving(cage=cage, hens=3))
    return [put, sold], lambda: Cage.objects.get().hens == -1


def a_bird_in_two_cages(scribe: Scribe) -> Made:
    line = scribe.line()
    brood = scribe.brood(line, hatched_on=HATCHED, chicks=9)
    bird = new_id()
    scribe.write("bird_sexed", bird=bird, brood=brood, result="hen", band=None)
    cages = [scribe.cage(code, line=line) for code in ("A1", "A2")]
    put = [
        send(
            scribe,
            "birds_placed",
            version=2,
            cage=cage,
            brood=brood,
            from_cage=None,
            hens=1,
            cocks=0,
            unsexed=0,
            birds=[{"bird": bird, "brood": brood}],
        )
        for cage in cages
    ]
    return put, lambda: str(Bird.objects.get().cage) == cages[1]


def a_band_used_twice(scribe: Scribe) -> Made:
    line = scribe.line()
    broods = [scribe.brood(line, hatched_on=HATCHED, chicks=9, code=code) for code in ("26-07", "26-08")]
    looks = [send(scribe, "bird_sexed", bird=new_id(), brood=brood, result="hen", band="B-7") for brood in broods]
    return looks, lambda: Bird.objects.filter(band="B-7").count() == 2


CONTRADICTIONS = {
    "more_chicks_than_eggs": more_chicks_than_eggs,
    "more_birds_than_chicks": more_sexed_than_alive,
    "below_zero": hens_below_zero,
    "bird_in_two_cages": a_bird_in_two_cages,
    "band_used_twice": a_band_used_twice,
}


@pytest.mark.parametrize("code", CONTRADICTIONS)
def test_both_are_asked_about_nothing_is_clipped_and_striking_one_settles_it(cast: Cast, code: str) -> None:
    both, unclipped = CONTRADICTIONS[code](cast.owner)
    asked = Entry.objects.filter(code=code)
    assert {str(entry.pk) for entry in asked} == set(both)
    assert all(entry.detail for entry in asked)
    assert unclipped()
    cast.owner.write("strike", entry=both[-1], why="")
    assert not Entry.objects.filter(code=code, struck_by=None).exists()
    assert differences(Farm.objects.get(pk=cast.owner.farm.pk)) == []


def test_the_plumage_of_a_bird_is_the_last_one_seen_and_none_once_that_is_struck(cast: Cast) -> None:
    brood = cast.owner.brood(cast.owner.line(), hatched_on=HATCHED, chicks=9)
    bird = new_id()
    first = send(cast.helper, "plumage_seen", bird=bird, brood=brood, plumage="fawn")
    later = send(cast.helper, "plumage_seen", bird=bird, brood=brood, plumage="slate")
    assert Bird.objects.get().row()["plumage"] == "slate"
    cast.owner.write("strike", entry=later, why="")
    assert Bird.objects.get().plumage == "fawn"
    cast.owner.write("strike", entry=first, why="")
    assert not Bird.objects.exists(), "no entry speaks of it any more"
