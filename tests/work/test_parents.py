"""The parents of a tray, worked by hand."""

from __future__ import annotations

from datetime import date

import pytest

from barnbook.barn.models import Gone, Parents
from barnbook.work.parents import Change, Stood, most_on, parents_of
from barnbook.work.reckon import reckon
from tests.conftest import Cast
from tests.journal.bodies import second, set_eggs, tray
from tests.scribe import NOON, new_id, uid

# A cage of 3 hens and 1 cock from 1 June; a hen dies on the 5th; on the 8th another cock comes for the first, who
# leaves the day after.
CHANGES = [
    Change(date(2026, 6, 1), "moved_in", 3, 1),
    Change(date(2026, 6, 5), "died", 1, 0),
    Change(date(2026, 6, 8), "moved_in", 0, 1),
    Change(date(2026, 6, 9), "moved_out", 0, 1),
]


@pytest.mark.parametrize(
    ("day", "stood"),
    [
        (date(2026, 5, 31), (0, 0)),
        (date(2026, 6, 1), (3, 1)),
        (date(2026, 6, 4), (3, 1)),
        (date(2026, 6, 5), (3, 1)),  # she may have laid before she died
        (date(2026, 6, 6), (2, 1)),
        (date(2026, 6, 8), (2, 2)),
        (date(2026, 6, 9), (2, 2)),
        (date(2026, 6, 10), (2, 1)),
    ],
)
def test_who_stood_there_on_a_day(day: date, stood: tuple[int, int]) -> None:
    assert most_on(CHANGES, day) == stood


def test_the_least_and_the_most_over_the_days_of_lay() -> None:
    one, other, late = uid(new_id()), uid(new_id()), uid(new_id())
    stays = [
        Stood(one, date(2026, 6, 1), date(2026, 6, 5)),
        Stood(other, date(2026, 6, 6), None),
        Stood(late, date(2026, 6, 9), None),
    ]
    laid = [(date(2026, 6, 4), 3), (date(2026, 6, 8), 2), (None, 4)]
    found = parents_of(laid, CHANGES, stays, tray=uid(new_id()), cage=uid(new_id()))
    assert (found.hens_low, found.hens_high, found.cocks_low, found.cocks_high) == (2, 3, 1, 2)
    assert (found.eggs, found.days_unknown) == (9, 4)
    assert (found.first_laid, found.last_laid) == (date(2026, 6, 4), date(2026, 6, 8))
    assert found.birds == sorted([str(one), str(other)])


def test_of_eggs_whose_day_nobody_knows_nothing_is_said() -> None:
    found = parents_of([(None, 7)], CHANGES, [], tray=uid(new_id()), cage=uid(new_id()))
    assert (found.hens_low, found.cocks_high, found.days_unknown, found.birds) == (None, None, 7, [])


@pytest.mark.django_db
def test_from_the_entries_to_the_parents(cast: Cast) -> None:
    line = cast.owner.line()
    cage = cast.owner.cage(line=line)
    brood = cast.owner.brood(line, hatched_on=date(2026, 3, 1))
    cock = new_id()
    cast.owner.write("bird_sexed", day=date(2026, 4, 20), bird=cock, brood=brood, result="cock", band="B-1")
    named = [{"bird": cock, "brood": brood}]
    move = {"cage": cage, "brood": brood, "from_cage": None, "hens": 3, "cocks": 1, "unsexed": 0, "birds": named}
    cast.owner.send(second(cast.owner.entry("birds_placed", day=date(2026, 6, 1), **move)))
    one = tray(line, cage=cage, laid=[("2026-06-04", 3), ("2026-06-06", 2)])
    setting = set_eggs(cast.owner, one, tray(line, cage=None, laid=[(None, 9)], name="2"))
    reckon(now=lambda: NOON)
    row = Parents.objects.get().row()  # the tray of no one cage has none
    assert (row["id"], row["setting"], row["cage"], row["birds"]) == (one["tray"], setting, cage, [cock])
    assert (row["hens_low"], row["hens_high"], row["cocks_high"]) == (3, 3, 1)
    # A death that was forgotten comes in late: the parents are worked out again.
    cast.helper.write("found_dead", day=date(2026, 6, 5), cage=cage, brood=None, hens=1, cocks=0, unsexed=0, note="")
    reckon(now=lambda: NOON)
    assert Parents.objects.get().row()["hens_low"] == 2
    seq = Parents.objects.get().seq
    reckon(now=lambda: NOON)
    assert Parents.objects.get().seq == seq  # the same keeps its place
    # The setting is written again without that tray: its parents go, and phones are told.
    set_eggs(cast.owner, tray(line, cage=None, laid=[(None, 9)], name="2"), setting=setting)
    reckon(now=lambda: NOON)
    assert not Parents.objects.exists()
    assert Gone.objects.filter(table="parents", row_id=one["tray"]).exists()
