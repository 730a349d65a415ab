"""From eggs to chicks, worked by hand: what the trays hold, what the brood comes to, what contradicts."""

from __future__ import annotations

from datetime import date

import pytest

from barnbook.barn.models import Brood, Setting, Tray
from barnbook.journal.models import Entry
from tests.conftest import Cast
from tests.journal.bodies import candling, hatching, set_eggs, tray
from tests.scribe import new_id, uid

pytestmark = pytest.mark.django_db


def codes() -> dict[str, str]:
    """The questions that stand, by the kind of entry."""
    return {entry.kind: entry.code for entry in Entry.objects.exclude(code="").filter(struck_by=None)}


def test_a_tray_from_setting_to_hatch(cast: Cast) -> None:
    line = cast.owner.line()
    cage = cast.owner.cage(line=line)
    one = tray(line, cage=cage, laid=[("2026-06-10", 4), ("2026-06-11", 5), (None, 11)])
    setting = set_eggs(cast.owner, one)
    # 20 eggs. Day 7: 17 read, of them 2 clear and 1 dead; 3 too dark. 17 are left (20 - 2 - 1).
    cast.helper.write("candled", **candling(setting, one["tray"], read=17, clear=2, dead_early=1, unread=3))
    # Day 14: all 17 left are read, the dark ones too: 1 more clear; and 1 is broken. 15 are left.
    cast.helper.write("candled", day=date(2026, 7, 16), **candling(setting, one["tray"], read=16, clear=1, broken=1))
    cast.helper.write("lockdown", setting=setting, note="")
    # 12 hatch on the first day and 1 on the second; 1 pips and dies, 1 stays in the shell: 15 in all.
    cast.helper.write("hatched", day=date(2026, 7, 16), **hatching(setting, one["tray"], 12, pipped_dead=1))
    cast.helper.write("hatched", day=date(2026, 7, 16), **hatching(setting, one["tray"], 1, dead_in_shell=1))
    row = Tray.objects.get().row()
    # Read at last: the 16 of day 14, and the 2 clear and 1 dead one of day 7: 19, the twentieth was broken.
    assert (row["eggs"], row["read"], row["clear"], row["dead_early"], row["unread"]) == (20, 19, 3, 1, 0)
    assert (row["broken"], row["removed"], row["left"]) == (1, 0, 15)
    assert (row["hatched"], row["pipped_dead"], row["dead_in_shell"]) == (13, 1, 1)
    shown = Setting.objects.get().row()
    assert (shown["eggs"], shown["trays"], shown["candled"], shown["hatched"], shown["hatched_trays"]) == (
        20,
        1,
        1,
        13,
        1,
    )
    assert shown["locked_down_on"] == "2026-07-15"
    assert codes() == {}


def test_a_brood_comes_of_its_trays_chick_by_chick(cast: Cast) -> None:
    line = cast.owner.line()
    one = tray(line, cage=None, laid=[(None, 10)])
    setting = set_eggs(cast.owner, one)
    brood = new_id()
    hatch = {"brood": brood, "setting": setting, "trays": [one["tray"]], "line": line, "code": "26-07"}
    cast.helper.write("brood_hatched", **hatch, hatched_on="2026-07-02", note="")
    taps = [cast.helper.entry("chicks_seen", brood=brood, setting=setting, plumage="slate", chicks=1) for _ in range(5)]
    taps.append(cast.owner.entry("chicks_seen", brood=brood, setting=setting, plumage="fawn", chicks=1))
    taps.append(cast.helper.entry("chicks_seen", brood=brood, setting=setting, plumage=None, chicks=2))
    for tap in taps:
        (cast.owner if tap["author"] == str(cast.owner.person.pk) else cast.helper).send(tap)
    row = Brood.objects.get().row()
    assert (row["chicks"], row["alive"], row["unlooked"]) == (8, 8, 8)
    assert row["plumage"] == {"slate": 5, "fawn": 1, "": 2}
    assert (row["setting"], row["trays"], row["hatched_on"]) == (setting, [one["tray"]], "2026-07-02")
    cast.owner.write("strike", entry=taps[0]["id"], why="a tap too many")
    assert Brood.objects.get().chicks == 7
    # The owner corrects the number by hand: its trays stay, and the 7 seen are among the 9.
    cast.owner.brood(line, brood=brood, hatched_on=date(2026, 7, 2), chicks=9)
    again = Brood.objects.get().row()
    assert (again["chicks"], again["trays"], again["plumage"]["slate"]) == (9, [one["tray"]], 4)


