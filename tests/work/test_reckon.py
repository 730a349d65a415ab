"""From a push to rows: the same for the same entries, whatever happens on the way."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

import pytest

from barnbook.barn.models import Due, Farm, Figure, Gone, ToReckon
from barnbook.figures.laying import Collection, HeadEvent, HeadEventKind, lay_rate
from barnbook.work import reckon as reckoning
from barnbook.work.reckon import reckon
from tests.conftest import Cast
from tests.scribe import NOON, Scribe

pytestmark = pytest.mark.django_db

FIRST = date(2026, 7, 1)
EGGS = [4, 5, 4, 4, 3, 5, 4, 4, 5, 4, 3, 3, 4, 3]  # mornings of 2 to 15 July


def a_laying_cage(scribe: Scribe, **kwargs: Any) -> str:
    cage = scribe.cage(**kwargs)
    scribe.expect("written", scribe.stock(cage, hens=5, cocks=1, day=FIRST))
    for i, eggs in enumerate(EGGS):
        scribe.expect("written", scribe.count(cage, eggs, day=FIRST + timedelta(days=1 + i)))
    return cage


def noon(days_later: int = 0) -> Callable[[], datetime]:
    return lambda: NOON + timedelta(days=days_later)


def shown(farm: Farm) -> dict[tuple[str, str, str], dict[str, Any]]:
    return {(row.subject, row.name, row.span): row.row() for row in Figure.objects.of(farm)}


def test_rows_after_a_push_are_what_the_figures_package_gives(cast: Cast) -> None:
    cage = a_laying_cage(cast.owner)
    reckon(now=noon())
    row = shown(cast.owner.farm)[f"cage/{cage}", "lay_rate", "7d"]
    own = lay_rate(
        [Collection(FIRST + timedelta(days=i), eggs) for i, eggs in enumerate(EGGS)],
        [HeadEvent(FIRST, HeadEventKind.MOVED_IN, 5)],
        first_day=date(2026, 7, 8),
        last_day=date(2026, 7, 14),
        stocked_empty_days=[FIRST],
    )
    assert (row["value"], row["low"], row["high"], row["n"]) == (own.value, own.low, own.high, own.n)
    # By hand: the lay of 8 to 14 July is 4+5+4+3+3+4+3 = 26 eggs of 5 hens on 7 days.
    assert row["value"] == pytest.approx(26 / 35)
    assert row["method"] == "quasi_poisson_t"
    assert (row["first_day"], row["last_day"]) == ("2026-07-08", "2026-07-14")
    assert set(shown(cast.owner.farm)) == {
        (f"cage/{cage}", "lay_rate", "7d"),
        (f"cage/{cage}", "lay_rate", "28d"),
        (f"cage/{cage}", "lay_rate", "since_placed"),
        (f"cage/{cage}", "usual_count", "morning"),
    }
    assert not ToReckon.objects.exists()


def test_what_came_out_the_same_keeps_its_place_and_time(cast: Cast) -> None:
    cage = a_laying_cage(cast.owner)
    reckon(now=noon())
    before = shown(cast.owner.farm)
    places = dict(Figure.objects.values_list("id", "seq"))
    last_seq = Farm.objects.get(pk=cast.owner.farm.pk).last_seq
    ToReckon.objects.create(farm=cast.owner.farm, subject="farm", since=NOON)
    reckon(now=noon(days_later=1))
    assert shown(cast.owner.farm) == before
    assert dict(Figure.objects.values_list("id", "seq")) == places
    assert Farm.objects.get(pk=cast.owner.farm.pk).last_seq == last_seq
    # One egg count more moves the figures, and only they get a new place; ids stay.
    cast.owner.count(cage, 5, day=date(2026, 7, 16))
    reckon(now=noon(days_later=1))
    after = shown(cast.owner.farm)
    assert {key: row["id"] for key, row in after.items()} == {key: row["id"] for key, row in before.items()}
    assert (
        after[f"cage/{cage}", "lay_rate", "7d"]["computed_at"] > before[f"cage/{cage}", "lay_rate", "7d"]["computed_at"]
    )
    assert min(Figure.objects.values_list("seq", flat=True)) > last_seq


def test_the_rounds_hour_moves_every_lay_rate(cast: Cast) -> None:
    """Ruling 12: a round after the day's lay holds the eggs of its own day."""
    cage = a_laying_cage(cast.owner)
    reckon(now=noon())
    rounds = [{"key": "morning", "name": "Evening", "after_lay": True}]
    cast.owner.write("farm", name="Three Alders", zone="America/New_York", weight_unit="g", rounds=rounds)
    assert ToReckon.objects.get().subject == "farm"
    reckon(now=noon())
    row = shown(cast.owner.farm)[f"cage/{cage}", "lay_rate", "7d"]
    assert (row["first_day"], row["last_day"]) == ("2026-07-09", "2026-07-15")
    assert row["value"] == pytest.approx(26 / 35)


