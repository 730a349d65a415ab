"""The nudge after a push: it reckons, and its loss costs no push."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from django.db import transaction

from barnbook.barn.models import Figure, ToReckon
from barnbook.work import nightly, reckoner, tasks
from barnbook.work.nudge import nudge
from tests.conftest import Cast

pytestmark = pytest.mark.django_db


def test_a_nudge_reckons_once_the_push_is_committed(cast: Cast, django_capture_on_commit_callbacks: Any) -> None:
    cast.owner.cage()
    with django_capture_on_commit_callbacks(execute=True):
        nudge()
        assert not Figure.objects.exists(), "not inside the push's own transaction"
    assert Figure.objects.count() == 4
    assert not ToReckon.objects.exists()


def test_a_queue_that_is_away_costs_no_push(
    cast: Cast,
    django_capture_on_commit_callbacks: Any,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    def away() -> None:
        raise ConnectionError("no queue")

    monkeypatch.setattr(tasks, "reckon_soon", away)
    cast.owner.cage()
    with django_capture_on_commit_callbacks(execute=True):
        nudge()
    assert "this house reckons by itself" in caplog.text
    assert Figure.objects.count() == 4
    assert not ToReckon.objects.exists()


def test_a_nudge_that_fails_altogether_costs_no_push(
    cast: Cast, django_capture_on_commit_callbacks: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away() -> None:
        raise OSError("no queue, and no memory for a process")

    monkeypatch.setattr(tasks, "reckon_soon", away)
    monkeypatch.setattr(reckoner, "wake", away)
    cast.owner.cage()
    with transaction.atomic():
        nudge()
        callbacks = list(transaction.get_connection().run_on_commit)
    assert callbacks[-1][2], "what it raises is logged, not given to the phone that was just written for"
    assert ToReckon.objects.exists(), "the sweep finds it"
    monkeypatch.undo()
    tasks.sweep.call_local()
    assert Figure.objects.count() == 4


def test_the_sweep_calls_the_night_up(cast: Cast) -> None:
    cast.owner.cage()
    ToReckon.objects.all().delete()
    tasks.sweep.call_local()
    assert Figure.objects.count() == 4
    assert nightly.call_up(datetime.now(UTC)) == 0
