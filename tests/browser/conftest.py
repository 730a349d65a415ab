"""A real house in a process of its own, and phones: Debian's chromium on profiles that outlive it."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Playwright

from tests.browser.house import House
from tests.browser.phone import Phone

ROOT = Path(__file__).parents[2]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker("browser")


@pytest.fixture(scope="session", autouse=True)
def _built() -> None:
    if not (ROOT / "frontend" / "dist" / "sw.js").exists():
        pytest.fail("The app is not built: run `make test`, which builds it, or `npm run build` in frontend/.")
    if shutil.which("chromium") is None:
        pytest.fail("These tests need Debian's chromium: install the package 'chromium'.")


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    """A house with an empty data folder, open."""
    house = House(tmp_path / "data")
    house.open()
    yield house
    house.close()


@pytest.fixture(scope="module")
def example_house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A house with the example farm, for tests that only look or add."""
    house = House(tmp_path_factory.mktemp("example") / "data", example=True)
    house.open()
    yield house
    house.close()


@pytest.fixture
def phone(playwright: Playwright, tmp_path: Path) -> Iterator[Callable[..., Phone]]:
    """Makes phones; each keeps its profile, so that it can be killed and started again."""
    phones: list[Phone] = []

    def make(house: House, name: str = "phone", **options: object) -> Phone:
        made = Phone(playwright, tmp_path / name, house.url, **options)
        phones.append(made)
        return made

    yield make
    for each in phones:
        each.close()
