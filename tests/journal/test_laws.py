"""The laws of the journal on random histories: again is nothing, order is nothing, struck is unwritten."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from barnbook.barn.models import Farm
from barnbook.journal.models import Entry
from barnbook.journal.rebuild import differences, picture
from tests.conftest import Cast
from tests.journal.histories import histories
from tests.scribe import Scribe

pytestmark = pytest.mark.django_db

Batches = list[list[dict[str, Any]]]
LAWFUL = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)


class _TakeBackError(Exception):
    pass


def barn_after(cast: Cast, batches: Batches, *, check: bool = False) -> dict[str, Any]:
    """The barn of a fresh farm into which these batches came, one after another; nothing stays of it."""
    shown: dict[str, Any] = {}
    try:
        with transaction.atomic():
            for batch in batches:
                cast.owner.send(*batch, authors=[cast.owner.person, cast.helper.person])
            farm = Farm.objects.get(pk=cast.owner.farm.pk)
            shown = picture(farm)
            if check:
                assert differences(farm) == []
            raise _TakeBackError
    except _TakeBackError:
        return shown


def signed(cast: Cast, history: list[dict[str, Any]]) -> list[dict[str, Any]]:
    people: list[Scribe] = [cast.owner, cast.helper]
    return [
        {**{key: value for key, value in entry.items() if key != "by"}, "author": str(people[entry["by"]].person.pk)}
        for entry in history
    ]


@st.composite
def cut(draw: st.DrawFn, entries: list[Any]) -> Batches:
    """The entries in batches of any size, in the given order."""
    batches: Batches = []
    rest = list(entries)
    while rest:
        size = draw(st.integers(1, len(rest)))
        batches.append(rest[:size])
        rest = rest[size:]
    return batches


@LAWFUL
@given(history=histories(), data=st.data())
def test_again_is_nothing(cast: Cast, history: list[dict[str, Any]], data: st.DataObject) -> None:
    entries = signed(cast, history)
    once = barn_after(cast, [entries])
    again = data.draw(st.lists(st.sampled_from(entries), max_size=len(entries)))
    batches = data.draw(cut(entries)) + data.draw(cut(again)) + [entries]
    assert barn_after(cast, batches) == once


@LAWFUL
@given(history=histories(), data=st.data())
def test_order_is_nothing(cast: Cast, history: list[dict[str, Any]], data: st.DataObject) -> None:
    entries = signed(cast, history)
    once = barn_after(cast, [entries], check=True)
    batches = data.draw(cut(data.draw(st.permutations(entries))))
    assert barn_after(cast, batches, check=True) == once


@LAWFUL
@given(history=histories())
def test_struck_is_unwritten(cast: Cast, history: list[dict[str, Any]]) -> None:
    entries = signed(cast, history)
    strikes = [entry for entry in entries if entry["kind"] == "strike"]
    struck = _really_struck(cast, entries)
    with_strikes = barn_after(cast, [entries])
    never = barn_after(cast, [[e for e in entries if e not in strikes and e["id"] not in struck]])
    unwritten = {*struck, *(entry["id"] for entry in strikes)}
    # What finds right an entry that never came, waits for it: that is not of the barn.
    unwritten |= {entry["id"] for entry in entries if struck & set(entry["body"].get("entries", ()))}
    assert _without(with_strikes, unwritten) == _without(never, unwritten)


def _without(shown: dict[str, Any], ids: set[str]) -> dict[str, Any]:
    """What stands, is asked, and is aside, but for these entries themselves, and but for who is done with what is
    aside: a strike of it is what does that."""
    entries = [row for row in shown["Entry"] if str(row[0]) not in ids]
    asides = [row[:-1] for row in shown["SetAside"] if row[0] not in ids]
    return {**shown, "Entry": entries, "SetAside": asides}


def _really_struck(cast: Cast, entries: list[dict[str, Any]]) -> set[str]:
    """By the rights of the rulings alone: an owner's strike of anything but a strike, a helper's of their own."""
    by_id = {entry["id"]: entry for entry in entries}
    struck = set()
    for entry in entries:
        target = by_id.get(entry["body"].get("entry", ""))
        if entry["kind"] != "strike" or target is None or target["kind"] == "strike":
            continue
        if entry["author"] in (str(cast.owner.person.pk), target["author"]):
            struck.add(target["id"])
    return struck


def test_every_entry_taken_is_in_the_journal_once(cast: Cast) -> None:
    cage = cast.owner.cage()
    entries = [cast.owner.entry("egg_count", **cast.owner.count_body(cage, n, f"r{n}")) for n in range(20)]
    for batch in (entries[:15], entries[5:], entries):
        cast.owner.send(*batch)
    assert Entry.objects.filter(kind="egg_count").count() == 20
