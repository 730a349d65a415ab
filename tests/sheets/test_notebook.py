"""A notebook read as entries: which columns, which rows, which reasons; the same file twice writes nothing twice."""

from __future__ import annotations

import uuid
from datetime import date
from typing import Any

import pytest

from barnbook.barn.models import Brood, Collection, EggWeighing, Setting, Tray
from barnbook.journal.models import Entry
from barnbook.sheets.bring_in import bring_in
from barnbook.sheets.cells import DayOrder
from barnbook.sheets.columns import Plan, What, matched
from barnbook.sheets.notebook import Reading, read_notebook
from barnbook.sheets.row_ids import version_8
from barnbook.sheets.table import read_table
from tests.conftest import Cast
from tests.scribe import DAY, NOON

pytestmark = pytest.mark.django_db


@pytest.fixture
def barn(cast: Cast) -> Cast:
    line = cast.owner.line("Slate Barrow", other_names=["Barrow Grey"])
    for n, code in enumerate(("A1", "A2", "B1"), start=1):
        cage = cast.owner.cage(code, line=line, place=n)
        cast.owner.stock(cage, hens=5, day=date(2025, 10, 1))
    return cast


def reading(barn: Cast, text: str, **changes: Any) -> Reading:
    table = read_table(text.encode())
    plan = matched(table, cages=frozenset({"a1", "a2", "b1"}))
    if changes:
        names = ("what", "columns", "across", "unit", "order", "round")
        plan = Plan(**{name: changes.get(name, getattr(plan, name)) for name in names})
    return read_notebook(table, plan, farm=barn.owner.farm, author=barn.owner.person, today=DAY)


def write(barn: Cast, found: Reading) -> dict[str, int]:
    done = bring_in(found, farm=barn.owner.farm, author=barn.owner.person, now=NOON)
    assert done.refused == []
    return dict(done.counts)


COUNTS = "Date,Pen,Eggs found,Cracked\n14/11/2025,A1,4,1\n3/11/2025,a2,5,\n4/11/2025,A1,0,\n"


def test_egg_counts_are_written_and_the_same_file_writes_nothing_twice(barn: Cast) -> None:
    found = reading(barn, COUNTS)
    assert found.plan == Plan(What.EGG_COUNTS, {"day": 0, "cage": 1, "eggs": 2, "cracked": 3}, order=DayOrder.DAY_FIRST)
    assert (found.rows, len(found.drafts), found.bad, found.doubtful) == (3, 3, [], [])
    assert write(barn, found) == {"written": 3}
    assert list(Collection.objects.order_by("day").values_list("day", "eggs", "cracked")) == [
        (date(2025, 11, 3), 5, 0),
        (date(2025, 11, 4), 0, 0),
        (date(2025, 11, 14), 4, 1),
    ]
    again = reading(barn, COUNTS)
    assert len(again.already) == 3
    assert again.fresh == []
    assert again.doubtful == []
    assert write(barn, again) == {}
    # The same rows in another file, in another order, beside a new one: only the new one is new.
    wider = reading(barn, "Date,Cage,Eggs,Cracked\n2025-11-05,B1,3,0\n2025-11-03,A2,5,0\n")
    assert write(barn, wider) == {"written": 1}
    assert Entry.objects.filter(kind="egg_count").count() == 4


def test_a_sheet_with_a_column_a_cage(barn: Cast) -> None:
    found = reading(barn, "Day,A1,A2,B1,Weather\n2025-11-03,4,5,,rain\n2025-11-04,3,x,2,\n")
    assert found.plan.across == (1, 2, 3)
    assert [each.entry["body"]["eggs"] for each in found.drafts] == [4, 5]
    assert [(each.number, each.column, each.reason) for each in found.bad] == [
        (3, "A2", "'x' is no whole number from 0")
    ]
    assert write(barn, found) == {"written": 2}


def test_bad_rows_are_listed_and_write_nothing(barn: Cast) -> None:
    found = reading(
        barn,
        "Day,Cage,Eggs,Cracked,Round\n"
        "2025-11-03,C9,4,0,\n"
        "2025-11-03,A1,-1,0,\n"
        "2025-11-03,A1,2.5,0,\n"
        "2025-11-03,A1,4,5,\n"
        "2026-11-03,A1,4,0,\n"
        "3/11/2025,A1,4,0,\n"
        "2025-11-03,A1,1000,0,\n"
        "2025-11-03,A1,4,0,midnight\n"
        "2025-11-03,A1,4,0,Morning\n",
    )
    assert [(each.number, each.column) for each in found.bad] == [
        (2, "Cage"),
        (3, "Eggs"),
        (4, "Eggs"),
        (5, ""),
        (6, "Day"),
        (7, "Day"),
        (8, ""),
        (9, "Round"),
    ]
    assert "make it first" in found.bad[0].reason
    assert "future" in found.bad[4].reason
    assert "only 4 were found" in found.bad[3].reason
    assert [each.number for each in found.drafts] == [10]