def test_a_round_that_is_no_more_takes_its_figure_with_it(cast: Cast) -> None:
    cage = a_laying_cage(cast.owner)
    reckon(now=noon())
    gone = shown(cast.owner.farm)[f"cage/{cage}", "usual_count", "morning"]["id"]
    rounds = [{"key": "dusk", "name": "Dusk", "after_lay": True}]
    cast.owner.write("farm", name="Three Alders", zone="America/New_York", weight_unit="g", rounds=rounds)
    reckon(now=noon())
    assert (f"cage/{cage}", "usual_count", "dusk") in shown(cast.owner.farm)
    assert Gone.objects.get(table="figure").row_id == gone


def test_a_cage_that_is_struck_takes_its_figures_with_it(cast: Cast) -> None:
    entry = cast.owner.entry("cage", cage=str(uuid.uuid4()), code="Z9", row="Z", place=9, line=None, closed=False)
    cast.owner.send(entry)
    reckon(now=noon())
    ids = {row["id"] for row in shown(cast.owner.farm).values()}
    assert len(ids) == 4
    cast.owner.expect("written", cast.owner.write("strike", entry=entry["id"], why="no such cage"))
    reckon(now=noon())
    assert shown(cast.owner.farm) == {}
    assert set(Gone.objects.filter(table="figure").values_list("row_id", flat=True)) == ids


def test_same_entries_same_figures_in_any_order(cast: Cast) -> None:
    """Two farms' books are given the same counts, one reckoned after each entry and one at the end."""
    a_laying_cage(cast.owner)
    reckon(now=noon())
    cage = cast.stranger.cage()
    for i, eggs in reversed(list(enumerate(EGGS))):
        cast.stranger.count(cage, eggs, day=FIRST + timedelta(days=1 + i))
        reckon(now=noon())
    cast.stranger.stock(cage, hens=5, cocks=1, day=FIRST)
    reckon(now=noon())

    def plain(farm: Farm) -> list[dict[str, Any]]:
        rows = [row | {"id": "", "subject": ""} for row in shown(farm).values()]
        return sorted(rows, key=lambda row: (row["name"], row["span"]))

    assert plain(cast.owner.farm) == plain(cast.stranger.farm)


def test_a_brood_becomes_due_done_and_vanishes(cast: Cast) -> None:
    line = cast.owner.line()
    brood = cast.owner.brood(line, hatched_on=date(2026, 6, 1), chicks=2)
    reckon(now=noon())
    due = Due.objects.get(work="sexing")
    # By a calendar: 1 June + 42 days is 13 July, + 56 is 27 July.
    assert (due.subject, due.first_day, due.last_day) == (f"brood/{brood}", date(2026, 7, 13), date(2026, 7, 27))
    assert (due.left, due.done) == (2, False)
    birds = [str(uuid.uuid4()), str(uuid.uuid4())]
    cast.helper.write("bird_sexed", bird=birds[0], brood=brood, result="hen", band=None)
    cast.helper.write("bird_sexed", bird=birds[1], brood=brood, result="unsure", band=None)
    reckon(now=noon())
    again = Due.objects.get(pk=due.pk)
    assert (again.left, again.done) == (0, True)
    assert again.seq > due.seq
    look = Due.objects.get(work="look_again")
    assert (look.left, look.first_day) == (1, date(2026, 7, 22))  # looked at on 15 July
    cast.helper.write("bird_sexed", day=date(2026, 7, 16), bird=birds[1], brood=brood, result="cock", band=None)
    reckon(now=noon(1))
    look = Due.objects.get(work="look_again")
    assert (look.left, look.done, look.first_day) == (0, True, date(2026, 7, 22))


