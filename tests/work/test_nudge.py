"""The nudge after a push: it reckons, and its loss costs no push."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from barnbook.barn.models import Figure, ToReckon
from barnbook.work import nightly, tasks
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
    assert "could not be nudged" in caplog.text
    assert ToReckon.objects.exists(), "the sweep finds it"
    tasks.sweep.call_local()
    assert Figure.objects.count() == 4


def test_the_sweep_calls_the_night_up(cast: Cast) -> None:
    cast.owner.cage()
    ToReckon.objects.all().delete()
    tasks.sweep.call_local()
    assert Figure.objects.count() == 4
    assert nightly.call_up(datetime.now(UTC)) == 0
