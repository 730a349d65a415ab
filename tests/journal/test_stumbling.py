"""The house stumbles over one entry: the rest get in, and that one is kept for after the next update."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from django.db import OperationalError

from barnbook.journal import intake
from barnbook.journal.kind import Written
from barnbook.journal.kinds import KINDS
from barnbook.journal.models import Entry, SetAside
from barnbook.journal.rebuild import differences
from tests.conftest import Cast

pytestmark = pytest.mark.django_db


def stumble_over_seven(monkeypatch: pytest.MonkeyPatch) -> None:
    """A kind with a fault: a count of exactly seven eggs raises."""
    kind = KINDS["egg_count"]

    def effects(entry: Written) -> Any:
        if entry.body["eggs"] == 7:
            raise ZeroDivisionError
        return kind.effects(entry)

    monkeypatch.setitem(KINDS, "egg_count", replace(kind, effects=effects))


def counts(cast: Cast, cage: str, *eggs: int) -> list[dict[str, Any]]:
    return [cast.owner.entry("egg_count", **cast.owner.count_body(cage, n, f"r{at}")) for at, n in enumerate(eggs)]


def test_the_others_get_in_and_it_counts_after_the_update(
    cast: Cast, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    sent = counts(cast, cast.owner.cage(), 1, 2, 3, 7, 5, 6, 7, 0)
    with monkeypatch.context() as faulty:
        stumble_over_seven(faulty)
        verdicts = cast.owner.send(*sent)
        assert [v.verdict for v in verdicts] == ["written"] * 3 + ["later", "written", "written", "later", "written"]
        assert {v.code for v in verdicts if v.verdict == "later"} == {"house_fault"}
        assert [v.verdict for v in cast.owner.send(*sent)] == ["already"] * 3 + ["later", "already"] * 1 + [
            "already", "later", "already",
        ]  # fmt: skip
    assert SetAside.objects.filter(later=True, mended_by=None).count() == 2
    assert "ZeroDivisionError" in caplog.text
    assert [v.verdict for v in cast.owner.send(sent[3], sent[6])] == ["written", "written"]
    assert not SetAside.objects.filter(mended_by=None).exists()
    assert Entry.objects.filter(kind="egg_count").count() == 8
    assert differences(cast.owner.farm) == []


def test_what_cannot_be_written_at_all_is_nobody_s_fault(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    """A locked database or a full disk: not a verdict on an entry, and nothing is taken."""
    sent = counts(cast, cast.owner.cage(), 1, 2)

    def full(*args: Any, **kwargs: Any) -> None:
        raise OperationalError("database or disk is full")

    monkeypatch.setattr(intake, "reckon_again", full)
    with pytest.raises(OperationalError):
        cast.owner.send(*sent)
    assert not Entry.objects.filter(kind="egg_count").exists()
    assert not SetAside.objects.exists()


def test_a_stumble_over_what_is_in_the_book_already_sets_nothing_aside(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same entry comes again, and the house has a fault of the moment: it is in the book, and nothing else is."""
    (sent,) = counts(cast, cast.owner.cage(), 4)
    cast.owner.expect("written", cast.owner.send(sent)[0])
    with monkeypatch.context() as faulty:
        faulty.setattr(intake, "_other_farms", lambda *_: 1 / 0)
        cast.owner.expect("already", cast.owner.send(sent)[0])
    assert not SetAside.objects.exists()
    assert differences(cast.owner.farm) == []


def test_a_stumble_over_what_was_struck_before_is_answered_by_the_strike(
    cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was struck before it came, and then stumbled over, asks nothing of anybody."""
    (sent,) = counts(cast, cast.owner.cage(), 4)
    (mending,) = counts(cast, cast.owner.cage("A2"), 5)
    cast.owner.expect("written", cast.owner.send(mending | {"mends": sent["id"]})[0])
    with monkeypatch.context() as faulty:
        faulty.setattr(intake, "_other_farms", lambda *_: 1 / 0)
        cast.owner.expect("later", cast.owner.send(sent)[0])
    assert str(SetAside.objects.get().mended_by) == mending["id"]
    assert differences(cast.owner.farm) == []
