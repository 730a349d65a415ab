"""docs/reliability.md names a test for every fault: each of them is there, and no row of the 48 is missing."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "reliability.md").read_text(encoding="utf-8")
NAMED = sorted(set(re.findall(r"`((?:src/)?[\w./-]+\.(?:py|tsx?))::([^`]+)`", PAGE)))


def test_every_row_is_there_with_a_test_or_says_that_it_has_none() -> None:
    rows = {int(found[1]): found[2] for found in re.finditer(r"^\| (\d+) \| (.+) \|$", PAGE, re.MULTILINE)}
    assert sorted(rows) == list(range(1, 49))
    for number, row in rows.items():
        assert "::" in row.split(" | ")[-1], f"row {number} names no test"


@pytest.mark.parametrize(("path", "name"), NAMED)
def test_a_named_test_is_there(path: str, name: str) -> None:
    file = ROOT / "frontend" / path if path.startswith("src/") else ROOT / "tests" / path
    text = file.read_text(encoding="utf-8")
    if path.endswith(".py"):
        assert f"def {name}(" in text
    else:
        assert name in text
