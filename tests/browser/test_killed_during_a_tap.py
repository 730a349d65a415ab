"""Rows 4 to 6 of the faults: the phone dies between a tap and the next. `make soak` does it two hundred times."""

from __future__ import annotations

from collections.abc import Callable

from tests.browser.a_barn import set_up
from tests.browser.house import House
from tests.browser.kills import killed_in_taps
from tests.browser.phone import Phone

MOMENTS = 20
SEED = 20260314


def test_the_browser_killed_during_a_tap(house: House, phone: Callable[..., Phone]) -> None:
    told = killed_in_taps(house, phone(house), set_up(house, mornings=1), moments=MOMENTS, seed=SEED)
    assert len(told.saved) == MOMENTS
    assert any(told.saved), "no moment was late enough for the screen to call anything saved"
    assert told.kept > 0, "no moment was late enough: the kills tell nothing"
