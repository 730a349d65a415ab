"""The words of the figures: every parameter has a meaning and a unit, every source is listed with its state."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "barnbook/figures").glob("*.py"))
WORDS_BEFORE_A_YEAR = 60
NOT_PEOPLE = {"Source", "Sources", "Stat", "Med", "ValueError", "Raises", "Japanese", "Wilson's", "Student's"}


def public_functions(tree: ast.Module) -> Iterator[ast.FunctionDef]:
    for node in tree.body:
        inside = [node] if isinstance(node, ast.FunctionDef) else getattr(node, "body", [])
        if isinstance(node, ast.ClassDef) and node.name.startswith("_"):
            continue
        for each in inside:
            if isinstance(each, ast.FunctionDef) and not each.name.startswith("_"):
                yield each


def parameters() -> set[str]:
    found = set()
    for path in FILES:
        for function in public_functions(ast.parse(path.read_text())):
            every = (*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs)
            found |= {argument.arg for argument in every} - {"self"}
    return found


def vocabulary() -> list[tuple[list[str], str, str]]:
    rows = re.findall(r"^\| (`.+?) \| (.+?) \| (.+?) \|$", (ROOT / "docs/vocabulary.md").read_text(), re.MULTILINE)
    return [(re.findall(r"`(\w+)`", names), meaning, unit) for names, meaning, unit in rows]


def test_every_parameter_of_a_figure_is_a_word_of_the_vocabulary() -> None:
    listed = [name for names, _, _ in vocabulary() for name in names]
    assert sorted(parameters() - set(listed)) == []
    assert sorted(set(listed) - parameters()) == [], "words that no figure takes any more"
    assert sorted({name for name in listed if listed.count(name) > 1}) == []


def test_a_name_that_carries_its_unit_has_that_unit() -> None:
    units = {"_g": "g", "_kg": "kg", "_oz": "oz", "_days": "day"}
    wrong = [
        name
        for names, _, unit in vocabulary()
        for name in names
        for ending, expected in units.items()
        if name.endswith(ending) and expected not in unit and "date" not in unit
    ]
    assert wrong == []


def docstrings(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str):
            yield " ".join(node.value.value.split())


def cited(path: Path) -> Iterator[tuple[str, str]]:
    """(words before a year, the year) of everything that looks like a reference."""
    for text in docstrings(path):
        for year in re.finditer(r"\b(?:1[89]|20)\d\d\b(?!-\d)(?!, \d+, \d)(?!: \d)", text):
            before = text[max(0, year.start() - WORDS_BEFORE_A_YEAR) : year.start()]
            if re.search(r"[A-Z][a-z]+(?:'s)?(?: & [A-Z]\w+| et al\.|\))?,? \(?$", before):
                yield before, year.group()


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_source_of_a_figure_is_listed(path: Path) -> None:
    rows = [line for line in (ROOT / "docs/sources.md").read_text().splitlines() if line.startswith("| ")]
    unlisted = []
    for before, year in cited(path):
        people = set(re.findall(r"[A-Z][A-Za-z]{2,}", before)) - NOT_PEOPLE
        if not any(year in row and any(person in row for person in people) for row in rows):
            unlisted.append(f"{before[-30:]}{year}")
    for text in docstrings(path):
        for page in re.findall(r"\b[\w.-]+\.(?:org|com|edu)\b(?:/[\w/-]+)?", text):
            if not any(page in row for row in rows):
                unlisted.append(page)
    assert unlisted == []


def test_the_sources_say_how_far_we_have_them() -> None:
    rows = re.findall(
        r"^\| (?!source|-)(.+?) \| .+? \| (.+?) \|$", (ROOT / "docs/sources.md").read_text(), re.MULTILINE
    )
    assert len(rows) > 50
    assert [name for name, state in rows if not re.search(r"read|recomputed|from memory|documentation", state)] == []