def test_a_line_s_days_move_its_broods(cast: Cast) -> None:
    line = cast.owner.line()
    cast.owner.brood(line, hatched_on=date(2026, 6, 1))
    reckon(now=noon())
    cast.owner.line(line=line, sexing_from_day=28, sexing_to_day=35)
    reckon(now=noon())
    due = Due.objects.get(work="sexing")
    assert (due.first_day, due.last_day) == (date(2026, 6, 29), date(2026, 7, 6))


def test_a_brood_struck_takes_its_dues_with_it(cast: Cast) -> None:
    line = cast.owner.line()
    body = {"brood": str(uuid.uuid4()), "line": line, "code": "x", "hatched_on": "2026-06-01", "chicks": 9, "note": ""}
    entry = cast.owner.entry("brood", **body)
    cast.owner.send(entry)
    reckon(now=noon())
    due = Due.objects.get(work="sexing")
    cast.owner.write("strike", entry=entry["id"], why="another farm's")
    reckon(now=noon())
    assert not Due.objects.exists()
    assert str(due.pk) in Gone.objects.filter(table="due").values_list("row_id", flat=True)


def test_a_push_in_the_middle_is_not_lost(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    """Entries that come between the reading and the writing: what was read is thrown away and read again."""
    cage = a_laying_cage(cast.owner)
    write, pushed = reckoning._write, []

    def push_then_write(*args: Any) -> int:
        if not pushed:
            pushed.append(cast.helper.count(cage, 5, day=date(2026, 7, 16)))
        return write(*args)

    monkeypatch.setattr(reckoning, "_write", push_then_write)
    reckon(now=noon(1))
    row = shown(cast.owner.farm)[f"cage/{cage}", "lay_rate", "7d"]
    assert row["last_day"] == "2026-07-15"
    assert row["value"] == pytest.approx((26 - 4 + 5) / 35)
    assert not ToReckon.objects.exists()


def test_a_quicker_worker_is_not_overwritten(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    """The slow one read before the last count, the quick one after it: nothing of the slow one stays."""
    cage = a_laying_cage(cast.owner)
    write, calls = reckoning._write, []

    def slow(*args: Any) -> int:
        if not calls:
            calls.append("slow")
            cast.helper.count(cage, 5, day=date(2026, 7, 16))
            reckon(now=noon(1))
            assert shown(cast.owner.farm)[f"cage/{cage}", "lay_rate", "7d"]["last_day"] == "2026-07-15"
        return write(*args)

    monkeypatch.setattr(reckoning, "_write", slow)
    reckon(now=noon(1))
    assert shown(cast.owner.farm)[f"cage/{cage}", "lay_rate", "7d"]["last_day"] == "2026-07-15"


def test_killed_between_reading_and_writing_loses_nothing(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    class Killed(BaseException):
        pass

    cage = a_laying_cage(cast.owner)

    def die(*args: Any, **kwargs: Any) -> None:
        raise Killed

    with monkeypatch.context() as patched:
        patched.setattr(reckoning, "lay_figures_down", die)
        with pytest.raises(Killed):
            reckon(now=noon())
    assert list(ToReckon.objects.values_list("subject", flat=True)) == [f"cage/{cage}"]
    assert not Figure.objects.exists()
    reckon(now=noon())
    assert shown(cast.owner.farm)[f"cage/{cage}", "lay_rate", "7d"]["value"] == pytest.approx(26 / 35)


def test_one_that_cannot_be_reckoned_hurts_no_other(
    cast: Cast, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    good, bad = a_laying_cage(cast.owner, code="A1"), cast.owner.cage("A2", place=2)
    figures_of = reckoning.figures_of

    def sometimes(cage: Any, **kwargs: Any) -> Any:
        if not cage.counts:
            raise ValueError("no")
        return figures_of(cage, **kwargs)

    monkeypatch.setattr(reckoning, "figures_of", sometimes)
    outcome = reckon(now=noon())
    assert outcome.done == 1
    assert {subject for subject, _, _ in shown(cast.owner.farm)} == {f"cage/{good}"}
    assert list(ToReckon.objects.values_list("subject", flat=True)) == [f"cage/{bad}"]
    assert f"cage/{bad}" in caplog.text


def test_stops_when_told_and_leaves_the_rest(cast: Cast) -> None:
    for place in range(50):
        cast.owner.cage(f"A{place}", place=place)
    asked = iter([False, True])
    assert reckon(now=noon(), stop=lambda: next(asked)).done == reckoning.AT_ONCE
    assert ToReckon.objects.count() == 50 - reckoning.AT_ONCE