def test_a_candling_waits_for_its_setting(cast: Cast) -> None:
    setting, line = new_id(), cast.owner.line()
    one = tray(line, cage=None, laid=[(None, 10)])
    verdict = cast.helper.write("candled", **candling(setting, one["tray"], read=10, clear=1))
    assert verdict.verdict == "waits"
    set_eggs(cast.owner, one, setting=setting)
    assert Tray.objects.get().clear == 1


def test_more_eggs_candled_than_were_in_the_tray(cast: Cast) -> None:
    line = cast.owner.line()
    one = tray(line, cage=None, laid=[(None, 10)])
    setting = set_eggs(cast.owner, one)
    first = cast.helper.entry("candled", **candling(setting, one["tray"], read=10, clear=2))
    again = cast.owner.entry("candled", **candling(setting, one["tray"], read=10, clear=2))
    cast.helper.send(first)
    cast.owner.send(again)  # both walked to the same tray: 8 were left, 10 are said
    asked = set(Entry.objects.filter(code="more_eggs_than_set").values_list("pk", flat=True))
    assert asked == {uid(first["id"]), uid(again["id"])}
    assert Tray.objects.get().left == 6  # not clipped
    cast.owner.write("strike", entry=again["id"], why="twice")
    assert codes() == {}


def test_more_chicks_than_eggs(cast: Cast) -> None:
    line = cast.owner.line()
    one = tray(line, cage=None, laid=[(None, 10)])
    setting = set_eggs(cast.owner, one)
    cast.helper.write("hatched", **hatching(setting, one["tray"], 11))
    assert codes() == {"eggs_set": "more_chicks_than_eggs", "hatched": "more_chicks_than_eggs"}


def test_more_chicks_seen_than_hatched(cast: Cast) -> None:
    line = cast.owner.line()
    one = tray(line, cage=None, laid=[(None, 10)])
    setting = set_eggs(cast.owner, one)
    brood = cast.owner.brood(line, hatched_on=date(2026, 7, 2), chicks=9)
    cast.helper.write("hatched", **hatching(setting, one["tray"], 8))
    cast.helper.write("chicks_seen", brood=brood, setting=setting, plumage="slate", chicks=8)
    assert codes() == {}
    cast.helper.write("chicks_seen", brood=brood, setting=setting, plumage="slate", chicks=1)
    asked = Entry.objects.filter(code="more_chicks_than_eggs").values_list("kind", flat=True)
    assert sorted(asked) == ["chicks_seen", "hatched"]


def test_a_tray_that_the_setting_does_not_have(cast: Cast) -> None:
    line = cast.owner.line()
    setting = set_eggs(cast.owner, tray(line, cage=None, laid=[(None, 10)]))
    verdict = cast.helper.write("candled", **candling(setting, new_id(), read=4))
    assert (verdict.verdict, verdict.code) == ("questioned", "no_such_tray")
    assert Tray.objects.get().read == 0


def test_a_line_of_the_first_version_is_read_with_the_days_of_the_second(cast: Cast) -> None:
    cast.owner.line()
    from barnbook.barn.models import Line

    row = Line.objects.get().row()
    assert (row["candle_on_day"], row["lockdown_on_day"], row["hatch_on_day"]) == (7, 14, 17)
    assert (row["plumage"], row["hen_cut_g"], row["laying_life_weeks"]) == ([], None, None)