def test_a_second_count_of_one_round_is_said_before_it_is_written(barn: Cast) -> None:
    barn.owner.count(str(cage_id(barn, "A1")), 4, day=date(2025, 11, 3))
    found = reading(barn, "Day,Cage,Eggs\n2025-11-03,A1,5\n2025-11-04,A2,5\n2025-11-04,A2,6\n")
    assert [each.number for each in found.doubtful] == [2, 4]
    assert "Today would ask" in found.doubtful[0].reason
    assert "row 3" in found.doubtful[1].reason


def cage_id(barn: Cast, code: str) -> uuid.UUID:
    from barnbook.barn.models import Cage

    return Cage.objects.get(farm=barn.owner.farm, code=code).pk


def test_a_row_that_was_bad_changes_no_other_rows_id(barn: Cast) -> None:
    bad = "Day,A1,A2\n2025-11-03,4,x\n2025-11-03,4,5\n"
    assert write(barn, reading(barn, bad)) == {"written": 2}
    mended = reading(barn, bad.replace("4,x", "4,5"))
    assert (len(mended.drafts), len(mended.fresh)) == (4, 2)


def test_two_equal_eggs_are_two_eggs_and_ounces_stand_among_grams(barn: Cast) -> None:
    text = (
        "Day,Cage,Egg weight (g)\n2025-11-03,A1,12.4\n2025-11-03,A1,12.4\n2025-11-03,A1,0.44 oz\n2025-11-03,A1,0.44\n"
    )
    found = reading(barn, text)
    assert found.plan.unit == "g"
    assert [each.number for each in found.bad] == [5]
    assert "other unit" in found.bad[0].reason
    assert write(barn, found) == {"written": 3}
    assert sorted(EggWeighing.objects.values_list("grams", flat=True)) == [12.4, 12.4, 12.474]
    assert write(barn, reading(barn, text)) == {}


def test_birds_are_known_by_their_bands(barn: Cast) -> None:
    line = barn.owner.line("Other")
    brood = barn.owner.brood(line, hatched_on=date(2026, 5, 1), chicks=9)
    bird = "01900000-0000-7000-8000-000000000001"
    barn.owner.expect(
        "written", barn.owner.write("bird_sexed", bird=bird, brood=brood, result="hen", band="C-7", day=DAY)
    )
    found = reading(barn, "Weighed on,Band,Live weight oz\n2026-07-14,c-7,11\n2026-07-14,C-8,11\n")
    assert found.plan.what is What.BIRD_WEIGHTS
    assert found.plan.unit == "oz"
    (draft,) = found.drafts
    assert draft.entry["body"] == {
        "bird": bird,
        "brood": brood,
        "number": None,
        "band": None,
        "grams": 311.845,
        "typed": {"value": "11", "unit": "oz"},
    }
    assert [each.number for each in found.bad] == [3]
    assert "no living bird" in found.bad[0].reason
    assert write(barn, found) == {"written": 1}


def test_a_hatch_with_what_was_set_becomes_a_setting_and_its_brood(barn: Cast) -> None:
    found = reading(
        barn,
        "Line,Hatch,Set date,Eggs set,Clear,Hatch date,Chicks,Dead in shell\n"
        "Barrow Grey,25-9,2025-10-01,60,8,2025-10-18,44,5\n"
        "Slate Barrow,25-10,,,,2025-11-18,30,\n"
        "Slate Barrow,25-11,2025-12-01,40,,2025-12-18,41,\n",
    )
    assert found.plan.what is What.HATCHES
    assert [(each.number, each.column) for each in found.bad] == [(4, "Eggs set")]
    assert write(barn, found) == {"written": 6}
    tray = Tray.objects.get()
    assert (tray.eggs, tray.clear, tray.hatched, tray.dead_in_shell) == (60, 8, 44, 5)
    assert Setting.objects.get().set_on == date(2025, 10, 1)
    assert sorted(Brood.objects.values_list("code", "chicks", "alive")) == [("25-10", 30, 30), ("25-9", 44, 44)]
    assert not Entry.objects.exclude(code="").exists()


def test_nothing_is_read_before_its_columns_are_matched(barn: Cast) -> None:
    found = reading(barn, "When,Where,How many\n2025-11-03,A1,4\n")
    assert found.plan.missing()
    assert found.drafts == []
    assert found.bad == []
    set_right = reading(
        barn,
        "When,Where,How many\n2025-11-03,A1,4\n",
        what=What.EGG_COUNTS,
        columns={"day": 0, "cage": 1, "eggs": 2},
    )
    assert len(set_right.drafts) == 1


def test_the_layout_of_rfc_9562_version_8() -> None:
    """RFC 9562, appendix B.2: the first 16 octets of that SHA-256, with version and variant laid over them."""
    octets = bytes.fromhex("5c146b143c524afd938a375d0df1fbf6")
    assert str(version_8(octets)) == "5c146b14-3c52-8afd-938a-375d0df1fbf6"
