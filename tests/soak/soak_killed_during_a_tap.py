"""The browser killed at two hundred seeded moments of a tap: eight barns, twenty-five kills in each.

`.venv/bin/pytest -s tests/soak/soak_killed_during_a_tap.py`
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.browser.a_barn import set_up
from tests.browser.conftest import house, phone  # noqa: F401 (fixtures)
from tests.browser.house import House
from tests.browser.kills import killed_in_taps
from tests.browser.phone import Phone

MOMENTS = 25


@pytest.mark.parametrize("seed", range(8))
def test_the_browser_killed_during_a_tap(house: House, phone: Callable[..., Phone], seed: int) -> None:  # noqa: F811
    told = killed_in_taps(house, phone(house), set_up(house, mornings=1), moments=MOMENTS, seed=seed)
    print(f"seed {seed}: {len(told.saved)} kills, {sum(told.saved)} seen as saved before, {told.kept} kept after")
    assert len(told.saved) == MOMENTS
